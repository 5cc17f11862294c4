"""How long did the engine run? Engine time from a flight log's noise or rpm channel, or from its speed.

A channel is held against two thresholds. A stretch above the lower one is engine time if it also reaches
the upper one, is loud enough once, and lasts; so warming up and idling before and after full throttle
count, and a bang on landing does not. What is loud but not sure is told and not added.

Times are seconds on the log's own axis [s]; noise levels are those of the IGC channels, 000 to 999 [1].

References
----------
FAI, Technical Specification for GNSS Flight Recorders, appendix A: channels ENL, MOP (000 to 999), RPM.
FAI Sporting Code, Section 3, Annex C, on ENL: over 700 is expected at climb power, over 900 is typical
of a two-stroke (read at second hand). The thresholds here are common practice without a source.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tickover.science.core.input_checks import OutOfRangeError, checked
from tickover.science.core.kinds import kinds_checked
from tickover.science.core.working import Quantity, Working
from tickover.science.engine_time.channels import (
    ANNEX_C,
    BY_SPEED,
    CHANNELS,
    NOISE,
    PRACTICE,
    SPEED,
    Channel,
    clock,
    cut_off,
    holes_listed,
    never_quiet,
    not_added,
    values_missing,
)
from tickover.science.engine_time.ground_speed import ground_speed_m_s
from tickover.science.engine_time.on_off_detection import (
    RunningPeriod,
    Thresholds,
    find_running_periods,
    holes,
)

__all__ = ["EngineTime", "RunningPeriod", "from_channel", "from_ground_speed", "from_noise", "from_track"]

Floats = NDArray[np.float64]

SPEED_RELATIVE_SD = 0.25
LONGEST_S = 259_200.0
"""Three days: no flight of these lasts as long, and no recorder is switched on as long. From memory."""
UNHEARD = "estimate"


@dataclass(frozen=True)
class EngineTime:
    """Engine time of one log, with its standard uncertainty, how it was found and what is to be said of it."""

    runs: tuple[RunningPeriod, ...]
    doubtful: tuple[RunningPeriod, ...]
    duration_h: float
    u_h: float
    starts: int
    method: str
    grade: str
    remarks: tuple[str, ...]
    working: Working


@kinds_checked
def from_track(t_s: Floats, lat_deg: Floats, lon_deg: Floats, extensions: Mapping[str, Floats]) -> EngineTime:
    """Engine time of a flight log by the best channel that it has: RPM, MOP, ENL, else ground speed.

    Parameters
    ----------
    t_s : array [n]
        Time of each fix, increasing. [s]
    lat_deg, lon_deg : array [n]
        Position, WGS 84. [degree]
    extensions : mapping of str to array [n]
        Channels by their three-letter code; NaN where a fix has no value.

    Returns
    -------
    EngineTime

    Raises
    ------
    OutOfRangeError
        Arrays of different lengths, or times that do not increase.

    Examples
    --------
    >>> t_s = np.arange(0.0, 600.0, 2.0)
    >>> noise = np.where((t_s > 100) & (t_s < 400), 900.0, 100.0)
    >>> here = np.full(t_s.size, 47.0), np.full(t_s.size, 8.0)
    >>> from_track(t_s, *here, {"ENL": noise}).remarks[0]
    'Read from the ENL channel, the best of this log.'
    """
    heard = {c.code: from_channel(t_s, extensions[c.code], c) for c in CHANNELS if c.code in extensions}
    dead = [
        f"{code} is not used. {notes.remarks[0]}" for code, notes in heard.items() if notes.grade == UNHEARD
    ]
    live = {code: notes for code, notes in heard.items() if notes.grade != UNHEARD}
    if not live:
        why = dead or ["The log has no noise channel (ENL, MOP) and no RPM channel."]
        return _add_remarks(from_ground_speed(t_s, lat_deg, lon_deg), why)
    best = next((code for code, notes in live.items() if notes.runs), next(iter(live)))
    others = [_compare(code, notes, live[best]) for code, notes in live.items() if code != best]
    return _add_remarks(live[best], [f"Read from the {best} channel, the best of this log.", *others, *dead])


@kinds_checked
def from_noise(t_s: Floats, level: Floats, settings: Thresholds = NOISE) -> EngineTime:
    """Engine time from a noise channel (ENL), level 000 to 999 [1]; see `from_channel`.

    Parameters
    ----------
    t_s : array [n]
        Time of each value, increasing. [s]
    level : array [n]
        Noise, 0 to 999, NaN where there is none. [-]
    settings : Thresholds, optional
        When it counts as running.

    Returns
    -------
    EngineTime

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> t_s = np.arange(0.0, 600.0, 2.0)
    >>> noise = np.where((t_s > 100) & (t_s < 400), 900.0, 100.0)
    >>> from_noise(t_s, noise).grade
    'track log with engine noise'
    """
    return from_channel(t_s, level, replace(CHANNELS[-1], thresholds=settings))


@kinds_checked
def from_channel(t_s: Floats, level: Floats, channel: Channel) -> EngineTime:
    """Engine time from one channel of a log.

    Parameters
    ----------
    t_s : array [n]
        Time of each value, increasing. [s]
    level : array [n]
        Value of the channel, NaN where there is none. [channel.unit]
    channel : Channel
        What is listened to.

    Returns
    -------
    EngineTime
        Without runs and graded "estimate" where the channel is dead; `u_h` then covers the whole log.

    Raises
    ------
    OutOfRangeError
        Arrays of different lengths, or times that do not increase.

    Examples
    --------
    >>> t_s = np.arange(0.0, 600.0, 2.0)
    >>> noise = np.where((t_s > 100) & (t_s < 400), 900.0, 100.0)
    >>> found = from_channel(t_s, noise, CHANNELS[-1])
    >>> print(f"{found.duration_h * 60:.0f} min, {found.starts} start")
    5 min, 1 start
    """
    _check(t_s, level)
    known = np.isfinite(level)
    if not known.any():
        return _unheard(t_s, channel, f"The {channel.code} channel holds no values.")
    spread = float(np.ptp(level[known]))
    if spread < channel.thresholds.min_spread:
        sentence = f"stays between {level[known].min():.0f} and {level[known].max():.0f}"
        return _unheard(t_s, channel, f"The {channel.code} channel is dead: it {sentence} throughout.")
    remarks = values_missing(known, channel) + never_quiet(level[known], channel)
    # A channel that hears the engine is off by its edges and holes alone, not by a share of the time.
    return _engine_time(t_s[known], level[known], channel, remarks, u_share=0.0)


@kinds_checked
def from_ground_speed(
    t_s: Floats, lat_deg: Floats, lon_deg: Floats, settings: Thresholds = SPEED
) -> EngineTime:
    """Time under way, as a stand-in for engine time where nothing in the log hears the engine.

    Speed over ground is taken between the fixes 5 s before and after each fix. The standard deviation is
    a quarter of the time: the engine may be shut down in the air, and runs on the ground are not seen.

    Parameters
    ----------
    t_s : array [n]
        Time of each fix, increasing. [s]
    lat_deg, lon_deg : array [n]
        Position, WGS 84. [degree]

    Returns
    -------
    EngineTime

    Raises
    ------
    OutOfRangeError
        Arrays of different lengths, or times that do not increase.

    Examples
    --------
    >>> t_s = np.arange(0.0, 600.0, 2.0)
    >>> lat_deg = 47.0 + 1e-4 * np.maximum(t_s - 300.0, 0.0)
    >>> found = from_ground_speed(t_s, lat_deg, np.full(t_s.size, 8.0))
    >>> found.remarks[0]
    'This shows that the aircraft was under way, not that its engine ran.'
    """
    _check(t_s, lat_deg)
    _check(t_s, lon_deg)
    checked("latitude", lat_deg, -90.0, 90.0, "degrees", missing=True)
    checked("longitude", lon_deg, -180.0, 360.0, "degrees", missing=True)
    channel = replace(BY_SPEED, thresholds=settings)
    speed_m_s = ground_speed_m_s(t_s, lat_deg, lon_deg)
    known = np.isfinite(speed_m_s)
    if not known.any():
        return _unheard(t_s, channel, "The log has too few positions for a speed.")
    warning = "This shows that the aircraft was under way, not that its engine ran."
    return _engine_time(t_s[known], speed_m_s[known], channel, [warning], SPEED_RELATIVE_SD)


def _check(t_s: Floats, level: Floats) -> None:
    if t_s.shape != level.shape or t_s.ndim != 1 or not t_s.size:
        raise OutOfRangeError(
            f"one value is wanted for each time, not {level.shape} values for {t_s.shape} times"
        )
    checked("time", t_s, -1e12, 1e12, "s")
    checked(
        "length of the log", np.ptp(t_s), 0.0, LONGEST_S, "s", "seconds are wanted, and one log at a time"
    )
    if not bool(np.all(np.diff(t_s) > 0)):
        raise OutOfRangeError("the times must increase from fix to fix")


def _engine_time(
    t_s: Floats, level: Floats, channel: Channel, remarks: list[str], u_share: float
) -> EngineTime:
    sure, doubtful = find_running_periods(t_s, level, channel.thresholds)
    length_s = math.fsum(run.length_s for run in sure)
    # As in a log that hears nothing: the engine may have run for any part of a hole.
    unheard_s = [(end - start) / math.sqrt(3.0) for start, end in holes(t_s, channel.thresholds)]
    u_s = math.hypot(u_share * length_s, *(run.u_s for run in sure), *unheard_s)
    none = [] if sure else [f"No stretch with {channel.on} is found."]
    notes = [*remarks, *none, *cut_off(t_s, sure, channel), *holes_listed(t_s, channel), *not_added(doubtful)]
    return EngineTime(
        runs=tuple(sure),
        doubtful=tuple(doubtful),
        duration_h=length_s / 3600.0,
        u_h=u_s / 3600.0,
        starts=len(sure),
        method=channel.method,
        grade=channel.grade,
        remarks=tuple(notes),
        working=_working(channel, sure, u_s, u_share),
    )


def _unheard(t_s: Floats, channel: Channel, remark: str) -> EngineTime:
    """Nothing can be told: the engine may have run for any part of the log (rectangular, about zero)."""
    u_s = float(t_s[-1] - t_s[0]) / math.sqrt(3.0)
    working = _working(channel, (), u_s, 0.0)
    return EngineTime((), (), 0.0, u_s / 3600.0, 0, channel.method, UNHEARD, (remark,), working)


def _compare(code: str, notes: EngineTime, best: EngineTime) -> str:
    allowed_h = max(1.0 / 60.0, 3.0 * math.hypot(notes.u_h, best.u_h))
    verdict = "agrees" if abs(notes.duration_h - best.duration_h) <= allowed_h else "disagrees"
    return f"The {code} channel {verdict}: {notes.duration_h:.2f} h against {best.duration_h:.2f} h."


def _add_remarks(notes: EngineTime, remarks: Sequence[str]) -> EngineTime:
    return replace(notes, remarks=(*remarks, *notes.remarks))


def _working(channel: Channel, runs: Sequence[RunningPeriod], u_s: float, u_share: float) -> Working:
    limits = channel.thresholds
    heard = ANNEX_C if limits.sure_level == NOISE.sure_level else PRACTICE
    inputs = [
        Quantity(f"{channel.code}, on above", limits.on_level, channel.unit, PRACTICE),
        Quantity(f"{channel.code}, off at or below", limits.off_level, channel.unit, PRACTICE),
        Quantity(f"{channel.code}, reached once", limits.sure_level, channel.unit, heard),
        Quantity("shortest run, time above the first", limits.min_run_s, "s", PRACTICE),
        Quantity("longest gap bridged", limits.max_gap_s, "s", PRACTICE),
        *(Quantity(f"run {n}", _span(run), "s", "this log") for n, run in enumerate(runs, 1)),
        Quantity("standard deviation", u_s / 3600.0, "h", "edges of the runs, holes in the log"),
    ]
    if u_share:
        inputs.append(Quantity("standard deviation, of the time", u_share, "1", PRACTICE))
    total_h = math.fsum(run.length_s for run in runs) / 3600.0
    return Working(
        title=f"Engine time by {channel.method}",
        formula="sum of (end - start) over the runs; an edge is half-way between on and off",
        inputs=tuple(inputs),
        result=Quantity("engine time", total_h, "h", "this log"),
        validity="one engine, one log; the recorder near enough to hear it",
        source="IGC channels: FAI, Technical Specification for GNSS Flight Recorders, appendix A",
        authority=PRACTICE,
    )


def _span(run: RunningPeriod) -> str:
    return f"{clock(run.start_s)} to {clock(run.end_s)}, {run.length_s:.0f} ± {run.u_s:.0f}"
