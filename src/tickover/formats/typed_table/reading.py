"""Rows of text from a spreadsheet: XLSX, ODS or CSV as bytes, or what was pasted from one.

Spreadsheets are opened by python-calamine, which reads the values that were last shown and runs no formula. A merged
cell counts in each of its places.
"""

from __future__ import annotations

import datetime as dt
import io
import re
import zipfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from python_calamine import CalamineError, CalamineSheet, CalamineWorkbook

from tickover.formats.errors import FormatError
from tickover.formats.text.delimited import delimiter_of, fields_of, lines_of

SIZE_LIMIT_BYTES = 8 * 1024 * 1024
UNPACKED_LIMIT_BYTES = 100 * 1024 * 1024
"""What a spreadsheet may hold once it is unpacked: a small file can be made to fill a disk."""
MOST_COLUMNS = 60
LONGEST_CELL = 300
ZIP = b"PK\x03\x04"
FORMULA = re.compile(r"=.*[A-Za-z(]", re.DOTALL)


@dataclass(frozen=True)
class TypedTable:
    """Rows of text, all of one width, without those that are empty; `lines` are their numbers in the file, from 1.

    `remarks` say what a person should know of how it was read.
    """

    rows: tuple[tuple[str, ...], ...]
    lines: tuple[int, ...]
    remarks: tuple[str, ...] = ()

    @property
    def as_text(self) -> str:
        """The rows as they would be pasted: cells apart by tabs."""
        return "\n".join("\t".join(row) for row in self.rows)


def read_typed_table(data: bytes, *, most_rows: int) -> TypedTable:
    """Read a table from a file, by what is in it.

    Parameters
    ----------
    data : bytes
        XLSX, ODS, or text with cells apart by tabs, semicolons or commas; at most 8 MB.
    most_rows : int
        How many rows it may have.

    Returns
    -------
    TypedTable

    Raises
    ------
    FormatError
        Too large, too many rows, locked with a password, nothing in it, or no table.
    """
    if len(data) > SIZE_LIMIT_BYTES:
        raise FormatError(
            f"The file has {len(data) / 2**20:.0f} MB; {SIZE_LIMIT_BYTES // 2**20} MB is the most. Split it."
        )
    if data.startswith(ZIP):
        return _of_workbook(data, most_rows)
    return _of_lines(lines_of(data, most_bytes=SIZE_LIMIT_BYTES), most_rows)


def read_pasted_rows(text: str, *, most_rows: int) -> TypedTable:
    """Rows that were copied from a spreadsheet and pasted. Raises FormatError where there are none, or too many."""
    if not text.strip():
        raise FormatError("Nothing is pasted. Copy the rows in the spreadsheet and paste them here.")
    return _of_lines(text.replace("\r\n", "\n").replace("\r", "\n").split("\n"), most_rows)


def is_formula(cell: str) -> bool:
    """Whether a cell holds a formula as text, which nobody works out here."""
    return FORMULA.match(cell) is not None


def _of_lines(lines: list[str], most_rows: int) -> TypedTable:
    filled = [(n, line) for n, line in enumerate(lines, 1) if line.strip()]
    _refuse_too_many(len(filled), most_rows)
    delimiter = next((mark for _, line in filled if (mark := delimiter_of(line))), "")
    return _table(((n, fields_of(line, delimiter, n)) for n, line in filled), ())


def _of_workbook(data: bytes, most_rows: int) -> TypedTable:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            if sum(part.file_size for part in packed.infolist()) > UNPACKED_LIMIT_BYTES:
                raise FormatError(
                    "The spreadsheet is too large once it is unpacked. Save the rows alone as CSV."
                )
        book = CalamineWorkbook.from_filelike(io.BytesIO(data))
        sheets = [s for s in map(book.get_sheet_by_name, book.sheet_names) if s.height and s.width]
        if not sheets:
            raise FormatError("The spreadsheet is empty.")
        sheet = sheets[0]
        _refuse_too_many(sheet.height, most_rows)
        rows = [list(row) for row in sheet.to_python(skip_empty_area=False)]
        merged = _spread_merged(rows, sheet)
    except (CalamineError, zipfile.BadZipFile, OSError, ValueError) as error:
        if isinstance(error, FormatError):
            raise
        raise FormatError(
            "The spreadsheet cannot be opened: locked with a password, damaged, or neither XLSX nor ODS. "
            "Save the rows as CSV."
        ) from error
    remarks = [f"Read from the sheet “{sheet.name}”."] if len(sheets) > 1 else []
    remarks += ["Merged cells: each of their rows has the value."] if merged else []
    return _table(((n, [_text(cell) for cell in row]) for n, row in enumerate(rows, 1)), tuple(remarks))


def _spread_merged(rows: list[list[Any]], sheet: CalamineSheet) -> bool:
    """Write the value of each merged cell into all of its places; whether there was one."""
    ranges = sheet.merged_cell_ranges or []
    for (top, left), (bottom, right) in ranges:
        if top >= len(rows) or left >= len(rows[top]):
            continue
        value = rows[top][left]
        for row in rows[top : bottom + 1]:
            for column in range(left, min(right + 1, len(row))):
                row[column] = value
    return bool(ranges)


def _table(numbered: Iterable[tuple[int, list[str]]], remarks: tuple[str, ...]) -> TypedTable:
    filled = [(n, _cut(row)) for n, row in numbered if any(cell.strip() for cell in row)]
    if not filled:
        raise FormatError("There is nothing in the table.")
    width = max(len(row) for _, row in filled)
    rows = tuple(tuple(row + [""] * (width - len(row))) for _, row in filled)
    return TypedTable(rows, tuple(n for n, _ in filled), remarks)


def _cut(row: list[str]) -> list[str]:
    """Cells on one line each, without the empty ones at the end."""
    cells = [" ".join(cell.split())[:LONGEST_CELL] for cell in row[:MOST_COLUMNS]]
    while cells and not cells[-1]:
        cells.pop()
    return cells


def _refuse_too_many(rows: int, most_rows: int) -> None:
    if rows > most_rows:
        raise FormatError(
            f"There are {rows:,} rows; {most_rows:,} is the most. Nothing was read. Split the table."
        )


def _text(cell: Any) -> str:
    """A cell as a person would type it."""
    if isinstance(cell, dt.datetime):
        return cell.date().isoformat()
    if isinstance(cell, dt.date):
        return cell.isoformat()
    if isinstance(cell, dt.timedelta):
        minutes = round(cell.total_seconds() / 60)
        return f"{minutes // 60}:{minutes % 60:02d}"
    if isinstance(cell, float):
        return f"{cell:.10g}"
    return str(cell)


def cells_of(rows: Iterable[tuple[str, ...]], column: int) -> Iterator[str]:
    """The filled cells of one column."""
    return (row[column] for row in rows if row[column])
