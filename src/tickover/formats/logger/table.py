"""The rows of an engine logger's table, field by field, and the numbers and moments in them."""

from __future__ import annotations

import datetime as dt
import re
from array import array
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

import numpy as np

from tickover.formats.errors import FormatError
from tickover.formats.igc import Damage
from tickover.formats.igc_fixes import Floats, unroll_midnight
from tickover.formats.logger.cells import both_ways, can_mean, numbers
from tickover.formats.logger.columns import (
    LOOKED_AT,
    MISSING,
    CellKind,
    Header,
    LoggerColumn,
    date_column,
    find_header,
    seconds_in,
)
from tickover.formats.text.delimited import fields_of, records
from tickover.formats.text.times import midnight_s, read_clock, read_day, read_moment

UNIX_S = 1e9  # seconds from 1970 to 2001: no logger counts that far from zero
COUNTS_FROM_ZERO_S = 2.0  # 00:00:00 is a stop watch far more often than a start at midnight
COMMENT = ("#", "//", "%")
SPREADSHEET_DAYS = (30_000.0, 80_000.0)  # 1982 to 2119 in days since 1899-12-30, as spreadsheets count
ZONED = re.compile(r".*(Z|[+-]\d\d(:?\d\d)?)", re.ASCII | re.IGNORECASE)
DAY_ABOVE = re.compile(r"\b(\d{4}-\d\d-\d\d|\d{1,2}\.\d{1,2}\.\d{4})(?:[T ,;]+(\d?\d:\d\d:\d\d))?", re.ASCII)
WATCH_TAKEN = "The times are taken as minutes and seconds."
UTC_TAKEN = "The clock of this log is taken as UTC."


@dataclass(frozen=True)
class Table:
    """The rows of a table that fit its headers, by their numbers among all lines; and the lines that were left out.

    Fields are split again for each column that is asked for, so that a long log takes little beyond its own lines.
    """

    header: Header
    text: Sequence[str]
    lines: Sequence[int]
    damaged: list[Damage]

    def fields(self, row: int) -> list[str]:
        return fields_of(self.text[self.lines[row] - 1], self.header.delimiter)

    def cells(self, column: LoggerColumn) -> Iterator[str]:
        at, mark = column.index, self.header.delimiter
        for number in self.lines:
            line = self.text[number - 1]
            plain = mark != " " and '"' not in line
            yield line.split(mark, at + 1)[at].strip() if plain else fields_of(line, mark)[at]

    def some(self, column: LoggerColumn) -> list[str]:
        """The first cells that hold something."""
        held = islice(self.cells(column), 20 * LOOKED_AT)
        return list(islice((cell for cell in held if cell.casefold() not in MISSING), LOOKED_AT))

    def shown(self, row: int, column: LoggerColumn, name: str) -> str:
        """What stands in a cell, for a sentence."""
        return f'the {name} ({column}) reads "{self.fields(row)[column.index][:40]}"'


def read_table(lines: list[str], header: Header | None = None) -> Table:
    """Find the headers and the rows below them. Raises FormatError where most rows do not fit them."""
    found, damaged = array("q"), list[Damage]()
    header = header or find_header(lines)
    width = len(header.columns)
    for number, fields in records(lines, header.first_row, header.delimiter):
        if isinstance(fields, FormatError):
            damaged.append(Damage(number, fields.message, lines[number - 1][:80]))
        elif fields[0].startswith(COMMENT):
            continue
        elif len(fields) < width or any(fields[width:]):
            why = f"the line has {len(fields)} fields, the header {width}"
            damaged.append(Damage(number, why, lines[number - 1][:80]))
        else:
            found.append(number)
    table = Table(header, lines, found, damaged)
    if len(damaged) >= len(found):
        raise _does_not_fit(table)
    return table


def _does_not_fit(table: Table) -> FormatError:
    if not table.damaged:
        return FormatError(
            "The table has headers and no rows below them. Copy it from the logger again, after the log was stopped."
        )
    first = table.damaged[0]
    comma = " Decimals or thousands behind a comma need semicolons or tabs between the fields."
    return FormatError(
        f"{len(table.damaged)} lines do not fit the headers; here {first.reason}."
        f"{comma if table.header.delimiter == ',' else ''}",
        first.line,
    )


def refuse_two_readings(table: Table, speed: LoggerColumn, rpm_per_count: float, fastest_rpm: float) -> None:
    """A whole column of 5,400 and 850 is one of thousands, or of decimals; nothing in it tells which.

    Unless what a count is does: 33,333 turns a second are none of thousands.
    """
    first = can_mean(table.cells(speed))
    if not first:
        return
    large, small = both_ways(first)
    if rpm_per_count > 1.0 and float(large) * rpm_per_count > fastest_rpm:
        return
    line = next(number for number, cell in zip(table.lines, table.cells(speed), strict=True) if cell == first)
    raise FormatError(
        f"the rpm ({speed}) reads {first}, which can mean {large} or {small}. Export it without a mark between "
        "thousands.",
        line,
    )


def moments(
    table: Table, time: LoggerColumn, kind: CellKind, date: dt.date | None
) -> tuple[Floats, list[str]]:
    """Seconds since 1970 UTC of each row, NaN where it has none [s]; and what was taken for granted."""
    cells = table.cells(time)
    if kind is CellKind.MOMENT:
        zoned = all(ZONED.fullmatch(cell) for cell in table.some(time))
        return _read(read_moment, cells), [] if zoned else [UTC_TAKEN]
    if kind is CellKind.NUMBER:
        unit_s = seconds_in(time)
        notes = [] if unit_s else ["The times are numbers without a unit in their header, taken as seconds."]
        counted_s = numbers(cells)[0] * (unit_s or 1.0)
        _refuse_spreadsheet_days(table, time, counted_s, unit_s)
        if np.nanmedian(counted_s) > UNIX_S:
            return counted_s, notes
        return _counted(table, time, date, counted_s, notes)
    clock_s = _read(read_clock, cells)
    notes = [WATCH_TAKEN] if any(cell.count(":") == 1 for cell in table.some(time)) else []
    known = np.isfinite(clock_s)
    clock_s[known] = unroll_midnight(clock_s[known])
    if clock_s[known][0] < COUNTS_FROM_ZERO_S:
        return _counted(table, time, date, clock_s, notes)
    return midnight_s(_day(table, time, date)) + clock_s, [UTC_TAKEN, *notes]


def _refuse_spreadsheet_days(
    table: Table, time: LoggerColumn, counted_s: Floats, unit_s: float | None
) -> None:
    """Days as a spreadsheet counts them: thousands of rows within a few of what would be seconds."""
    known = counted_s[np.isfinite(counted_s)]
    first, last = SPREADSHEET_DAYS
    if unit_s or known.size < 2 or not first < float(np.median(known)) < last or np.ptp(known) >= 2.0:
        return
    if np.median(np.abs(np.diff(known))) < 1e-3:
        raise FormatError(
            f'the time ({time}) reads "{table.some(time)[0]}": days as a spreadsheet counts them. Give the column the '
            "format yyyy-mm-dd hh:mm:ss there, and export it again.",
            table.lines[0],
        )


def _counted(
    table: Table, time: LoggerColumn, date: dt.date | None, counted_s: Floats, notes: list[str]
) -> tuple[Floats, list[str]]:
    """Times that count from the start of the log: that start must be told, or minutes count twice."""
    above = DAY_ABOVE.search(table.header.preamble)
    start_s = read_clock(above[2]) if above and above[2] else None
    if start_s is None and date is None:
        raise FormatError(
            f"The times ({time}) count from the start of the log, and no start time is given. Write it in "
            "a line above the headers, such as 2025-05-04 14:03:00."
        )
    notes.append("The log counts from its own start; no clock is in it." if start_s is None else UTC_TAKEN)
    return midnight_s(_day(table, time, date)) + (start_s or 0.0) + counted_s, notes


def _day(table: Table, time: LoggerColumn, date: dt.date | None) -> dt.date:
    """The day that was given, else that in the column of days, else that in the lines above the headers."""
    column = date_column(table.header.columns, time)
    if date is None and column is not None and table.some(column):
        date = _day_in(table, column)
    above = DAY_ABOVE.search(table.header.preamble)
    if date is None and above:
        date = read_day(above[1])
    if date is None:
        raise FormatError(
            "The table has no date. Write when the log starts in a line above the headers, "
            "such as 2025-05-04 14:03:00."
        )
    return date


def _day_in(table: Table, column: LoggerColumn) -> dt.date:
    first = table.some(column)[0]
    try:
        return read_day(first)
    except FormatError as error:
        line = table.lines[list(table.cells(column)).index(first)]
        raise FormatError(f"the day ({column}): {error.message}", line) from None


def _read(reader: Callable[[str], float | None], cells: Iterable[str]) -> Floats:
    found = (reader(cell) for cell in cells)
    return np.array(array("d", (np.nan if value is None else value for value in found)), dtype=np.float64)
