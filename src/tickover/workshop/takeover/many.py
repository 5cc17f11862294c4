"""Many engines from one table: what would become of each line, and the same in earnest.

A line has an engine, or an engine and one of its services. An engine goes in with all its lines or not at all; one
that is in the register already is left as it is.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from enum import StrEnum
from typing import TypeVar

from django.db import transaction
from django.utils.timezone import localdate

from tickover.formats.errors import FormatError
from tickover.formats.text.times import read_day
from tickover.formats.typed_table.columns import ColumnGuess, hours_typed
from tickover.formats.typed_table.reading import TypedTable, is_formula
from tickover.sheets import TypeSheet
from tickover.workshop.kernel import actions as journal
from tickover.workshop.kernel.refusal import RefusedError
from tickover.workshop.people.models import Person
from tickover.workshop.register.models import Engine
from tickover.workshop.takeover.actions import ComingEngine, HoursNow, take_over
from tickover.workshop.takeover.last_done import LastDoneTyped, bring_forward
from tickover.workshop.takeover.refusal import RowsRefusedError
from tickover.workshop.takeover.sorting_in import task_meant

T = TypeVar("T")
WORDS: Mapping[str, tuple[str, ...]] = {
    "serial": ("serial", "serial number", "serial no", "engine serial", "engine"),
    "name": ("name", "engine name"),
    "type": ("type", "engine type", "model"),
    "build": ("build", "variant"),
    "owner": ("owner", "owner name", "customer", "pilot"),
    "hours_now": ("hours now", "total hours", "total time", "engine hours", "tsn", "hours"),
    "read_on": ("read on", "hours on", "as of"),
    "source": ("source", "logbook", "where", "page"),
    "service": ("task", "service", "work", "inspection"),
    "at_h": ("last done at", "done at", "at", "done h", "last done h"),
    "on_day": ("last done on", "done on", "on", "last done", "date", "day"),
}
"""What the columns are called in the first row of a table."""
FACTS = ("name", "type", "build", "owner", "hours_now", "read_on", "source")


class LineOutcome(StrEnum):
    ADDED = "engine"
    SERVICE = "service"
    THERE = "there already"
    REFUSED = "refused"


@dataclass(frozen=True)
class EngineLineTyped:
    """A line of the table: its number and its cells, by what they are."""

    line: int
    cells: Mapping[str, str]

    def __getitem__(self, what: str) -> str:
        return self.cells.get(what, "")

    @property
    def has_service(self) -> bool:
        return bool(self["service"] or self["at_h"] or self["on_day"])


@dataclass(frozen=True)
class LineFate:
    """What becomes of a line, and why."""

    line: int
    serial: str
    outcome: LineOutcome
    said: str


@dataclass(frozen=True)
class ManyReport:
    """Every line with its fate, in the order of the table."""

    lines: tuple[LineFate, ...]

    def count(self, outcome: LineOutcome) -> int:
        return sum(line.outcome is outcome for line in self.lines)

    @property
    def wrong(self) -> list[LineFate]:
        return [line for line in self.lines if line.outcome is LineOutcome.REFUSED]

    @property
    def right(self) -> list[LineFate]:
        return [line for line in self.lines if line.outcome is not LineOutcome.REFUSED]

    @property
    def engines(self) -> int:
        return self.count(LineOutcome.ADDED)

    @property
    def services(self) -> int:
        return self.count(LineOutcome.SERVICE)

    @property
    def refused(self) -> int:
        return self.count(LineOutcome.REFUSED)

    @property
    def there(self) -> int:
        return self.count(LineOutcome.THERE)


class _WrongLineError(Exception):
    """A line that cannot be entered; caught engine by engine."""

    def __init__(self, line: int, sentence: str) -> None:
        super().__init__(sentence)
        self.line, self.sentence = line, sentence


def lines_of_table(table: TypedTable, columns: ColumnGuess) -> list[EngineLineTyped]:
    """The lines of a table by what their columns hold."""
    return [
        EngineLineTyped(line, {what: columns.cell(row, what) for what in columns.places})
        for line, row in columns.rows(table)
    ]


def enter_engines(
    lines: Sequence[EngineLineTyped],
    sheets: Sequence[TypeSheet],
    source: str,
    *,
    in_earnest: bool,
    who: Person,
    at: datetime,
) -> ManyReport:
    """Enter every engine that can be; or only find out, and leave everything as it was.

    `source` is the book or file for lines that name none.
    """
    by_serial: dict[str, list[EngineLineTyped]] = {}
    fates: list[LineFate] = []
    for line in lines:
        if line["serial"]:
            by_serial.setdefault(line["serial"].casefold(), []).append(line)
        else:
            fates.append(LineFate(line.line, "", LineOutcome.REFUSED, "The serial number is missing."))
    with journal.locked():
        for together in by_serial.values():
            fates += _enter(together, sheets, source, who, at)
        if not in_earnest:
            transaction.set_rollback(True)
    return ManyReport(tuple(sorted(fates, key=lambda fate: fate.line)))


def _enter(
    lines: list[EngineLineTyped], sheets: Sequence[TypeSheet], source: str, who: Person, at: datetime
) -> list[LineFate]:
    """All lines of one engine, or none of them."""
    serial = lines[0]["serial"]
    if there := Engine.objects.filter(serial__iexact=serial).first():
        said = f"{there.name} is in the register already. Nothing is changed."
        return [LineFate(line.line, serial, LineOutcome.THERE, said) for line in lines]
    try:
        with journal.locked():
            coming = _coming(lines, sheets, source, localdate(at))
            engine = take_over(coming, who=who, at=at)
            services = _services(lines, sheets, engine)
            if services:
                book = coming.hours.source or source
                bring_forward(
                    engine, {name: last for name, (_, last) in services.items()}, book, who=who, at=at
                )
    except _WrongLineError as wrong:
        return _refused(lines, serial, {wrong.line: wrong.sentence})
    except RowsRefusedError as error:
        return _refused(lines, serial, {services[name][0]: said for name, said in error.rows.items()})
    except RefusedError as error:
        return _refused(lines, serial, {lines[0].line: str(error)})
    return _entered(lines, engine, coming, services)


def _entered(
    lines: list[EngineLineTyped],
    engine: Engine,
    coming: ComingEngine,
    services: Mapping[str, tuple[int, LastDoneTyped]],
) -> list[LineFate]:
    said = f"{engine.name}, {engine.owner.name}, {coming.hours.hours_h:g} h"
    fates = [LineFate(lines[0].line, engine.serial, LineOutcome.ADDED, said)]
    counted = {line for line, _ in services.values()}
    for line in (one for one in lines if one.has_service):
        words = line["service"] if line.line in counted else f"{line['service']}: an older time, left out"
        fates.append(LineFate(line.line, engine.serial, LineOutcome.SERVICE, words))
    return fates


def _refused(lines: list[EngineLineTyped], serial: str, wrong: Mapping[int, str]) -> list[LineFate]:
    first = min(wrong)
    others = f"Left out with line {first}."
    return [LineFate(one.line, serial, LineOutcome.REFUSED, wrong.get(one.line, others)) for one in lines]


def _coming(
    lines: list[EngineLineTyped], sheets: Sequence[TypeSheet], source: str, today: date
) -> ComingEngine:
    """The engine of these lines. Raises _WrongLineError."""
    facts = _facts(lines)
    line = lines[0].line
    if not facts.get("owner"):
        raise _WrongLineError(line, "The owner is missing.")
    sheet = _sheet(facts.get("type", ""), sheets, line)
    hours_h = _read(hours_typed, facts.get("hours_now", ""), "hours now", line)
    if hours_h is None:
        raise _WrongLineError(line, "The hours now are missing. For a new engine, write 0.")
    read_on = _read(read_day, facts.get("read_on", ""), "day of the hours", line) or today
    hours = HoursNow(hours_h, read_on, "log entry", facts.get("source") or source)
    engine = ComingEngine(lines[0]["serial"], sheet.id, facts["owner"], hours, facts.get("name", ""))
    return replace(engine, build_id=_build(facts.get("build", ""), sheet, line))


def _facts(lines: list[EngineLineTyped]) -> dict[str, str]:
    """What the lines say of their engine. Raises _WrongLineError where two of them differ, or are one twice."""
    facts: dict[str, tuple[int, str]] = {}
    for line in lines:
        if line is not lines[0] and not line.has_service:
            raise _WrongLineError(line.line, f"Serial {line['serial']} is on line {lines[0].line} already.")
        for what in FACTS:
            at, said = facts.setdefault(what, (line.line, line[what]))
            if line[what] and said and line[what] != said:
                raise _WrongLineError(
                    line.line, f"Line {at} says “{said}” of this serial, not “{line[what]}”."
                )
            if line[what] and not said:
                facts[what] = (line.line, line[what])
    return {what: said for what, (_, said) in facts.items()}


def _sheet(said: str, sheets: Sequence[TypeSheet], line: int) -> TypeSheet:
    for sheet in sheets:
        if said.casefold() in (sheet.id, sheet.title.casefold()):
            return sheet
    if not said and len(sheets) == 1:
        return sheets[0]
    titles = ", ".join(sheet.title for sheet in sheets)
    what = f"“{said}” is no engine type here" if said else "The engine type is missing"
    raise _WrongLineError(line, f"{what}. Write one of: {titles}.")


def _build(said: str, sheet: TypeSheet, line: int) -> str:
    if not said:
        return ""
    for build in sheet.builds:
        if said.casefold() in (build.id, build.title.casefold()):
            return build.id
    titles = ", ".join(build.title for build in sheet.builds)
    raise _WrongLineError(line, f"“{said}” is no build of {sheet.title}. Write one of: {titles}.")


def _services(
    lines: list[EngineLineTyped], sheets: Sequence[TypeSheet], engine: Engine
) -> dict[str, tuple[int, LastDoneTyped]]:
    """The last time of each task with its line. Raises _WrongLineError."""
    sheet = next(sheet for sheet in sheets if sheet.id == engine.sheet_id).for_build(engine.build_id)
    tasks = [task for task in sheet.programme if not task.on_condition]
    found: dict[str, tuple[int, LastDoneTyped]] = {}
    for line in (one for one in lines if one.has_service):
        task_id = task_meant(line["service"], tasks)
        if task_id is None:
            raise _WrongLineError(line.line, f"“{line['service']}” is no task of {sheet.title}.")
        last = LastDoneTyped(
            _read(hours_typed, line["at_h"], "hours", line.line),
            _read(read_day, line["on_day"], "day", line.line),
        )
        if task_id not in found or (last.at_h or 0.0) > (found[task_id][1].at_h or 0.0):
            found[task_id] = (line.line, last)
    return found


def _read(read: Callable[[str], T], text: str, what: str, line: int) -> T | None:
    """What a cell says; None where it is empty. Raises _WrongLineError."""
    if not text:
        return None
    if is_formula(text):
        raise _WrongLineError(line, f"The {what}: “{text}” is a formula. Write the value it shows.")
    try:
        return read(text)
    except FormatError as error:
        raise _WrongLineError(line, f"The {what}: {error.message}") from error
