"""What in a flight log tells that the engine ran, and what is to be said of it in words.

Thresholds are common practice without a source, but for the level of a climb: FAI Sporting Code,
Section 3, Annex C, on ENL: over 700 is expected at climb power, over 900 is typical of a two-stroke (read
at second hand). ENL and MOP run from 000 to 999: FAI, Technical Specification for GNSS Flight Recorders.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tickover.science.core.input_checks import checked_one
from tickover.science.core.kinds import checked_fields, kinds_checked
from tickover.science.engine_time.on_off_detection import RunningPeriod, Thresholds, holes

__all__ = ["BY_SPEED", "CHANNELS", "NOISE", "RPM", "SPEED", "Channel", "clock"]

Floats = NDArray[np.float64]

LISTED_AT_MOST = 5
PRACTICE = "common practice, no source"
ANNEX_C = "FAI Sporting Code, Section 3, Annex C (climb power), at second hand"

NOISE = Thresholds(500.0, 350.0, 700.0, min_run_s=30.0, max_gap_s=20.0, min_spread=20.0)
RPM = Thresholds(800.0, 500.0, 800.0, min_run_s=5.0, max_gap_s=5.0, min_spread=100.0)
SPEED = Thresholds(4.0, 1.5, 4.0, min_run_s=60.0, max_gap_s=120.0, min_spread=0.0)


@dataclass(frozen=True)
class Channel:
    """What is listened to: its code, how the method is called, unit, worth, and what "on" means in it."""

    code: str
    method: str
    unit: str
    grade: str
    thresholds: Thresholds
    on: str = "the engine on"

    def __post_init__(self) -> None:
        checked_fields(self)


CHANNELS = (
    Channel("RPM", "rpm channel", "r/min", "logger", RPM),
    Channel("MOP", "engine channel", "1", "track log with engine noise", NOISE),
    Channel("ENL", "noise channel", "1", "track log with engine noise", NOISE),
)
BY_SPEED = Channel(
    "speed", "ground speed", "m/s", "track log without engine noise", SPEED, on="the aircraft under way"
)


@kinds_checked
def clock(t_s: float) -> str:
    """Time of day of a time on the log's axis, such as "03:57:34"."""
    seconds = round(checked_one("time", t_s, -1e12, 1e12, "s")) % 86_400
    return f"{seconds // 3600:02d}:{seconds // 60 % 60:02d}:{seconds % 60:02d}"


def values_missing(known: NDArray[np.bool_], channel: Channel) -> list[str]:
    """Say how many fixes have no value in this channel."""
    missing = int(known.size - known.sum())
    return [f"{missing} of {known.size} fixes have no {channel.code} value."] if missing else []


def never_quiet(level: Floats, channel: Channel) -> list[str]:
    """Say that a channel never falls to its lower threshold, so that it may not tell on from off."""
    if level.min() <= channel.thresholds.off_level:
        return []
    return [f"The {channel.code} channel is never quiet in this log: check that it shows engine on and off."]


def cut_off(t_s: Floats, runs: Sequence[RunningPeriod], channel: Channel) -> list[str]:
    """Say where a run begins or ends with the log."""
    notes = []
    if runs and runs[0].start_s == t_s[0]:
        notes.append(f"The log begins with {channel.on}: what went before is not in it.")
    if runs and runs[-1].end_s == t_s[-1]:
        notes.append(f"The log ends with {channel.on}: what came after is not in it.")
    return notes


def holes_listed(t_s: Floats, channel: Channel) -> list[str]:
    """Say where the log has holes: what ran in them is not added."""
    spans = [f"{clock(begin)} to {clock(end)}" for begin, end in holes(t_s, channel.thresholds)]
    return [f"Nothing is logged from {_listed(spans)}; what ran then is not added."] if spans else []


def not_added(doubtful: Sequence[RunningPeriod]) -> list[str]:
    """Say which stretches were heard and not added."""
    spans = [f"{clock(run.start_s)} ({run.length_s:.0f} s)" for run in doubtful]
    return [f"Too short or too faint, not added: {_listed(spans)}."] if spans else []


def _listed(items: Sequence[str]) -> str:
    rest = len(items) - LISTED_AT_MOST
    return ", ".join(items[:LISTED_AT_MOST]) + (f" and {rest} more" if rest > 0 else "")
