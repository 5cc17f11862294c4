"""Keeping the entries that count of an engine in line with one another, so that no minute counts twice.

Where two logs of different grade listen at the same time, the better one decides; what the lesser counts
beside it stands in an entry of the method "reconciled" that replaces the lesser one's. A meter adds what
is missing from the difference of its two readings. Whenever an entry comes, goes or changes, the entries
around it are looked at again, and replaced where they no longer fit; nothing is ever changed in place.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone

from tickover.science.engine_time.reconciling import METER, is_better, meter_share, share
from tickover.workshop.engine_time import at_a_time
from tickover.workshop.kernel import actions as journal
from tickover.workshop.kernel.local_time import local_moment
from tickover.workshop.people.models import Person
from tickover.workshop.register.models import (
    RECONCILED,
    WITHDRAWN,
    Engine,
    EngineTimeEntry,
    MeterReading,
)

SAME_H = 1e-6
# A reading to a tenth of an hour is uncertain by a rectangle of that width; a difference has two of them.
METER_SD_H = 0.1 * math.sqrt(2.0 / 12.0)


@dataclass(frozen=True)
class Count:
    """What an entry should count."""

    duration_h: float
    sd_h: float
    starts: int = 0
    runs: list[list[str]] = field(default_factory=list)
    started_at: datetime | None = None
    remark: str = ""


def logs(engine: Engine, start: datetime, end: datetime) -> QuerySet[EngineTimeEntry]:
    """Entries that count, of logs that listened at any time between two moments."""
    counted = EngineTimeEntry.objects.filter(engine=engine, replaced_by=None).exclude(grade=METER)
    return counted.filter(started_at__lt=end, ended_at__gt=start).select_related("replaces", "evidence")


def typed_for(engine: Engine, day: date) -> QuerySet[EngineTimeEntry]:
    """Entries that count, without a clock for a day."""
    counted = EngineTimeEntry.objects.filter(engine=engine, replaced_by=None, on_day=day, started_at=None)
    return counted.exclude(method=WITHDRAWN)


def the_day(day: date) -> tuple[datetime, datetime]:
    """Begin and end of a day where the workshop is."""
    zone = timezone.get_current_timezone()
    return datetime.combine(day, time.min, zone), datetime.combine(day + timedelta(days=1), time.min, zone)


def span_of(entry: EngineTimeEntry) -> tuple[datetime, datetime]:
    """When an entry may have counted something: its log's span, or its day."""
    if entry.started_at is None or entry.ended_at is None:
        return the_day(entry.on_day)
    return entry.started_at, entry.ended_at


def settle(engine: Engine, span: tuple[datetime, datetime], *, who: Person, at: datetime) -> None:
    """Look again at every entry around a span of time, and replace those that no longer fit."""
    for entry in logs(engine, *span):
        _replace(entry, log_count(entry), who, at)
    readings = counted_readings(engine)
    for before, reading in zip([None, *readings], readings, strict=False):
        if reading.read_at >= span[0] and (before is None or before.read_at <= span[1]):
            _replace(at_a_time.newest(reading.entry), meter_count(before, reading), who, at)


def log_count(entry: EngineTimeEntry) -> Count:
    """What a log counts beside the better logs of the same time."""
    whole = at_a_time.original(entry)
    beside = [e for e in logs(entry.engine, *span_of(entry)) if is_better(e.grade, entry.grade)]
    kept = share(at_a_time.source_of(whole), [at_a_time.source_of(at_a_time.original(e)) for e in beside])
    numbers = ", ".join(str(e.entry_sequence) for e in beside)
    return Count(
        duration_h=kept.length_h if beside else whole.duration_h,
        sd_h=kept.u_h(whole.sd_h),
        starts=kept.starts if beside else whole.starts,
        runs=at_a_time.as_runs(kept.runs) if beside else whole.runs,
        started_at=whole.started_at,
        remark=f"Minutes that a better record covers (journal entry {numbers}) are left to it."
        if beside
        else "No better record covers these minutes now: all of this log counts again.",
    )


def counted_readings(engine: Engine) -> list[MeterReading]:
    """Meter readings that count, in order: those whose entry was not withdrawn."""
    readings = list(MeterReading.objects.filter(engine=engine).select_related("entry", "engine"))
    if not readings:
        return []
    gone = EngineTimeEntry.objects.filter(engine=engine, grade=METER, method=WITHDRAWN)
    withdrawn = {
        at_a_time.original(row.replaces).pk for row in gone.select_related("replaces") if row.replaces
    }
    counted = [r for r in readings if r.entry_id not in withdrawn]
    return sorted(counted, key=lambda r: (r.read_at, r.pk))


def equal_readings(engine: Engine, meter: str, read_at: datetime, value_h: float) -> list[MeterReading]:
    """Readings that count, of the same meter, the same day where the workshop is, and the same value."""
    day = timezone.localtime(read_at).date()
    return [
        r
        for r in counted_readings(engine)
        if r.meter == meter and timezone.localtime(r.read_at).date() == day and r.value_h == value_h
    ]


def meter_count(before: MeterReading | None, reading: MeterReading) -> Count:
    """What a meter adds between two readings beside the other records of that time."""
    if before is None or (before.read_at == reading.read_at and before.meter != reading.meter):
        return Count(0.0, 0.0, started_at=reading.read_at, remark="Later readings count from this one.")
    difference_h = reading.metered_h - before.metered_h
    if difference_h < 0.0:
        said = f"The meter reads {-difference_h:.1f} h lower than before. It was confirmed, and adds nothing."
        return Count(0.0, METER_SD_H, started_at=before.read_at, remark=said)
    others = [e for e in at_a_time.counting_entries(reading.engine) if e.grade != METER]
    counted_h = at_a_time.between(others, before.read_at, reading.read_at).hours_h
    added = meter_share(difference_h, counted_h)
    # A disagreement is a rectangle about what is counted.
    sd_h = math.hypot(METER_SD_H, added.disagreement_h / math.sqrt(3.0))
    said = f"The meter counted {difference_h:.2f} h since {local_moment(before.read_at)}. "
    said += f"Other records of that time count {counted_h:.2f} h. "
    if added.disagreement_h > METER_SD_H:
        said += f"They disagree by {added.disagreement_h:.2f} h: find out which is wrong. Nothing is added."
    else:
        said += f"The difference is added: {added.added_h:.2f} h."
    return Count(added.added_h, sd_h, started_at=before.read_at, remark=said)


def _replace(entry: EngineTimeEntry, count: Count, who: Person, at: datetime) -> None:
    same = abs(entry.duration_h - count.duration_h) < SAME_H and abs(entry.sd_h - count.sd_h) < SAME_H
    if same and entry.started_at == count.started_at:
        return
    row = replacement(entry, count, RECONCILED, [count.remark], who)
    more = {"replaces_entry": entry.entry_sequence}
    subject = f"engine/{entry.engine.serial}"
    journal.record(row, "engine time reconciled", subject, actor=who.username, at=at, **more)


def replacement(
    entry: EngineTimeEntry, count: Count, method: str, remarks: Sequence[str], who: Person
) -> EngineTimeEntry:
    """A row of the same evidence and grade that counts something else, not yet recorded."""
    kept: dict[str, Any] = {
        name: getattr(entry, name) for name in ("engine", "on_day", "ended_at", "grade", "evidence")
    }
    return EngineTimeEntry(
        **kept,
        started_at=count.started_at,
        duration_h=count.duration_h,
        sd_h=count.sd_h,
        starts=count.starts,
        runs=count.runs,
        method=method,
        remarks=list(remarks),
        entered_by=str(who),
        replaces=entry,
    )
