"""When is a channel on? Stretches of a noisy level, told apart by two thresholds with hysteresis."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tickover.science.core.kinds import checked_fields
from tickover.science.core.plausible import LISTEN_S

__all__ = ["RunningPeriod", "Thresholds"]

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Thresholds:
    """When a channel counts as on. Levels are in the channel's own unit.

    A stretch lasts while the level is above `off_level`; it is a run if it spends `min_run_s` [s] at or
    above `on_level` and reaches `sure_level`. Quiet of up to `max_gap_s` [s] is bridged; a longer hole
    in the data ends a run. A channel whose values spread by less than `min_spread` is dead.
    """

    on_level: float
    off_level: float
    sure_level: float
    min_run_s: float
    max_gap_s: float
    min_spread: float

    def __post_init__(self) -> None:
        checked_fields(self)
        LISTEN_S.checked(self.min_run_s, "shortest run")
        LISTEN_S.checked(self.max_gap_s, "longest gap")


@dataclass(frozen=True)
class RunningPeriod:
    """One stretch with the channel on; `u_s` is the standard uncertainty of its length. [s]"""

    start_s: float
    end_s: float
    mean_level: float
    u_s: float

    @property
    def length_s(self) -> float:
        """Length of the run. [s]"""
        return self.end_s - self.start_s


def find_running_periods(
    t_s: Floats, level: Floats, limits: Thresholds
) -> tuple[list[RunningPeriod], list[RunningPeriod]]:
    """Runs of a channel, and the stretches that are too short or too faint to be called one.

    Parameters
    ----------
    t_s : array [n]
        Time of each value, increasing. [s]
    level : array [n]
        Finite values, in the unit of `limits`.
    limits : Thresholds

    Returns
    -------
    tuple of two lists of Run
        Sure, doubtful.
    """
    sure: list[RunningPeriod] = []
    doubtful: list[RunningPeriod] = []
    stands_for_s = np.where(level >= limits.on_level, _share_s(t_s, limits), 0.0)
    for first, last in _stretches(t_s, level, limits):
        peak = float(level[first : last + 1].max())
        run = _run(t_s, level, first, last, limits)
        if stands_for_s[first : last + 1].sum() >= limits.min_run_s and peak >= limits.sure_level:
            sure.append(run)
        elif run.length_s >= limits.min_run_s or peak >= limits.on_level:
            doubtful.append(run)
    return sure, doubtful


def longest_step_s(t_s: Floats, limits: Thresholds) -> float:
    """Longest step between two values that is not yet a hole: a slow recorder has none. [s]"""
    usual = float(np.median(np.diff(t_s))) if t_s.size > 1 else 0.0
    return max(limits.max_gap_s, 2.0 * usual)


def holes(t_s: Floats, limits: Thresholds) -> list[tuple[float, float]]:
    """Begin and end of each hole in the data. [s]"""
    last = np.flatnonzero(np.diff(t_s) > longest_step_s(t_s, limits))
    return list(zip(t_s[last].tolist(), t_s[last + 1].tolist(), strict=True))


def _share_s(t_s: Floats, limits: Thresholds) -> Floats:
    """Time that each value stands for: half-way to its neighbours, nothing beyond the edge of a hole. [s]"""
    step = np.diff(t_s)
    half = np.where(step <= longest_step_s(t_s, limits), step, 0.0) / 2.0
    return np.concatenate(([0.0], half)) + np.concatenate((half, [0.0]))


def _stretches(t_s: Floats, level: Floats, limits: Thresholds) -> Iterator[tuple[int, int]]:
    """First and last index of each stretch above the lower threshold, short quiet bridged."""
    loud = level > limits.off_level
    joined = loud[1:] & loud[:-1] & (np.diff(t_s) <= longest_step_s(t_s, limits))
    first = np.flatnonzero(loud & ~np.concatenate(([False], joined)))
    last = np.flatnonzero(loud & ~np.concatenate((joined, [False])))
    apart = t_s[first[1:]] - t_s[last[:-1]] > limits.max_gap_s
    edge = np.ones(min(first.size, 1), dtype=np.bool_)
    first = first[np.concatenate((edge, apart))]
    last = last[np.concatenate((apart, edge))]
    return zip(first.tolist(), last.tolist(), strict=True)


def _run(t_s: Floats, level: Floats, first: int, last: int, limits: Thresholds) -> RunningPeriod:
    """A stretch with its edges, each half-way to the quiet value beside it.

    An edge is uncertain by the step to that value and by the time the level takes between the two
    thresholds, both rectangular. At a hole in the data the edge stays at the last value heard.
    """
    longest_s = longest_step_s(t_s, limits)
    steps = np.diff(t_s, prepend=t_s[0], append=t_s[-1])[[first, last + 1]]
    before, after = np.where(steps <= longest_s, steps, 0.0).tolist()
    on = np.flatnonzero(level[first : last + 1] >= limits.on_level)
    rise = float(t_s[first + on[0]] - t_s[first]) if on.size else 0.0
    fall = float(t_s[last] - t_s[first + on[-1]]) if on.size else 0.0
    return RunningPeriod(
        start_s=float(t_s[first]) - before / 2.0,
        end_s=float(t_s[last]) + after / 2.0,
        mean_level=float(level[first : last + 1].mean()),
        u_s=math.hypot(before, after, rise, fall) / math.sqrt(12.0),
    )
