"""Reads of engine time: totals, and the time line of an engine."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet

from tickover.workshop.engine_time.reading_logs import ReadLog, read_track_log
from tickover.workshop.kernel import evidence_files
from tickover.workshop.register.models import WITHDRAWN, Engine, EngineTimeEntry


@dataclass(frozen=True)
class TotalTime:
    """Time since new with its standard deviation, and what it rests on."""

    hours_h: float
    sd_h: float
    starts: int
    by_grade: tuple[tuple[str, float], ...]

    @property
    def expanded_h(self) -> float:
        """Two standard deviations."""
        return 2 * self.sd_h


@dataclass(frozen=True)
class TimeLine:
    """One entry as the engine's page lists it."""

    id: int
    sequence: int
    on_day: date
    duration_h: float
    sd_h: float
    grade: str
    method: str
    file_name: str
    entered_by: str
    replaced: bool
    replaces_sequence: int | None
    remarks: tuple[str, ...]

    @property
    def expanded_h(self) -> float:
        """Expanded uncertainty, twice the standard deviation. [h]"""
        return 2 * self.sd_h

    @property
    def withdraws(self) -> bool:
        """Whether this entry only takes another out of the sum."""
        return self.method == WITHDRAWN


def counting_entries(engine: Engine) -> QuerySet[EngineTimeEntry]:
    """Entries that count: those that no later entry replaces."""
    return EngineTimeEntry.objects.filter(engine=engine, replaced_by=None)


def entries_by_engine(engine_ids: Iterable[int]) -> dict[int, list[tuple[date, float, float]]]:
    """Entries that count of many engines in one query: engine -> (day, hours, sd), oldest first."""
    rows = EngineTimeEntry.objects.filter(engine_id__in=list(engine_ids), replaced_by=None)
    found: dict[int, list[tuple[date, float, float]]] = defaultdict(list)
    for engine_id, day, hours_h, sd_h in rows.order_by("on_day", "id").values_list(
        "engine_id", "on_day", "duration_h", "sd_h"
    ):
        found[engine_id].append((day, hours_h, sd_h))
    return found


def total_time(engine: Engine, *, until: date | None = None) -> TotalTime:
    """Time since new: the sum of the entries that count, variances added."""
    entries = counting_entries(engine)
    if until is not None:
        entries = entries.filter(on_day__lte=until)
    rows = list(entries.values_list("grade", "duration_h", "sd_h", "starts"))
    grades: dict[str, float] = defaultdict(float)
    for grade, hours_h, _, _ in rows:
        grades[grade] += hours_h
    sd_h = math.sqrt(sum(row[2] ** 2 for row in rows))
    by_grade = tuple(sorted(grades.items(), key=lambda item: -item[1]))
    return TotalTime(sum(row[1] for row in rows), sd_h, sum(row[3] for row in rows), by_grade)


def time_lines(engine: Engine) -> list[TimeLine]:
    """Every entry of an engine, newest first, with those that were replaced marked."""
    entries = EngineTimeEntry.objects.filter(engine=engine).select_related(
        "evidence", "replaces", "replaced_by"
    )
    return [_time_line(e) for e in entries.order_by("-on_day", "-id")]


def one_entry(engine: Engine, sequence: int) -> EngineTimeEntry | None:
    rows = EngineTimeEntry.objects.select_related("evidence", "engine", "replaces", "replaced_by")
    return rows.filter(engine=engine, entry_sequence=sequence).first()


def line_of(entry: EngineTimeEntry) -> TimeLine:
    return _time_line(entry)


def derived_again(entry: EngineTimeEntry) -> ReadLog | None:
    """The entry's number, derived afresh from its evidence file; None where it has none."""
    return read_track_log(evidence_files.read(entry.evidence.sha256)) if entry.evidence else None


def _time_line(e: EngineTimeEntry) -> TimeLine:
    return TimeLine(
        id=e.pk,
        sequence=e.entry_sequence,
        on_day=e.on_day,
        duration_h=e.duration_h,
        sd_h=e.sd_h,
        grade=e.grade,
        method=e.method,
        file_name=e.evidence.name if e.evidence else "",
        entered_by=e.entered_by,
        replaced=hasattr(e, "replaced_by"),
        replaces_sequence=e.replaces.entry_sequence if e.replaces else None,
        remarks=tuple(e.remarks),
    )
