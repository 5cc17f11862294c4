"""The programme of one engine as one table: when each task was last done by the old logbook, or that nobody knows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from django.utils.timezone import localdate

from tickover.language.amounts import day, hours
from tickover.sheets import TaskRow
from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.kernel import actions as journal
from tickover.workshop.people.models import Person
from tickover.workshop.programme import actions as programme
from tickover.workshop.programme import queries
from tickover.workshop.programme.decisions import BY_BOOK
from tickover.workshop.programme.due_line import DueLine
from tickover.workshop.programme.models import TaskDone
from tickover.workshop.register.models import Engine
from tickover.workshop.takeover.actions import brought_forward
from tickover.workshop.takeover.refusal import RowsRefusedError, TakeOverError

SAME_H = 0.005
OLDEST_YEARS = 60
NOT_KNOWN = "not known"


@dataclass(frozen=True)
class LastDoneTyped:
    """What the old logbook says of a task; both empty: not known. [h]"""

    at_h: float | None = None
    on_day: date | None = None

    @property
    def empty(self) -> bool:
        return self.at_h is None and self.on_day is None


@dataclass(frozen=True)
class RecordedLast:
    """What is recorded of a task. `row` None: nothing that counts."""

    row: TaskDone | None

    @property
    def fixed(self) -> bool:
        """Whether it was recorded here by other means, so that no table changes it."""
        return self.row is not None and not self.row.reference.startswith(BY_BOOK)

    @property
    def typed(self) -> LastDoneTyped:
        """What is recorded, as it would be typed."""
        return LastDoneTyped(self.row.at_h, self.row.done_on) if self.row else LastDoneTyped()


@dataclass(frozen=True)
class ProgrammeRow(RecordedLast):
    """A task of the table with what is recorded of it, and how it is due."""

    task: TaskRow
    line: DueLine

    @property
    def not_known(self) -> bool:
        return self.line.not_known

    @property
    def when_empty(self) -> str:
        """What holds of the task while its row is empty: not known, or done with a greater task."""
        if self.row is None and not self.not_known and self.line.due.last_h > 0.0:
            return f"done with other work, {hours(self.line.due.last_h)} h"
        return NOT_KNOWN

    @property
    def interval(self) -> str:
        """How often: "100 h or 12 months"."""
        parts = [f"{self.task.interval_h:g} h"] if self.task.interval_h else []
        if months := self.task.interval_months:
            parts.append("1 month" if months == 1 else f"{months} months")
        return " or ".join(parts) or f"first after {self.task.first_after_h or 0:g} h"


def programme_rows(engine: Engine, today: date) -> list[ProgrammeRow]:
    """A row for each task that falls due by itself, in the order of the programme."""
    lines = {line.task.id: line for line in queries.due_lines(engine, today)}
    last = queries.last_done(engine)
    return [
        ProgrammeRow(last.get(task.id), task, lines[task.id])
        for task in queries.tasks_of(engine)
        if not task.on_condition
    ]


def source_of(engine: Engine) -> str:
    """The book that was named last for this engine; "" where none was."""
    noted = queries.newest_not_known(engine)
    last = [row for row in queries.last_done(engine).values() if row.reference.startswith(BY_BOOK)]
    if last:
        return max(last, key=lambda row: row.entry_sequence).reference.removeprefix(BY_BOOK).strip()
    return noted.source if noted else ""


def refusals(engine: Engine, typed: Mapping[str, LastDoneTyped], today: date) -> dict[str, str]:
    """What is wrong with each row, by its task; nothing where all of it can be."""
    now_h = engine_time.total_time(engine).hours_h
    found = {name: _wrong(last, now_h, today) for name, last in typed.items()}
    return {name: sentence for name, sentence in found.items() if sentence}


@journal.locked()
def bring_forward(
    engine: Engine, typed: Mapping[str, LastDoneTyped], source: str, *, who: Person, at: datetime
) -> int:
    """Record the table, all rows or none; returns how many changed. A row left empty is not known.

    Raises RowsRefusedError with a sentence for each row that cannot be, TakeOverError without a source.
    """
    if not source.strip():
        raise TakeOverError("Type which logbook this is copied from. Nothing was saved.", "source")
    recorded = queries.last_done(engine)
    rows = {
        task.id: RecordedLast(recorded.get(task.id))
        for task in queries.tasks_of(engine)
        if not task.on_condition
    }
    asked = {name: last for name, last in typed.items() if name in rows and not rows[name].fixed}
    if wrong := refusals(engine, asked, localdate(at)):
        raise RowsRefusedError(wrong)
    changed = {name: last for name, last in asked.items() if not _same(rows[name].typed, last)}
    reference = brought_forward(source)
    for name, last in changed.items():
        if rows[name].row is not None:
            programme.note_not_known(engine, name, f"corrected, {reference}", who=who, at=at)
        if last.at_h is not None and last.on_day is not None:
            programme.record_done(
                engine, name, last.on_day, last.at_h, reference, brought_forward=True, who=who, at=at
            )
    if any(last.empty for last in asked.values()) and not queries.rest_noted(engine):
        programme.note_not_known(engine, "", source, who=who, at=at)
    return len(changed)


def _wrong(last: LastDoneTyped, now_h: float, today: date) -> str:
    """The sentence of one row; "" where it can be."""
    if last.empty:
        return ""
    if last.at_h is None:
        return "Type the hours too. Without them, leave the row empty: not known."
    if last.on_day is None:
        return "Type the day too. Without it, leave the row empty: not known."
    if last.on_day > today:
        return f"{day(last.on_day)} is still to come. Check the year."
    if last.on_day.year < today.year - OLDEST_YEARS:
        return f"{day(last.on_day)} is more than {OLDEST_YEARS} years ago. Check the year."
    if last.at_h < 0.0:
        return f"{last.at_h:g} h is less than nothing."
    if last.at_h > now_h + SAME_H:
        return f"{hours(last.at_h)} h is more than the engine has now, {hours(now_h)} h. Check both."
    return ""


def _same(one: LastDoneTyped, other: LastDoneTyped) -> bool:
    if one.at_h is None or other.at_h is None:
        return one.empty and other.empty
    return abs(one.at_h - other.at_h) < SAME_H and one.on_day == other.on_day
