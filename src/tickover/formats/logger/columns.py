"""Which column of an engine logger's table is which, by its header.

Spellings of the headers are common practice without a source. Where two columns could be meant, neither is taken.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import IntEnum

from tickover.formats.errors import FormatError
from tickover.formats.logger.speed import of_engine, tells_speed
from tickover.formats.text.delimited import delimiter_of, fields_of
from tickover.formats.text.times import read_clock, read_moment

HEADER_WITHIN = 30
LOOKED_AT = 50
MISSING = frozenset({"", "-", "--", "---", "nan", "n/a", "na", "null", "none", "#n/a"})
NUMBER = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d{1,2})?", re.ASCII)

WITH_UNIT = re.compile(r"[+-]?\d[\d.,]*\s*[^\W\d_°%]+", re.ASCII)
"""A value with its unit behind it in the cell; 1/min and min-1 are none."""
TIME = frozenset(
    {"time", "timestamp", "datetime", "utc", "gmt", "clock", "elapsed", "seconds", "zeit", "uhrzeit"}
)
SHORT_TIME = re.compile(r"(t|sec|secs?|ms)\W*(\W(s|ms|us|µs|μs)\W*)?")
NO_TIME = re.compile(r"zone|engine|motor|hobbs|total|offset")
DATE = frozenset({"date", "datum", "day"})
TIME_UNITS = (
    (1e-6, {"us", "µs", "μs", "microseconds"}),
    (1e-3, {"ms", "msec", "millis", "milliseconds"}),
    (1.0, {"s", "sec", "secs", "second", "seconds"}),
    (60.0, {"min", "minutes"}),
    (3600.0, {"h", "hr", "hours"}),
)
TEMPERATURES = (
    ("CHT", re.compile(r"cht|cyl\w*\.? ?head|zylinderkopf")),
    ("EGT", re.compile(r"egt|exh\w*\.? ?gas|abgas")),
)
VIBRATION = re.compile(r"vibration|\bvib\b|schwing")
CELSIUS = frozenset({"c", "degc", "celsius"})
FAHRENHEIT = frozenset({"f", "degf", "fahrenheit"})


class CellKind(IntEnum):
    """How a column tells the time, best first."""

    MOMENT = 0
    CLOCK = 1
    NUMBER = 2
    NONE = 3


@dataclass(frozen=True)
class LoggerColumn:
    """A column by its place, from 0, and its header; a unit from a second line stands in brackets."""

    index: int
    header: str

    def __str__(self) -> str:
        return f'column {self.index + 1}, "{self.header}"'

    @property
    def text(self) -> str:
        return self.header.casefold().replace("_", " ")

    @property
    def words(self) -> frozenset[str]:
        return frozenset(re.findall(r"[^\W\d_]+", self.text))


@dataclass(frozen=True)
class Header:
    """Where the header of a table stands: its columns, the delimiter, the first line of data from index 0."""

    columns: tuple[LoggerColumn, ...]
    delimiter: str
    first_row: int
    preamble: str


def find_header(lines: Sequence[str]) -> Header:
    """Find the line of headers. Raises FormatError, naming the columns seen, where none tells the rpm."""
    heads = [columns_of(line) for line in lines[:HEADER_WITHIN]]
    speeds = [number for number, columns in enumerate(heads) if any(map(_tells_speed, columns))]
    if not speeds:
        blank = _blank_header(lines)
        if blank is None:
            raise _no_speed(heads)
        return header_at(lines, blank, " ")
    at = next((number for number in speeds if any(map(_tells_time, heads[number]))), speeds[0])
    return header_at(lines, at)


def _no_speed(heads: Sequence[tuple[LoggerColumn, ...]]) -> FormatError:
    return FormatError(
        "No column for engine speed: its header must say rpm, r/min, 1/min, U/min or engine speed. "
        f"{_seen(max(heads, key=len, default=()))}"
    )


def _blank_header(lines: Sequence[str]) -> int | None:
    """Where a line of headers apart by blanks stands above a line of as many fields that hold a value.

    A sentence above the table has blanks too, so that the line below has to bear it out.
    """
    for at, line in enumerate(lines[:HEADER_WITHIN]):
        columns = columns_of(line, " ")
        below = [columns_of(row, " ") for row in lines[at + 1 : at + 3]]
        as_many = [row for row in below if len(row) == len(columns)]
        values = any(_kind([cell.header]) is not CellKind.NONE for row in as_many for cell in row)
        if values and any(map(_tells_speed, columns)) and any(map(_tells_time, columns)):
            return at
    return None


def header_at(lines: Sequence[str], at: int, delimiter: str = "") -> Header:
    """The headers on the line of index `at`, with the units of a second line below them, if there is one."""
    delimiter = delimiter or delimiter_of(lines[at])
    heads = columns_of(lines[at], delimiter)
    units = columns_of(lines[at + 1], delimiter) if at + 1 < len(lines) else ()
    second = _is_units(units, heads)
    return Header(
        columns=_with_units(heads, units) if second else heads,
        delimiter=delimiter,
        first_row=at + 1 + second,
        preamble="\n".join(lines[:at]),
    )


def has_engine_speed(lines: Sequence[str]) -> bool:
    """Whether one of the first lines is a header that tells the engine speed."""
    has_speed = any(_tells_speed(column) for line in lines[:HEADER_WITHIN] for column in columns_of(line))
    return has_speed or _blank_header(lines) is not None


def speed_column(columns: Sequence[LoggerColumn]) -> LoggerColumn:
    """The column of the engine speed. Raises FormatError where more than one can be meant."""
    found = [column for column in columns if _tells_speed(column)]
    named = [column for column in found if of_engine(column.text)]
    return _only(named or found, "the engine speed")


def time_column(
    columns: Sequence[LoggerColumn], speed: LoggerColumn, cells: Callable[[LoggerColumn], Sequence[str]]
) -> tuple[LoggerColumn, CellKind]:
    """The column that tells the time: moments before clock times before numbers; `cells` gives some of it."""
    ranked = [(_kind(cells(column)), column) for column in columns if _tells_time(column) and column != speed]
    best = min((kind for kind, _ in ranked), default=CellKind.NONE)
    if best is CellKind.NONE:
        raise FormatError(
            "No column for time: its header must say time, timestamp, UTC or seconds, and it must hold "
            f"seconds, hh:mm:ss or 2025-05-04T14:03:00. {_seen(columns)}{_what_it_reads(columns, speed, cells)}"
        )
    return _only([column for kind, column in ranked if kind is best], "the time"), best


def _what_it_reads(
    columns: Sequence[LoggerColumn], speed: LoggerColumn, cells: Callable[[LoggerColumn], Sequence[str]]
) -> str:
    """What stands in a column that is called a time, but holds none."""
    called = (column for column in columns if _tells_time(column) and column != speed)
    held = [(column, cells(column)[0]) for column in called if cells(column)]
    return "".join(f' The time ({column}) reads "{cell[:40]}".' for column, cell in held[:1])


def date_column(columns: Sequence[LoggerColumn], time: LoggerColumn) -> LoggerColumn | None:
    """The column of the day, if there is one beside the time."""
    return next((column for column in columns if column.words & DATE and column != time), None)


def seconds_in(column: LoggerColumn) -> float | None:
    """Length of the unit that a time column's header names; None where it names none. [s]"""
    return next((length for length, words in TIME_UNITS if column.words & words), None)


def temperature_columns(columns: Sequence[LoggerColumn]) -> dict[str, LoggerColumn]:
    """Columns of cylinder head and exhaust gas temperatures: CHT, CHT2, EGT and so on."""
    found: dict[str, LoggerColumn] = {}
    for code, pattern in TEMPERATURES:
        for number, column in enumerate((c for c in columns if pattern.search(c.text)), 1):
            found[code if number == 1 else f"{code}{number}"] = column
    return found


def vibration_columns(columns: Sequence[LoggerColumn]) -> list[LoggerColumn]:
    """Columns of a vibration, whatever its unit."""
    return [column for column in columns if VIBRATION.search(column.text)]


def is_fahrenheit(column: LoggerColumn) -> bool | None:
    """Whether a temperature's header says °F (True) or °C (False); None where it says neither."""
    if column.words & FAHRENHEIT:
        return True
    return False if column.words & CELSIUS else None


def columns_of(line: str, delimiter: str = "") -> tuple[LoggerColumn, ...]:
    """The fields of a line as columns; none where it has one field only."""
    try:
        fields = fields_of(line, delimiter or delimiter_of(line))
    except FormatError:
        return ()
    while fields and not fields[-1]:
        fields.pop()
    return tuple(LoggerColumn(*pair) for pair in enumerate(fields)) if len(fields) > 1 else ()


def _tells_speed(column: LoggerColumn) -> bool:
    return tells_speed(column.text)


def _tells_time(column: LoggerColumn) -> bool:
    named = column.words & TIME or SHORT_TIME.fullmatch(column.text)
    return bool(named) and not NO_TIME.search(column.text)


def _only(found: Sequence[LoggerColumn], what: str) -> LoggerColumn:
    if len(found) == 1:
        return found[0]
    listed = " or ".join(str(column) for column in found)
    raise FormatError(f"It is not clear which column holds {what}: {listed}. Leave one of them in the file.")


def _seen(columns: Sequence[LoggerColumn]) -> str:
    names = ", ".join(f'"{column.header[:40]}"' for column in columns[:20])
    return f"Columns seen: {names}." if names else "No line with more than one column was seen."


def _is_units(units: Sequence[LoggerColumn], heads: Sequence[LoggerColumn]) -> bool:
    cells = [column.header for column in units]
    has_words = any(re.search(r"[^\W\d]|°|%", cell) and cell.casefold() not in MISSING for cell in cells)
    values = any(_kind([cell]) is not CellKind.NONE or WITH_UNIT.fullmatch(cell) for cell in cells)
    return len(cells) <= len(heads) and has_words and not values


def _with_units(heads: Sequence[LoggerColumn], units: Sequence[LoggerColumn]) -> tuple[LoggerColumn, ...]:
    unit_of = {unit.index: unit.header.strip("[]()") for unit in units}
    return tuple(
        LoggerColumn(
            head.index, f"{head.header} [{unit_of[head.index]}]" if unit_of.get(head.index) else head.header
        )
        for head in heads
    )


def _kind(cells: Sequence[str]) -> CellKind:
    held = [cell for cell in cells if cell.casefold() not in MISSING]
    readers: tuple[Callable[[str], object], ...] = (read_moment, read_clock, NUMBER.fullmatch)
    counts = [sum(reader(cell) is not None for cell in held) for reader in readers]
    return CellKind(counts.index(max(counts))) if any(counts) else CellKind.NONE
