"""Rows of a table of services, sorted in to the tasks of the programme: the last time of each, and what fits none."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from rapidfuzz import fuzz, process, utils

from tickover.formats.errors import FormatError
from tickover.formats.text.times import read_day
from tickover.formats.typed_table.columns import ColumnGuess, hours_typed
from tickover.formats.typed_table.reading import TypedTable, is_formula
from tickover.sheets import TaskRow

MOST_ROWS = 2_000
LIKE_ENOUGH, BETTER_BY = 84.0, 4.0
WORDS: Mapping[str, tuple[str, ...]] = {
    "task": ("task", "service", "work", "item", "inspection", "what", "description", "title", "job"),
    "hours": ("hours", "h", "at", "engine hours", "engine time", "tsn", "meter", "tach", "last done at"),
    "day": ("date", "day", "on", "done on", "last done on", "last done", "when"),
}
"""What the columns are called in the first row of a table."""


@dataclass(frozen=True)
class TypedService:
    """A row of the table: its line, what it says was done, at how many hours and when, as typed."""

    line: int
    said: str
    hours: str
    on: str


@dataclass(frozen=True)
class SortedIn:
    """The last time of each task, as typed; the rows that fit no task; and how many were older times."""

    found: Mapping[str, TypedService]
    unknown: tuple[TypedService, ...]
    older: int


def sort_in(
    table: TypedTable,
    columns: ColumnGuess,
    tasks: Sequence[TaskRow],
    named: Mapping[str, str] | None = None,
) -> SortedIn:
    """Sort rows in by the name of the task. `named` says of a line's number which task a person chose for it."""
    found: dict[str, TypedService] = {}
    unknown: list[TypedService] = []
    older, known = 0, {task.id for task in tasks}
    for line, row in columns.rows(table):
        service = _service(line, row, columns)
        if not service.hours and not service.on:
            continue
        chosen = (named or {}).get(str(line), "")
        task_id = chosen if chosen in known else task_meant(service.said, tasks)
        if task_id is None:
            unknown.append(service)
            continue
        older += task_id in found
        if task_id not in found or _later(service, found[task_id]):
            found[task_id] = service
    return SortedIn(found, tuple(unknown), older)


def task_meant(said: str, tasks: Sequence[TaskRow]) -> str | None:
    """The task that somebody's words mean; None where none is like them, or two are alike."""
    plain = said.strip().casefold()
    for task in tasks:
        if plain in (task.id, task.title.casefold()):
            return task.id
    titles = {task.id: task.title for task in tasks}
    near = process.extract(
        said, titles, scorer=fuzz.token_sort_ratio, processor=utils.default_process, limit=2
    )
    wide = process.extract(
        said, titles, scorer=fuzz.token_set_ratio, processor=utils.default_process, limit=2
    )
    for best in (near, wide):
        if best and best[0][1] >= LIKE_ENOUGH and (len(best) < 2 or best[0][1] - best[1][1] >= BETTER_BY):
            return str(best[0][2])
    return None


def _service(line: int, row: Sequence[str], columns: ColumnGuess) -> TypedService:
    return TypedService(line, columns.cell(row, "task"), columns.cell(row, "hours"), columns.cell(row, "day"))


def _later(one: TypedService, other: TypedService) -> bool:
    """Whether one was done after the other, by hours where both have them, else by day."""
    for read in (_hours, _day):
        a, b = read(one), read(other)
        if a is not None and b is not None:
            return a > b
    return False


def _hours(service: TypedService) -> float | None:
    try:
        return None if is_formula(service.hours) else hours_typed(service.hours)
    except FormatError:
        return None


def _day(service: TypedService) -> float | None:
    try:
        return float(read_day(service.on).toordinal())
    except FormatError:
        return None
