"""Where a value stands in a sheet: its name for a person, and its line in the TOML text."""

from __future__ import annotations

import re
from collections.abc import Mapping

from tickover.sheets.reading import RENAMED

Loc = tuple[str | int, ...]
"""Keys and positions from the top of the sheet to a value; positions count from 0."""

_HEADER = re.compile(r"^\s*(\[\[?)\s*([\w\-. ]+?)\s*\]\]?\s*(?:#.*)?$")
_KEY = re.compile(r"^\s*([\w\-]+)\s*=")


def named(loc: Loc, data: Mapping[str, object]) -> str:
    """Name a place the way the trade would look for it: `cards.diaphragm-service.steps[4].reading`.

    A row of the sheet goes by its id, a row inside it by its position, counted from 1. Where the id itself
    is in question the row goes by its position too.
    """
    words = [str(loc[0])] if loc else []
    row = next((depth for depth, key in enumerate(loc) if isinstance(key, int)), 0)
    for depth, key in enumerate(loc[1:], 1):
        row_id = _row_id(data, loc, row) if depth == row else None
        if isinstance(key, int):
            words.append(f".{row_id}" if row_id else f"[{key + 1}]")
        else:
            words.append(f".{key}")
    return "".join(words)


def _row_id(data: Mapping[str, object], loc: Loc, row: int) -> str | None:
    if loc[row + 1 :] == ("id",):
        return None
    found: object = data
    for key in loc[: row + 1]:
        if isinstance(key, int):
            found = found[key] if isinstance(found, list) else None
        else:
            found = found.get(key) if isinstance(found, Mapping) else None
    row_id = found.get("id") if isinstance(found, Mapping) else None
    return row_id if isinstance(row_id, str) and row_id else None


def key_lines(text: str) -> dict[Loc, int]:
    """Line, counted from 1, of every table header and every key that starts a line.

    Keys inside an inline table stand on the line of the key that holds it.
    """
    lines: dict[Loc, int] = {}
    seen: dict[Loc, int] = {}
    table: Loc = ()
    in_long_text = False
    for number, line in enumerate(text.splitlines(), 1):
        if not in_long_text:
            if header := _HEADER.match(line):
                table = _opened(header[2].split("."), seen, is_row=header[1] == "[[")
                lines[table] = number
            elif key := _KEY.match(line):
                lines[(*table, RENAMED.get(key[1], key[1]))] = number
        in_long_text ^= (line.count('"""') + line.count("'''")) % 2 == 1
    return lines


def _opened(words: list[str], seen: dict[Loc, int], *, is_row: bool) -> Loc:
    """The place a header opens; inside an array of tables that is its latest row."""
    place: Loc = ()
    for depth, word in enumerate(words, 1):
        place = (*place, word.strip())
        if is_row and depth == len(words):
            seen[place] = seen.get(place, -1) + 1
        if place in seen:
            place = (*place, seen[place])
    return place


def line_of(loc: Loc, lines: Mapping[Loc, int]) -> int | None:
    """Line of a place, or of the nearest thing around it that has one."""
    return next((lines[loc[:n]] for n in range(len(loc), 0, -1) if loc[:n] in lines), None)
