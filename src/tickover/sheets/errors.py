"""What can be wrong with a type sheet.

SheetError       the text is no sheet: every problem with its file, table, key and line
UnknownRowError  a sheet was asked for a row that it does not have
"""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches


@dataclass(frozen=True)
class Problem:
    """One thing wrong at one place; `key` is the table and key, `line` counts from 1 where it is known."""

    key: str
    message: str
    line: int | None = None


class SheetError(ValueError):
    """A text is not a type sheet. `problems` holds all that was found, in the order of the file."""

    def __init__(self, file: str, problems: tuple[Problem, ...]) -> None:
        self.file = file
        self.problems = problems
        super().__init__("\n".join(_sentence(file, problem) for problem in problems))


class UnknownRowError(LookupError):
    """There is no row of that id; says which there are when one is near."""


def _sentence(file: str, problem: Problem) -> str:
    place = f"{file}, {problem.key}" if problem.key else file
    line = f" (line {problem.line})" if problem.line else ""
    return f"{place}: {problem.message}{line}"


def no_such(noun: str, name: str, there_are: tuple[str, ...]) -> str:
    """Say that `name` is unknown, and offer the nearest name there is."""
    near = get_close_matches(name, there_are, n=1)
    offer = f'; did you mean "{near[0]}"?' if near else f"; there is {_listed(there_are)}"
    return f'there is no {noun} called "{name}"{offer}'


def _listed(names: tuple[str, ...]) -> str:
    shown = ", ".join(f'"{name}"' for name in names[:6])
    return (shown + (", and more" if len(names) > 6 else "")) or "none at all"
