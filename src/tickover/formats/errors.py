"""What can be wrong with something handed in.

FormatError               a file or a text that cannot be used as it stands
└── NumberError           a typed number that cannot be read
    ├── AmbiguousNumber     it can be read in two ways
    └── ImplausibleNumber   it can be read, but is far from anything to be expected
"""

from __future__ import annotations

from dataclasses import dataclass


class FormatError(ValueError):
    """A sentence for a person: what is wrong, where, and what to do.

    `line` counts from 1, as an editor shows it; None where the whole file is meant.
    """

    def __init__(self, message: str, line: int | None = None) -> None:
        super().__init__(message if line is None else f"Line {line}: {message}")
        self.message = message
        self.line = line


@dataclass(frozen=True)
class Choice:
    """One thing that may have been meant: `text` can be typed instead, `words` are for the button."""

    text: str
    words: str


class NumberError(FormatError):
    """A typed number that cannot be read without guessing.

    `choices` are what may have been meant, to be offered as buttons; `field` is the name of the field it was
    typed in, "" where the caller knows.
    """

    def __init__(self, message: str, choices: tuple[Choice, ...] = (), field: str = "") -> None:
        super().__init__(message)
        self.choices = choices
        self.field = field


class AmbiguousNumber(NumberError):  # noqa: N818  (a number, in two readings)
    """A number with two readings, as it was `typed`; `values` are both, `choices` the same to be typed."""

    def __init__(
        self, message: str, values: tuple[float, ...], choices: tuple[Choice, ...], typed: str = ""
    ) -> None:
        super().__init__(message, choices)
        self.values = values
        self.typed = typed


class ImplausibleNumber(NumberError):  # noqa: N818  (a number, which may yet be right)
    """A number that was read, and is so far off that it is asked for again.

    `value` is what was typed, to be taken if it is confirmed; `meant` is the nearest slip that would
    explain it (a lost decimal point, a sign), or None.
    """

    def __init__(
        self, message: str, value: float, meant: float | None, choices: tuple[Choice, ...] = ()
    ) -> None:
        super().__init__(message, choices)
        self.value = value
        self.meant = meant
