"""Delimited text (CSV): which characters, which delimiter, which fields stand on which line.

Source for quotation marks: RFC 4180, sections 2.5 to 2.7. Beyond it, because spreadsheets of the trade
write them: fields apart by semicolons, tabs, bars or blanks, a byte order mark, UTF-16, any ending of lines. A field
never goes on over the end of its line: a quotation mark left open costs that line, not the rest.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator

from tickover.formats.errors import FormatError
from tickover.formats.filetype import MAGIC, looks_like

MOST_LINES = 2_000_000
LONGEST_LINE = 100_000
UTF_16 = (b"\xff\xfe", b"\xfe\xff")
ENDS = re.compile(r"\r\n|\r|\n")
QUOTED = re.compile(r'"[^"]*"')


def lines_of(data: bytes, *, most_bytes: int) -> list[str]:
    """The lines of a text file, in whatever characters it is written.

    Raises
    ------
    FormatError
        Too large, empty, or no text.
    """
    if len(data) > most_bytes:
        raise FormatError(
            f"The file has {len(data) / 2**20:.0f} MB; a table may have {most_bytes // 2**20} MB at most. "
            "Nothing was read. Add a part of it at a time."
        )
    text = _decoded(data)
    if not text.strip():
        raise FormatError("The file is empty.")
    if max(text.count("\n"), text.count("\r")) > MOST_LINES:
        raise FormatError(
            f"The file has more than {MOST_LINES} lines. Nothing was read. Add a part of it at a time."
        )
    return ENDS.split(text)


def _decoded(data: bytes) -> str:
    try:
        if data.startswith(UTF_16):
            return data.decode("utf-16")
        if any(data.startswith(magic) for magic, _ in MAGIC) or b"\0" in data:
            kind = looks_like(data) or "a binary file"
            raise FormatError(f"This looks like {kind}, not a table (CSV). Export the table as CSV.")
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("latin-1")


def delimiter_of(line: str) -> str:
    """What stands between the fields of this line; "" where it has one field only."""
    bare = QUOTED.sub("", line)
    return next((mark for mark in ";\t,|" if mark in bare), "")


def fields_of(line: str, delimiter: str, number: int = 1) -> list[str]:
    """The fields of one line, without blanks around them. Raises FormatError with the line's number."""
    if len(line) > LONGEST_LINE:
        raise FormatError(
            f"the line has {len(line)} characters, and a row has {LONGEST_LINE} at most", number
        )
    if not delimiter:
        return [line.strip().strip('"')]
    if delimiter == " ":
        return line.split()
    if '"' not in line:
        return [field.strip() for field in line.split(delimiter)]
    try:
        fields = next(csv.reader([line], delimiter=delimiter, skipinitialspace=True, strict=True), [])
    except csv.Error:
        raise FormatError("A quotation mark is not closed, or text follows it.", number) from None
    return [field.strip() for field in fields]


def records(lines: list[str], first: int, delimiter: str) -> Iterator[tuple[int, list[str] | FormatError]]:
    """Number, from 1, and fields of each line from index `first` on; what is wrong where a line has none."""
    for number, line in enumerate(lines[first:], first + 1):
        if not line.strip():
            continue
        try:
            yield number, fields_of(line, delimiter, number)
        except FormatError as error:
            yield number, error
