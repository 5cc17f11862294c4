"""Hours that somebody typed into a table, entered line by line; what stands already is left alone."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, time
from enum import StrEnum

from django.utils import timezone

from tickover.formats.hours_csv import HoursRow, RowProblem
from tickover.workshop.engine_time import actions as time_actions
from tickover.workshop.engine_time import meter_actions, reconciling, typed_hours
from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.kernel import actions as journal
from tickover.workshop.kernel.idempotency import nothing_asked
from tickover.workshop.people.models import Person
from tickover.workshop.register import actions
from tickover.workshop.register.locking import lock_engine
from tickover.workshop.register.models import Engine

TYPED_IN_A_TABLE = "typed in a table"
SAME_H = 1e-6
METER = "engine meter"
EVENING = time(23, 59)


class RowOutcome(StrEnum):
    ENTERED = "entered"
    THERE_ALREADY = "there already"
    REFUSED = "refused"


@dataclass(frozen=True)
class ReportLine:
    """What became of one line of the table; `sequence` is the journal entry that has its hours, if any."""

    line: int
    outcome: RowOutcome
    said: str
    serial: str = ""
    sequence: int | None = None


def import_hours(
    rows: Iterable[HoursRow], problems: Iterable[RowProblem], *, who: Person, at: datetime
) -> tuple[ReportLine, ...]:
    """Enter each sound row, and report on every line in the order of the table.

    A row that the register refuses, or has already, costs that row alone. Hours go before meter readings,
    and readings by their day, so that a meter adds what the hours leave.
    """
    refused = [_refused(problem) for problem in problems]
    with journal.locked(), nothing_asked():
        ordered = sorted(rows, key=lambda row: (row.meter_h is not None, row.on_day, row.line))
        lines = [_enter(row, who, at) for row in ordered]
    return tuple(sorted([*refused, *lines], key=lambda line: line.line))


def _refused(problem: RowProblem) -> ReportLine:
    field = f"Column {problem.field}: " if problem.field else ""
    return ReportLine(problem.line, RowOutcome.REFUSED, field + problem.message)


def _enter(row: HoursRow, who: Person, at: datetime) -> ReportLine:
    engine = Engine.objects.filter(serial=row.engine).first()
    if engine is None:
        return ReportLine(
            row.line, RowOutcome.REFUSED, f"No engine with serial {row.engine} is in the register."
        )
    lock_engine(engine.pk)  # two people who hand in one table at once enter it once
    try:
        return (
            _read_meter(engine, row, who, at) if row.hours_h is None else _enter_hours(engine, row, who, at)
        )
    except actions.RegisterError as error:
        return ReportLine(row.line, RowOutcome.REFUSED, str(error), row.engine)


def _enter_hours(engine: Engine, row: HoursRow, who: Person, at: datetime) -> ReportLine:
    hours_h, method = row.hours_h or 0.0, row.remark or TYPED_IN_A_TABLE
    same = engine_time.counting_entries(engine).filter(
        on_day=row.on_day, method=method, duration_h__range=(hours_h - SAME_H, hours_h + SAME_H)
    )
    if there := same.first():
        return _there(row, there.entry_sequence)
    sd_h = typed_hours.usual_sd_h(hours_h, row.grade) if row.sd_h is None else row.sd_h
    hours = time_actions.TypedHours(hours_h, sd_h, row.on_day, row.grade, method)
    entry = time_actions.enter_hours(engine, hours, who=who, at=at)
    said = f"{hours_h:.2f} h on {row.on_day:%d %b %Y}, {row.grade}, sd {sd_h:.2f} h."
    return ReportLine(row.line, RowOutcome.ENTERED, said, row.engine, entry.entry_sequence)


def _read_meter(engine: Engine, row: HoursRow, who: Person, at: datetime) -> ReportLine:
    value_h = row.meter_h or 0.0
    readings = reconciling.counted_readings(engine)
    for there in readings:
        same_day = timezone.localtime(there.read_at).date() == row.on_day
        if same_day and abs(there.value_h - value_h) < SAME_H:
            return _there(row, there.entry_sequence)
    read_at = min(timezone.make_aware(datetime.combine(row.on_day, EVENING)), at)
    meter = readings[-1].meter if readings else METER
    reading = meter_actions.TypedMeterReading(value_h, read_at, meter, row.remark)
    entered = meter_actions.read_meter(engine, reading, who=who, at=at)
    said = f"{value_h:g} h on the meter on {row.on_day:%d %b %Y}; adds {entered.entry.duration_h:.2f} h."
    return ReportLine(row.line, RowOutcome.ENTERED, said, row.engine, entered.entry.entry_sequence)


def _there(row: HoursRow, sequence: int) -> ReportLine:
    said = f"Already recorded as journal entry {sequence}; it is not entered again."
    return ReportLine(row.line, RowOutcome.THERE_ALREADY, said, row.engine, sequence)
