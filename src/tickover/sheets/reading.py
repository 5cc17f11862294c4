"""TOML text to tables, or an error that names the file and the line."""

from __future__ import annotations

import re
import tomllib
from typing import Any

from tickover.sheets.errors import Problem, SheetError

_LINE = re.compile(r"\s*\(at line (\d+), column \d+\)|\s*\(at end of document\)")


def parsed(text: str, name: str) -> dict[str, Any]:
    """The tables of a TOML text. Raises SheetError where it is none."""
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        message = str(error)
        place = _LINE.search(message)
        line = int(place[1]) if place and place[1] else len(text.splitlines())
        what = f"this is not TOML: {_LINE.sub('', message)}"
        raise SheetError(name, (Problem("", what, line),)) from error
