"""Which column is which in a logger's table whose headers do not say it: told once, known again by its headers.

`Choice` is what a person says; `fingerprint_of` is what the same logger's next file is known by.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass

from tickover.formats.errors import FormatError
from tickover.formats.logger.columns import (
    HEADER_WITHIN,
    MISSING,
    NUMBER,
    Header,
    LoggerColumn,
    columns_of,
    header_at,
)
from tickover.formats.text.times import read_clock, read_moment

TIME_UNITS = {"s": 1.0, "ms": 1e-3, "min": 60.0, "clock": 1.0}
DEGREES = ("deg C", "deg F")


@dataclass(frozen=True)
class ColumnChoice:
    """Columns by their place, from 0; None for a channel that is not there.

    `time_unit` is s, ms, min, or clock for hh:mm:ss and moments; `degrees` the unit of both temperatures;
    `rpm_per_count` what one of the column's units is in rpm of the crankshaft.
    """

    time: int
    rpm: int
    cht: int | None = None
    egt: int | None = None
    time_unit: str = "s"
    degrees: str = "deg C"
    rpm_per_count: float = 1.0

    def __post_init__(self) -> None:
        if self.time == self.rpm:
            raise FormatError("Time and engine speed cannot be one column. Choose two.")
        if self.time_unit not in TIME_UNITS or self.degrees not in DEGREES:
            raise FormatError(f'"{self.time_unit}" or "{self.degrees}" is no unit of a logger’s column.')
        if not 0.001 <= self.rpm_per_count <= 1000.0:
            raise FormatError("One count of the speed must be 0.001 to 1000 rpm.")


@dataclass(frozen=True)
class LoggerPreview:
    """What a person sees of a table to say which column is which: headers, and the first rows below them."""

    columns: tuple[LoggerColumn, ...]
    rows: tuple[tuple[str, ...], ...]
    fingerprint: str


def look_at(lines: Sequence[str], rows: int = 5) -> LoggerPreview:
    """The headers of any table and its first rows. Raises FormatError where there is no table."""
    header = any_header(lines)
    below = [columns_of(line) for line in lines[header.first_row : header.first_row + 4 * rows]]
    width = len(header.columns)
    shown = [tuple(column.header for column in cells) for cells in below if cells][:rows]
    padded = tuple((*cells, *[""] * width)[:width] for cells in shown)
    return LoggerPreview(header.columns, padded, fingerprint_of(header))


def any_header(lines: Sequence[str]) -> Header:
    """The first line of words that stands above a line of at least as many fields, one of them a value."""
    heads = [columns_of(line) for line in lines[: HEADER_WITHIN + 3]]
    for at, columns in enumerate(heads[:-1]):
        below = heads[at + 1 : at + 3]
        if len(columns) > 1 and not _holds_value(columns) and any(map(_holds_value, below)):
            return header_at(lines, at)
    raise FormatError(
        "This is no table with a line of headers above its rows. Export the log as CSV with its headers; one "
        "column must hold the time and one the engine speed."
    )


def fingerprint_of(header: Header) -> str:
    """Known again by the words of its headers, however they are spaced or capitalised."""
    words = "\n".join(" ".join(column.header.casefold().split()) for column in header.columns)
    return hashlib.sha256(words.encode()).hexdigest()


def chosen(header: Header, index: int, what: str) -> LoggerColumn:
    """The column at a place. Raises FormatError where the table has none there."""
    if not 0 <= index < len(header.columns):
        raise FormatError(
            f"The column chosen for {what} is number {index + 1}; the table has {len(header.columns)}."
        )
    return header.columns[index]


def _holds_value(columns: Sequence[LoggerColumn]) -> bool:
    cells = [column.header for column in columns if column.header.casefold() not in MISSING]
    return any(NUMBER.fullmatch(c) or read_clock(c) is not None or read_moment(c) is not None for c in cells)
