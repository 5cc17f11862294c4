"""The table of last times as it is typed: a row for each task, each with its own error."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from tickover.formats.errors import FormatError
from tickover.formats.text.times import read_day
from tickover.formats.typed_table.columns import hours_typed
from tickover.formats.typed_table.reading import is_formula
from tickover.workshop.takeover.last_done import NOT_KNOWN, LastDoneTyped, ProgrammeRow

TOO_LONG = 40


@dataclass(frozen=True)
class TypedRow:
    """One row as the page shows it: what was typed, and what is wrong with it."""

    row: ProgrammeRow
    hours: str
    on: str
    wrong: str = ""

    @property
    def empty(self) -> bool:
        return not self.hours and not self.on


class LastDoneTable:
    """The rows of the programme, with what was typed into them, or what is recorded."""

    def __init__(self, rows: list[ProgrammeRow], sent: Mapping[str, str] | None = None) -> None:
        self.rows = rows
        self._hours, self._on = {}, {}
        for row in rows:
            name, kept = row.task.id, row.typed
            as_kept = ("" if kept.at_h is None else f"{kept.at_h:.10g}", str(kept.on_day or ""))
            hours, on = as_kept if sent is None else (sent.get(f"h-{name}", ""), sent.get(f"d-{name}", ""))
            self._hours[name], self._on[name] = hours.strip()[:TOO_LONG], on.strip()[:TOO_LONG]
        self.typed: dict[str, LastDoneTyped] = {}
        self.wrong: dict[str, str] = {}
        for row in rows:
            if not row.fixed:
                self._read(row.task.id)

    def fill(self, found: Mapping[str, tuple[str, str]]) -> None:
        """Put hours and day of these tasks into their rows, as if they were typed."""
        for row in self.rows:
            if row.task.id in found and not row.fixed:
                self._hours[row.task.id], self._on[row.task.id] = found[row.task.id]
                self.wrong.pop(row.task.id, None)
                self._read(row.task.id)

    def refuse(self, wrong: Mapping[str, str]) -> None:
        self.wrong |= {name: said for name, said in wrong.items() if name not in self.wrong}

    @property
    def groups(self) -> list[tuple[str, list[TypedRow]]]:
        """The rows by system, in the order of the programme."""
        shown = (self._shown(row) for row in self.rows)
        ordered = sorted(shown, key=lambda one: self._place[one.row.task.system])
        return [(system, list(rows)) for system, rows in groupby(ordered, lambda one: one.row.task.system)]

    @property
    def known(self) -> int:
        shown = zip(self.rows, self._all(), strict=True)
        return sum(row.fixed or not one.empty or row.when_empty != NOT_KNOWN for row, one in shown)

    @property
    def _place(self) -> dict[str, int]:
        systems = dict.fromkeys(row.task.system for row in self.rows)
        return {system: n for n, system in enumerate(systems)}

    def _all(self) -> Iterator[TypedRow]:
        return (self._shown(row) for row in self.rows)

    def _shown(self, row: ProgrammeRow) -> TypedRow:
        name = row.task.id
        return TypedRow(row, self._hours[name], self._on[name], self.wrong.get(name, ""))

    def _read(self, name: str) -> None:
        try:
            self.typed[name] = LastDoneTyped(_hours(self._hours[name]), _day(self._on[name]))
        except FormatError as error:
            self.wrong[name] = error.message
            self.typed.pop(name, None)


def _hours(text: str) -> float | None:
    return hours_typed(_plain(text)) if text else None


def _day(text: str) -> date | None:
    return read_day(_plain(text)) if text else None


def _plain(text: str) -> str:
    if is_formula(text):
        raise FormatError(f"“{text}” is a formula. Type the value it shows.")
    return text
