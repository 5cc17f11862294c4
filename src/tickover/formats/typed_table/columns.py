"""Which column of a typed table is which: by its header, else by what is in it; a guess that a person corrects."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from tickover.formats.errors import FormatError
from tickover.formats.text.number import read_number
from tickover.formats.text.times import SLASH_DAY, read_day
from tickover.formats.typed_table.reading import TypedTable, cells_of

MOSTLY = 0.6
CLOCK_HOURS = re.compile(r"(\d{1,5}):([0-5]\d)", re.ASCII)

Words = Mapping[str, tuple[str, ...]]
"""What a column may be called in a header, the surest word first, by what it holds."""


@dataclass(frozen=True)
class ColumnGuess:
    """`header`: whether the first row is one. `places`: the column, from 0, of each thing that was found."""

    header: bool
    places: Mapping[str, int]

    def rows(self, table: TypedTable) -> list[tuple[int, tuple[str, ...]]]:
        """The rows below the header, each with its line in the file."""
        numbered = list(zip(table.lines, table.rows, strict=True))
        return numbered[1:] if self.header else numbered

    def cell(self, row: Sequence[str], what: str) -> str:
        """What a row has in a column; "" where there is none."""
        place = self.places.get(what)
        return row[place] if place is not None and place < len(row) else ""


def guess_columns(table: TypedTable, words: Words) -> ColumnGuess:
    """Guess the columns: by their headers first, then by what is in those that are left."""
    named = _by_header(table.rows[0], words)
    header = bool(named) or _is_header(table)
    body = table.rows[1:] if header else table.rows
    places = dict(named)
    for what, holds in CONTENT.items():
        free = [n for n in range(len(table.rows[0])) if n not in places.values()]
        shares = {n: _share(list(cells_of(body, n)), holds) for n in free}
        if what in words and what not in places and shares:
            best = max(shares, key=lambda n: shares[n])
            if shares[best] >= MOSTLY:
                places[what] = best
    return ColumnGuess(header, places)


def fingerprint_of(table: TypedTable) -> str:
    """By which tables with the same first row are known again."""
    joined = "\t".join(cell.casefold() for cell in table.rows[0])
    return hashlib.sha256(joined.encode()).hexdigest()


def hours_typed(text: str) -> float:
    """Engine hours as people write them: 205.5, 205,5, 205:30, 205 h. Raises FormatError. [h]"""
    if clock := CLOCK_HOURS.fullmatch(text):
        return int(clock[1]) + int(clock[2]) / 60.0
    return read_number(text, unit="h", name="Hours")


def _by_header(first: Sequence[str], words: Words) -> dict[str, int]:
    """Columns whose header is, or else begins with or holds, one of the words; each column once."""
    found: dict[str, int] = {}
    headers = [" ".join(re.findall(r"\w+", cell.casefold())) for cell in first]
    for fits in (_equal, _holds):
        for what, said in words.items():
            place = next(
                (
                    n
                    for word in said
                    for n, h in enumerate(headers)
                    if fits(word, h) and n not in found.values()
                ),
                None,
            )
            if what not in found and place is not None:
                found[what] = place
    return found


def _equal(word: str, header: str) -> bool:
    return word == header


def _holds(word: str, header: str) -> bool:
    return len(word) > 1 and re.search(rf"\b{re.escape(word)}\b", header) is not None


def _is_header(table: TypedTable) -> bool:
    """Whether the first row has words alone where the rows below have numbers or days."""
    first, body = table.rows[0], table.rows[1:]
    if not body or any(_is_hours(cell) or _is_day(cell) for cell in first if cell):
        return False
    return any(
        _share(list(cells_of(body, n)), fits) >= MOSTLY
        for n in range(len(first))
        for fits in (_is_hours, _is_day)
    )


def _share(cells: Sequence[str], holds: Callable[[str], bool]) -> float:
    return sum(map(holds, cells)) / len(cells) if cells else 0.0


def _is_hours(cell: str) -> bool:
    try:
        return hours_typed(cell) >= 0.0
    except FormatError:
        return False


def _is_day(cell: str) -> bool:
    if SLASH_DAY.fullmatch(cell):
        return True
    try:
        read_day(cell)
    except FormatError:
        return False
    return True


def _is_words(cell: str) -> bool:
    return len(re.findall(r"[^\W\d_]", cell)) > 3 and not _is_hours(cell)


CONTENT: Mapping[str, Callable[[str], bool]] = {"day": _is_day, "hours": _is_hours, "task": _is_words}
