"""Engine time at a moment: what of each entry that counts lies before it.

A log counts by its runs. Hours that were entered for a day count before any event of that day: work is
done, and a meter read, after the day's flying. What a meter adds is spread evenly between its readings.
Every total is summed afresh from the entries that count, so a later correction flows into all of them.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime

from django.utils import timezone

from tickover.science.engine_time.reconciling import METER, Source, Spans, part_before
from tickover.workshop.register.models import RECONCILED, Engine, EngineTimeEntry


@dataclass(frozen=True)
class Between:
    """Engine time between two moments, with its standard deviation."""

    hours_h: float
    sd_h: float

    @property
    def expanded_h(self) -> float:
        """Two standard deviations."""
        return 2 * self.sd_h


def spans_of(entry: EngineTimeEntry) -> Spans:
    """The runs of an entry, in seconds since 1970."""
    return tuple((_seconds(a), _seconds(b)) for a, b in entry.runs)


def source_of(entry: EngineTimeEntry) -> Source:
    """An entry with a clock, as a source of engine time."""
    assert entry.started_at is not None and entry.ended_at is not None
    return Source(entry.started_at.timestamp(), entry.ended_at.timestamp(), spans_of(entry), entry.grade)


def as_runs(spans: Spans) -> list[list[str]]:
    """Seconds since 1970, as an entry keeps its runs."""
    return [[datetime.fromtimestamp(round(t, 6), UTC).isoformat() for t in span] for span in spans]


def part_of(entry: EngineTimeEntry, moment: datetime) -> float:
    """Part of an entry's engine time that lies before the moment, 0 to 1."""
    if entry.started_at is None or entry.ended_at is None:
        return 1.0 if entry.on_day <= timezone.localtime(moment).date() else 0.0
    runs = () if entry.grade == METER else spans_of(entry)
    return part_before(entry.started_at.timestamp(), entry.ended_at.timestamp(), runs, moment.timestamp())


def between(entries: Iterable[EngineTimeEntry], start: datetime | None, end: datetime) -> Between:
    """Engine time from one moment (None: from new) to another; of an entry cut in two, so is its variance."""
    hours_h, variance_h2 = 0.0, 0.0
    for entry in entries:
        part = part_of(entry, end) - (part_of(entry, start) if start else 0.0)
        hours_h += entry.duration_h * part
        variance_h2 += entry.sd_h**2 * part
    return Between(hours_h, math.sqrt(max(variance_h2, 0.0)))


def counting_entries(engine: Engine) -> list[EngineTimeEntry]:
    """Entries of an engine that count."""
    return list(EngineTimeEntry.objects.filter(engine=engine, replaced_by=None))


def original(entry: EngineTimeEntry) -> EngineTimeEntry:
    """The entry as its evidence has it, before minutes were left to better records."""
    while entry.method == RECONCILED and entry.replaces is not None:
        entry = entry.replaces
    return entry


def newest(entry: EngineTimeEntry) -> EngineTimeEntry:
    """The end of the chain of entries that replace one another: the one that counts."""
    while later := EngineTimeEntry.objects.filter(replaces=entry).first():
        entry = later
    return entry


def _seconds(iso: str) -> float:
    return datetime.fromisoformat(iso).timestamp()
