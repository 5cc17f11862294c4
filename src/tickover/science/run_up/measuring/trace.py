"""What did the engine do over time? A run-up as a logger or a microphone has it, made fit for sums.

References
----------
Judgements, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.ndimage import median_filter

from tickover.science.core.input_checks import InsufficientDataError, OutOfRangeError, checked, checked_one
from tickover.science.core.kinds import kinds_checked
from tickover.science.core.plausible import ENGINE_RPM
from tickover.science.run_up.measuring.degrees import Floats, possible_degrees

__all__ = ["Floats", "Trace", "make_trace"]

SHORTEST_S = 10.0
LONGEST_S = 86_400.0
"""A run-up lasts minutes; a whole day is a logger that was never cleared. Common practice, no source."""
FEWEST = 8
SURE_ENOUGH = 0.5
"""Confidence of a speed heard in a recording below which it is left out: a judgement, no source."""
HOLE_S = 2.0
BLIND_S = 0.5
"""Opening and drop-back take a second or two: with half a second unseen their time is a guess."""
SPIKE_SHARE = 0.2
"""A single sample this far off the five around it is the pick-up, not the engine: a judgement, no source."""


@dataclass(frozen=True, eq=False)
class Trace:
    """A run-up; every field has the length of `t_s`, or is None where there was no such channel.

    `t_s` counts from the first sample [s], `rpm` is the speed of the crankshaft, `cht_c` and `egt_c` are
    temperatures [°C], `vibration` is in whatever unit, `four_stroking` tells from 0 to 1 whether it fires only every
    second turn. `holes` are the begin and end of stretches without samples [s], `remarks` what was left out, `blur_s`
    over how long each speed was listened to [s].
    """

    t_s: Floats
    rpm: Floats
    cht_c: Floats | None = None
    egt_c: Floats | None = None
    four_stroking: Floats | None = None
    holes: tuple[tuple[float, float], ...] = ()
    remarks: tuple[str, ...] = ()
    blur_s: float = 0.0
    vibration: Floats | None = None

    @property
    def step_s(self) -> float:
        """Usual time between two samples. [s]"""
        return float(np.median(np.diff(self.t_s)))

    @property
    def length_s(self) -> float:
        return float(self.t_s[-1] - self.t_s[0])

    @property
    def blind_s(self) -> float:
        """A stretch without a sure speed in which a crossing is no longer known: no fast measure goes over it. [s]"""
        return max(BLIND_S, 3.0 * self.step_s)

    @kinds_checked
    def blind(self, start_s: float, end_s: float) -> float:
        """The longest stretch without a sample that touches a span, where it is too long to see by; else 0. [s]

        Parameters
        ----------
        start_s, end_s : float
            The span, in seconds of the trace. [s]

        Returns
        -------
        float
            [s]

        Raises
        ------
        OutOfRangeError
            For what is no number.

        Examples
        --------
        >>> t_s = np.array([*np.arange(0.0, 10.0, 0.5), *np.arange(15.0, 25.0, 0.5)])
        >>> make_trace(t_s, np.full(t_s.size, 2_000.0)).blind(9.0, 12.0)
        5.5
        """
        first = max(int(np.searchsorted(self.t_s, start_s, side="right")) - 1, 0)
        last = int(np.searchsorted(self.t_s, end_s, side="left"))
        longest = float(np.diff(self.t_s[first : last + 1]).max(initial=0.0))
        return longest if longest > self.blind_s else 0.0

    @kinds_checked
    def u_at(self, *moments_s: float) -> float:
        """Standard uncertainty of a time between moments that each lie somewhere between two samples. [s]"""
        after = np.clip(np.searchsorted(self.t_s, moments_s, side="left"), 1, self.t_s.size - 1)
        between = np.maximum(self.t_s[after] - self.t_s[after - 1], self.blur_s)
        return float(np.sqrt((between**2).sum() / 12.0))

    @kinds_checked
    def within(self, start_s: float, end_s: float) -> NDArray[np.bool_]:
        """Which samples lie between two times, edges included.

        Parameters
        ----------
        start_s, end_s : float
            The two times, in seconds of the trace. [s]

        Returns
        -------
        NDArray[np.bool_]

        Raises
        ------
        OutOfRangeError
            For what is no number.

        Examples
        --------
        >>> t_s = np.arange(0.0, 20.0, 0.5)
        >>> int(make_trace(t_s, np.full(t_s.size, 2_000.0)).within(5.0, 6.0).sum())
        3
        """
        return np.asarray((self.t_s >= start_s) & (self.t_s <= end_s))


@kinds_checked
def make_trace(
    t_s: ArrayLike,
    rpm: ArrayLike,
    *,
    cht_c: ArrayLike | None = None,
    egt_c: ArrayLike | None = None,
    four_stroking: ArrayLike | None = None,
    confidence: ArrayLike | None = None,
    blur_s: float = 0.0,
    vibration: ArrayLike | None = None,
) -> Trace:
    """A trace without missing speeds, without spikes of the pick-up, from time 0.

    Parameters
    ----------
    t_s : array [n]
        Increasing. [s]
    rpm : array [n]
        0 to 30,000, the highest 150 or more; NaN where a sample is missing. [rpm]
    cht_c, egt_c : array [n], optional
        NaN where missing. [°C]
    four_stroking : array [n], optional
        True or 1 where it fires every second turn only.
    confidence : array [n], optional
        How sure each speed is, 0 to 1; below 0.5 it is left out.
    blur_s : float
        Over how long each speed was listened to, 0 to 5: a change is seen no sharper. [s]
    vibration : array [n], optional
        Level, not the movement itself; NaN where missing. [any one unit]

    Returns
    -------
    Trace

    Raises
    ------
    OutOfRangeError
        Lengths that differ, times that do not increase, speeds that cannot be.
    InsufficientDataError
        Less than 10 s, or hardly any sample.

    Examples
    --------
    >>> t_s = np.arange(20.0, 40.0, 0.5)
    >>> trace = make_trace(t_s, np.full(t_s.size, 2_000.0), cht_c=np.full(t_s.size, 120.0))
    >>> float(trace.t_s[0]), trace.length_s
    (0.0, 19.5)
    """
    times, speed = _channel("time", t_s, None), _channel("rpm", rpm, None)
    if speed.size != times.size:
        raise OutOfRangeError(
            f"time has {times.size} values and rpm {speed.size}: they must be of one length"
        )
    if not np.isfinite(times).all() or np.any(np.diff(times) <= 0.0):
        raise OutOfRangeError("time must increase from each sample to the next")
    if np.any((speed < 0.0) | (speed > 30_000.0)):
        raise OutOfRangeError("rpm must lie between 0 and 30,000")
    if speed.max(initial=0.0, where=np.isfinite(speed)) > 0.0:
        ENGINE_RPM.checked(np.nanmax(speed), "highest speed of the run")
    if confidence is not None:
        checked("confidence", confidence, 0.0, 1.0, "1", missing=True)
    sure = _optional("confidence", confidence, np.ones(times.size, dtype=np.bool_))
    keep = np.isfinite(speed) if sure is None else np.isfinite(speed) & (sure >= SURE_ENOUGH)
    _long_enough(times[keep])
    start = float(times[keep][0])
    cht, cht_off = possible_degrees("CHT", _optional("CHT", cht_c, keep))
    egt, egt_off = possible_degrees("EGT", _optional("EGT", egt_c, keep))
    four = _optional("four-stroking", four_stroking, keep)
    shakes = _optional("vibration", vibration, keep)
    notes = (*_left_out(keep), *cht_off, *egt_off)
    blur = checked_one("blur", blur_s, 0.0, 5.0, "s")
    trace = Trace(times[keep] - start, speed[keep], cht, egt, four, (), notes, blur, shakes)
    return _without_spikes(replace(trace, holes=_holes(trace)))


def _long_enough(t_s: Floats) -> None:
    length = float(np.ptp(t_s)) if t_s.size else 0.0
    checked_one(
        "length of the run", length, 0.0, LONGEST_S, "s", "seconds are wanted, and one run-up at a time"
    )
    if t_s.size < FEWEST or length < SHORTEST_S:
        raise InsufficientDataError(
            f"it holds {length:.0f} s with a speed in {t_s.size} samples; a run-up takes at least "
            f"{SHORTEST_S:.0f} s: idle, a burst, and a minute at full throttle. Record it again from start to stop"
        )


def _channel(name: str, values: ArrayLike, size: int | None) -> Floats:
    field = checked(name, values, -np.inf, np.inf, missing=True)
    if field.ndim != 1 or (size is not None and field.size != size):
        raise OutOfRangeError(
            f"{name} must be one row of {size or 'some'} values, not of shape {field.shape}"
        )
    return field


def _optional(name: str, values: ArrayLike | None, keep: NDArray[np.bool_]) -> Floats | None:
    """What is kept of a channel, or None where it was not there or holds nothing."""
    if values is None:
        return None
    field = _channel(name, values, keep.size)[keep]
    return field if np.isfinite(field).any() else None


def _left_out(keep: NDArray[np.bool_]) -> tuple[str, ...]:
    gone = int((~keep).sum())
    return (f"{gone} of {keep.size} samples have no sure speed and are left out.",) if gone else ()


def _holes(trace: Trace) -> tuple[tuple[float, float], ...]:
    longest = max(HOLE_S, 3.0 * trace.step_s)
    last = np.flatnonzero(np.diff(trace.t_s) > longest)
    return tuple(zip(trace.t_s[last].tolist(), trace.t_s[last + 1].tolist(), strict=True))


def _without_spikes(trace: Trace) -> Trace:
    """Single wild samples take the value of the five around them; slow loggers have too few to tell."""
    if trace.step_s > 0.25:
        return trace
    usual = median_filter(trace.rpm, size=5, mode="nearest")
    wild = np.abs(trace.rpm - usual) > SPIKE_SHARE * np.percentile(trace.rpm, 95)
    if not wild.any():
        return trace
    sentence = f"{int(wild.sum())} single wild samples of the speed are taken as the pick-up's fault."
    return replace(trace, rpm=np.where(wild, usual, trace.rpm), remarks=(*trace.remarks, sentence))
