"""From the text of a type sheet to a checked `TypeSheet`, or to errors with file, table, key and line."""

from __future__ import annotations

from functools import lru_cache
from hashlib import sha256
from importlib.resources import files
from typing import Any

from pydantic import ValidationError

from tickover.sheets.checks.references import disagreements
from tickover.sheets.composing import composed
from tickover.sheets.errors import Problem, SheetError
from tickover.sheets.places import Loc, key_lines, line_of, named
from tickover.sheets.reading import parsed
from tickover.sheets.schema.type_sheet import TypeSheet
from tickover.sheets.wording import sentence


def fingerprint(text: str) -> str:
    """SHA-256 of a sheet's text in UTF-8, as hexadecimal digits: the exact version a job was done by."""
    return sha256(text.encode()).hexdigest()


@lru_cache(maxsize=64)
def load_sheet(text: str, name: str) -> TypeSheet:
    """Read a type sheet.

    Parameters
    ----------
    text : TOML
    name : name of the file, for errors

    Raises SheetError with every problem found. The sheet is frozen, so one copy serves all who ask again.
    """
    data = parsed(text, name)
    try:
        sheet = TypeSheet.model_validate(data)
    except ValidationError as error:
        found = [(e["loc"], sentence(e)) for e in error.errors(include_url=False)]
        raise SheetError(name, _problems(found, data, text)) from error
    if found := list(disagreements(sheet)):
        raise SheetError(name, _problems(found, data, text))
    return sheet


def shipped_texts() -> dict[str, str]:
    """Text of every shipped sheet by file name, complete, to be stored beside the job that was done by it."""
    return dict(_shipped())


@lru_cache(maxsize=1)
def _shipped() -> tuple[tuple[str, str], ...]:
    folder = files("tickover.sheets") / "shipped"

    def read(name: str) -> str:
        return folder.joinpath(*name.split("/")).read_text(encoding="utf-8")

    names = sorted(entry.name for entry in folder.iterdir() if entry.name.endswith(".toml"))
    return tuple((name, composed(name, read)) for name in names)


def shipped_sheets() -> dict[str, TypeSheet]:
    """Every shipped sheet by its id."""
    sheets = (load_sheet(text, name) for name, text in shipped_texts().items())
    return {sheet.id: sheet for sheet in sheets}


def _problems(found: list[tuple[Loc, str]], data: dict[str, Any], text: str) -> tuple[Problem, ...]:
    lines = key_lines(text)
    problems = [Problem(named(loc, data), message, line_of(loc, lines)) for loc, message in found]
    return tuple(sorted(problems, key=lambda problem: problem.line or 0))
