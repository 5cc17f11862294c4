"""Which part of a run-up is idle, opening, full throttle, closing, a burst?

The throttle itself is not recorded; the speed tells. Levels of idle and full come out of the run itself, and two
thresholds to each (hysteresis) keep a speed that hunts about one of them from making many phases of one.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

import numpy as np

from tickover.science.core.input_checks import InsufficientDataError
from tickover.science.run_up.measuring.trace import Floats, Trace

__all__ = ["BURST", "CLOSING", "FULL", "IDLE", "OPENING", "PART", "STOPPED", "Levels", "Phase", "find_phases"]

STOPPED, IDLE, OPENING, FULL, CLOSING = "stopped", "idle", "opening", "full", "closing"
BURST, PART = "burst", "part throttle"

STANDS_RPM = 400.0
"""No small two-stroke runs as slowly: a judgement, no source. [rpm]"""
FULL_FROM, FULL_TO = 0.85, 0.72
IDLE_FROM, IDLE_TO = 0.12, 0.22
"""Shares of the way from idle to full at which a phase is entered and left."""
LONG_FULL_S, LONGEST_BURST_S, LONGEST_DIP_S = 5.0, 8.0, 3.0
BURST_SHARE = 0.4
RANGE_RATIO = 1.6
"""Top speed to idle below which a run never left one of the two."""
STEADY_RPM_S = 150.0


@dataclass(frozen=True)
class Levels:
    """Speeds of idle and full throttle as this run has them; NaN for the one it never reached. [rpm]"""

    idle_rpm: float
    full_rpm: float

    @property
    def both(self) -> bool:
        return bool(np.isfinite(self.idle_rpm) and np.isfinite(self.full_rpm))


@dataclass(frozen=True)
class Phase:
    """A stretch of the run; times from its first sample. [s]"""

    name: str
    start_s: float
    end_s: float

    @property
    def length_s(self) -> float:
        return self.end_s - self.start_s


_Piece = tuple[str, int, int]
_STILL = (STOPPED, IDLE)


def find_phases(trace: Trace, usual_full_rpm: float | None = None) -> tuple[Levels, tuple[Phase, ...]]:
    """Phases of a run-up, one after the other from its first sample to its last.

    Parameters
    ----------
    trace : Trace
    usual_full_rpm : float, optional
        What an engine of this type turns at full throttle. It tells a run that never left idle from one that
        never left full. [rpm]

    Returns
    -------
    tuple of Levels and tuple of Phase

    Raises
    ------
    InsufficientDataError
        The engine never runs.
    """
    running = trace.rpm[trace.rpm > STANDS_RPM]
    if running.size < 5:
        raise InsufficientDataError(
            f"the engine never turns faster than {STANDS_RPM:.0f} rpm here: is this the speed of the crankshaft?"
        )
    levels = _levels(trace, running, usual_full_rpm)
    pieces = list(_pieces(_states(trace.rpm, levels)))
    named = [phase for group in _groups(pieces) for phase in _named(trace, levels, group)]
    return levels, tuple(_joined(trace, named))


def _levels(trace: Trace, running: Floats, usual_full_rpm: float | None) -> Levels:
    top = float(np.percentile(running, 98))
    slope = np.abs(np.gradient(trace.rpm, trace.t_s))
    low = trace.rpm[(trace.rpm > STANDS_RPM) & (trace.rpm < 0.55 * top) & (slope < STEADY_RPM_S)]
    idle = float(np.percentile(low, 20)) if low.size >= 3 else float(np.percentile(running, 10))
    if top >= RANGE_RATIO * idle:
        return Levels(idle, _full_level(running, top))
    at_full = top > (0.7 * usual_full_rpm if usual_full_rpm else 4_500.0)
    return Levels(float("nan"), top) if at_full else Levels(float(np.median(running)), float("nan"))


def _full_level(running: Floats, top: float) -> float:
    """Half of what runs near the top is above it, so that a short overshoot of a burst does not set it."""
    return float(np.median(running[running > 0.85 * top]))


def _states(rpm: Floats, levels: Levels) -> list[str]:
    """Stopped, idle, full or between, sample by sample, each left later than it is entered."""
    idle = levels.idle_rpm if np.isfinite(levels.idle_rpm) else 0.25 * levels.full_rpm
    full = levels.full_rpm if np.isfinite(levels.full_rpm) else 3.0 * idle
    way = (rpm - idle) / (full - idle)
    states, state = [], STOPPED
    for share, speed in zip(way.tolist(), rpm.tolist(), strict=True):
        state = _next(state, share, speed)
        states.append(state)
    return states


def _next(state: str, share: float, speed: float) -> str:
    if speed <= STANDS_RPM:
        return STOPPED
    if share >= FULL_FROM or (state == FULL and share >= FULL_TO):
        return FULL
    if share <= IDLE_FROM or (state == IDLE and share <= IDLE_TO):
        return IDLE
    return PART


def _pieces(states: list[str]) -> Iterator[_Piece]:
    at = 0
    for state, same in groupby(states):
        size = len(list(same))
        yield state, at, at + size - 1
        at += size


def _groups(pieces: list[_Piece]) -> Iterator[list[_Piece]]:
    """Every stretch of standing or idling by itself; what lies between two of them together."""
    for still, group in groupby(pieces, key=lambda piece: piece[0] in _STILL):
        members = list(group)
        yield from ([piece] for piece in members) if still else (members,)


def _named(trace: Trace, levels: Levels, group: list[_Piece]) -> Iterator[_Piece]:
    if group[0][0] in _STILL:
        yield group[0]
        return
    first, last = group[0][1], group[-1][2]
    long = [p for p in _without_dips(trace, group) if p[0] == FULL and _length(trace, p) >= LONG_FULL_S]
    if not long:
        yield _short_or_part(trace, levels, first, last), first, last
        return
    at = first
    for number, (_, start, end) in enumerate(long):
        if start > at:
            yield from _up(trace, at, start - 1) if number == 0 else [(PART, at, start - 1)]
        yield FULL, start, end
        at = end + 1
    if at <= last:
        yield CLOSING, at, last


def _without_dips(trace: Trace, group: list[_Piece]) -> list[_Piece]:
    """Full throttle goes on over a short dip: an engine that cuts out for a second is still at full throttle."""
    joined: list[_Piece] = []
    for piece in group:
        dip = joined[-1] if joined else None
        before = joined[-2] if len(joined) > 1 else None
        if piece[0] == FULL and dip and before and before[0] == FULL and _length(trace, dip) <= LONGEST_DIP_S:
            joined[-2:] = [(FULL, before[1], piece[2])]
        else:
            joined.append(piece)
    return joined


def _short_or_part(trace: Trace, levels: Levels, first: int, last: int) -> str:
    peak = float(trace.rpm[first : last + 1].max())
    enough = levels.both and peak >= levels.idle_rpm + BURST_SHARE * (levels.full_rpm - levels.idle_rpm)
    brief = trace.t_s[last] - trace.t_s[first] <= LONGEST_BURST_S
    return BURST if enough and brief else PART


def _up(trace: Trace, first: int, last: int) -> Iterator[_Piece]:
    """The opening, and before it the part throttle that the engine was held at, if it was."""
    if trace.t_s[last] - trace.t_s[first] <= LONGEST_BURST_S:
        yield OPENING, first, last
        return
    speed = trace.rpm[first : last + 1]
    held = float(np.median(speed))
    below = np.flatnonzero(speed <= held + 0.1 * (speed[-1] - held))
    turn = first + int(below[-1]) if below.size else first
    if turn > first:
        yield PART, first, turn
    if turn < last:
        yield OPENING, turn + 1, last


def _length(trace: Trace, piece: _Piece) -> float:
    return float(trace.t_s[piece[2]] - trace.t_s[piece[1]])


def _joined(trace: Trace, pieces: list[_Piece]) -> Iterator[Phase]:
    """Pieces as phases that touch: an edge lies half-way between two samples."""
    edges = np.concatenate(([trace.t_s[0]], (trace.t_s[1:] + trace.t_s[:-1]) / 2.0, [trace.t_s[-1]]))
    for name, first, last in pieces:
        yield Phase(name, float(edges[first]), float(edges[last + 1]))
