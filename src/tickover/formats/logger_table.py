"""The rows of an engine logger's table, field by field, and the numbers and moments in them."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from tickover.formats.delimited import records
from tickover.formats.errors import FormatError
from tickover.formats.igc import Damage
from tickover.formats.igc_fixes import Bools, Floats, unroll_midnight
from tickover.formats.logger_columns import (
    LOOKED_AT,
    MISSING,
    NUMBER,
    Column,
    Header,
    Kind,
    date_column,
    find_header,
    seconds_in,
)
from tickover.formats.moments import midnight_s, read_clock, read_day, read_moment

UNIX_S = 1e9  # seconds from 1970 to 2001: no logger counts that far from zero
COUNTS_FROM_ZERO_S = 2.0  # 00:00:00 is a stop watch far more often than a start at midnight
THOUSANDS_OR_DECIMALS = re.compile(r"[1-9]\d{0,2}[.,]\d{3}", re.ASCII)
ZONED = re.compile(r".*(Z|[+-]\d\d(:?\d\d)?)", re.ASCII | re.IGNORECASE)
DAY_ABOVE = re.compile(r"\b(\d{4}-\d\d-\d\d|\d{1,2}\.\d{1,2}\.\d{4})(?:[T ,;]+(\d?\d:\d\d:\d\d))?", re.ASCII)
UTC_TAKEN = "The clock of this log is taken as UTC."


@dataclass(frozen=True)
class Table:
    """Rows with all their fields, the number of each line, and the lines that were left out."""

    header: Header
    lines: list[int]
    rows: list[list[str]]
    damaged: list[Damage]

    def cells(self, column: Column) -> list[str]:
        return [row[column.index] for row in self.rows]

    def some(self, column: Column) -> list[str]:
        """The first cells that hold something."""
        held = (row[column.index] for row in self.rows[: 20 * LOOKED_AT])
        return [cell for cell in held if cell.casefold() not in MISSING][:LOOKED_AT]

    def shown(self, row: int, column: Column, name: str) -> str:
        """What stands in a cell, for a sentence."""
        return f'the {name} ({column}) reads "{self.rows[row][column.index][:40]}"'


def read_table(lines: list[str], header: Header | None = None) -> Table:
    """Find the headers and the rows below them. Raises FormatError where most rows do not fit them."""
    table = Table(header or find_header(lines), [], [], [])
    width = len(table.header.columns)
    for number, fields in records(lines, table.header.first_row, table.header.delimiter):
        if isinstance(fields, FormatError):
            table.damaged.append(Damage(number, fields.message, lines[number - 1][:80]))
        elif len(fields) < width or any(fields[width:]):
            why = f"the line has {len(fields)} fields, the header {width}"
            table.damaged.append(Damage(number, why, lines[number - 1][:80]))
        else:
            table.lines.append(number)
            table.rows.append(fields)
    if len(table.damaged) >= len(table.rows):
        raise _does_not_fit(table)
    return table


def _does_not_fit(table: Table) -> FormatError:
    if not table.damaged:
        return FormatError("The table has headers and no rows below them.")
    first = table.damaged[0]
    comma = " Decimals or thousands behind a comma need semicolons or tabs between the fields."
    return FormatError(
        f"{len(table.damaged)} lines do not fit the headers; here {first.reason}."
        f"{comma if table.header.delimiter == ',' else ''}",
        first.line,
    )


def refuse_two_readings(table: Table, speed: Column) -> None:
    """A whole column of 5,400 and 850 is one of thousands, or of decimals; nothing in it tells which."""
    cells = table.cells(speed)
    marked = [n for n, c in enumerate(cells) if ("," in c or "." in c) and NUMBER.fullmatch(c)]
    if not marked or not all(THOUSANDS_OR_DECIMALS.fullmatch(cells[n]) for n in marked):
        return
    first = cells[marked[0]]
    raise FormatError(
        f"the rpm ({speed}) reads {first}, which can mean {re.sub('[.,]', '', first)} or "
        f"{first.replace(',', '.')}. Export it without a mark between thousands.",
        table.lines[marked[0]],
    )


def numbers(cells: Sequence[str]) -> tuple[Floats, Bools]:
    """Numbers, NaN where there is none; and False where what stands there is no number."""
    fits = [NUMBER.fullmatch(cell) is not None for cell in cells]
    values = [float(c.replace(",", ".")) if fit else np.nan for c, fit in zip(cells, fits, strict=True)]
    sound = [fit or cell.casefold() in MISSING for cell, fit in zip(cells, fits, strict=True)]
    return np.array(values, dtype=np.float64), np.array(sound, dtype=np.bool_)


def moments(table: Table, time: Column, kind: Kind, date: dt.date | None) -> tuple[Floats, list[str]]:
    """Seconds since 1970 UTC of each row, NaN where it has none [s]; and what was taken for granted."""
    cells = table.cells(time)
    if kind is Kind.MOMENT:
        zoned = all(ZONED.fullmatch(cell) for cell in table.some(time))
        return _read(read_moment, cells), [] if zoned else [UTC_TAKEN]
    if kind is Kind.NUMBER:
        unit_s = seconds_in(time)
        told = [] if unit_s else ["The times are numbers without a unit in their header, taken as seconds."]
        counted_s = numbers(cells)[0] * (unit_s or 1.0)
        if np.nanmedian(counted_s) > UNIX_S:
            return counted_s, told
        return _counted(table, time, date, counted_s, told)
    clock_s = _read(read_clock, cells)
    known = np.isfinite(clock_s)
    clock_s[known] = unroll_midnight(clock_s[known])
    if clock_s[known][0] < COUNTS_FROM_ZERO_S:
        return _counted(table, time, date, clock_s, [])
    return midnight_s(_day(table, time, date)) + clock_s, [UTC_TAKEN]


def _counted(
    table: Table, time: Column, date: dt.date | None, counted_s: Floats, told: list[str]
) -> tuple[Floats, list[str]]:
    """Times that count from the start of the log: that start must be told, or minutes count twice."""
    above = DAY_ABOVE.search(table.header.preamble)
    start_s = read_clock(above[2]) if above and above[2] else None
    if start_s is None and date is None:
        raise FormatError(
            f"The times ({time}) count from the start of the log, and nothing tells when that was. Write the "
            "moment in a line above the headers, such as 2025-05-04 14:03:00."
        )
    told.append("The log counts from its own start; no clock is in it." if start_s is None else UTC_TAKEN)
    return midnight_s(_day(table, time, date)) + (start_s or 0.0) + counted_s, told


def _day(table: Table, time: Column, date: dt.date | None) -> dt.date:
    """The day that was given, else that in the column of days, else that in the lines above the headers."""
    column = date_column(table.header.columns, time)
    if date is None and column is not None and table.some(column):
        date = _day_in(table, column)
    above = DAY_ABOVE.search(table.header.preamble)
    if date is None and above:
        date = read_day(above[1])
    if date is None:
        raise FormatError(
            "The table has no date. Write the moment at which the log starts in a line above the headers, "
            "such as 2025-05-04 14:03:00."
        )
    return date


def _day_in(table: Table, column: Column) -> dt.date:
    first = table.some(column)[0]
    try:
        return read_day(first)
    except FormatError as error:
        line = table.lines[table.cells(column).index(first)]
        raise FormatError(f"the day ({column}): {error.message}", line) from None


def _read(reader: Callable[[str], float | None], cells: Sequence[str]) -> Floats:
    return np.array([reader(cell) for cell in cells], dtype=np.float64)
