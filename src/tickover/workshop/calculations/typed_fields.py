"""What was typed into a sum's fields, read into the units it is worked out in; every refusal at its field."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from tickover.formats.amount import meant_in, unit_that_fits
from tickover.formats.errors import AmbiguousNumber, Choice, NumberError
from tickover.formats.text.number import ONE_CHARACTER_FRACTIONS, plainly, read_number
from tickover.workshop.calculations import units
from tickover.workshop.calculations.calculation import TAKE, Calculation, Field, Rows, TableColumn, Value
from tickover.workshop.kernel.refusal import RefusedError

FIGURES = rf"0-9.,:/\N{{FRACTION SLASH}}{ONE_CHARACTER_FRACTIONS}"
NUMBER = re.compile(rf"\s*([+\-\N{{MINUS SIGN}}]?(?:\s*[{FIGURES}])+)\s*(.*?)\s*", re.S)
THIRD_DECIMAL = 1e-3
"""What the last of three digits behind a decimal mark is worth, in the unit that was typed."""
LONGEST = 1000
MOST_ROWS = 40
UNIT = ".unit"
"""Behind a field's name in an address: the unit its number is in."""


class InputRefusedError(RefusedError):
    """A field that cannot be read; the text says what was wrong and what to do, `choices` what may be meant.

    `suffix`: behind the field's name, where not the field itself but its give or take is meant.
    """

    def __init__(self, message: str, choices: tuple[Choice, ...] = (), suffix: str = "") -> None:
        super().__init__(message)
        self.choices = choices
        self.suffix = suffix


@dataclass(frozen=True)
class Typed:
    """One field as typed and as read. `half` is the half width of its uncertainty, in the unit inside."""

    text: str
    unit: str
    take: str
    value: Value = None
    half: float = 0.0
    refused: str = ""
    choices: tuple[Choice, ...] = ()
    choice_of: str = ""
    """Name of the field that the choices are for."""


def read_fields(
    asked: Calculation, given: Mapping[str, str], known: Mapping[str, str] | None = None
) -> dict[str, Typed]:
    """Every field of a sum; what is not given comes from `known`, else is the default."""
    return {field.name: _read_field(field, given, known or {}) for field in asked.fields}


def _read_field(field: Field, given: Mapping[str, str], known: Mapping[str, str]) -> Typed:
    text = given.get(field.name, known.get(field.name, field.default))
    wanted = given.get(field.name + UNIT, known.get(field.name + UNIT, "") if field.name not in given else "")
    take = given.get(field.name + TAKE, field.give_or_take or "")
    unit = wanted or field.unit
    try:
        if len(text) > LONGEST:
            raise InputRefusedError(f"{field.label}: too long, at most {LONGEST} characters.")
        return _understood(field, text.strip(), unit, take.strip())
    except (InputRefusedError, NumberError) as refusal:
        suffix = refusal.suffix if isinstance(refusal, InputRefusedError) else ""
        return Typed(
            text, unit, take, refused=str(refusal), choices=refusal.choices, choice_of=field.name + suffix
        )


def _understood(field: Field, text: str, unit: str, take: str) -> Typed:
    if not text:
        if field.assumed:
            return Typed("", unit, take, field.assumed.value, field.assumed.half)
        if field.optional:
            return Typed("", unit, take)
        raise InputRefusedError(f"{field.label}: nothing is typed. {_wanted(field)}")
    if field.wants:
        return Typed(text, "", "", _choice(field, text))
    if field.columns:
        return Typed(text, "", "", _rows(field, text))
    number, unit = _number(field, text, unit)
    value = units.convert(number, unit, field.inside or field.unit)
    _hold(field, value, number, unit)
    half = _half(field, take, field.unit) if take else 0.0
    return Typed(text, unit, take, int(value) if field.whole else value, half)


def _choice(field: Field, text: str) -> str:
    for word, _ in field.wants:
        if text.casefold() == word.casefold():
            return word
    raise InputRefusedError(
        f'{field.label}: "{text[:30]}" is none of {", ".join(word for word, _ in field.wants)}.'
    )


def _number(field: Field, text: str, unit: str) -> tuple[float, str]:
    """The number that was typed, and its unit: the one behind it, else the one chosen."""
    chosen = units.meant(unit, field.units)
    if chosen is None:
        raise InputRefusedError(
            f'{field.label}: "{unit[:20]}" is not a unit it is read in. Choose {_listed(field)}.'
        )
    parted = NUMBER.fullmatch(text)
    if parted and parted[2]:
        written = units.meant(parted[2], field.units)
        if written is None:
            raise InputRefusedError(
                f'{field.label}: "{parted[2][:20]}" is not a unit it is read in. Type a number in {_listed(field)}.'
            )
        text, chosen = parted[1], written
    try:
        return read_number(_joined(text), unit="", ratio=field.ratio, name=field.label), chosen
    except AmbiguousNumber as error:
        return _only_possible(field, error, chosen), chosen


def _joined(text: str) -> str:
    """Without the blanks that part thousands; one before a fraction stays, since it adds and does not join."""
    parts = any(mark in text for mark in ("/", "\N{FRACTION SLASH}", *ONE_CHARACTER_FRACTIONS))
    return text if parts else text.replace(" ", "")


def _only_possible(field: Field, error: AmbiguousNumber, unit: str) -> float:
    """The one of two readings that this field can hold, and that is no finer than anybody knows it."""
    inside = field.inside or field.unit
    thousands, decimals = error.values
    can = [value for value in error.values if _inside(field, units.convert(value, unit, inside))]
    if decimals in can and units.width(THIRD_DECIMAL, unit, inside) < field.step:
        can.remove(decimals)
    if len(can) == 1:
        return can[0]
    texts = (f"{thousands:.0f}", f"{decimals:.3f}")
    choices = tuple(Choice(f"{t} {unit}".rstrip(), f"{t} {units.shown(unit)}".rstrip()) for t in texts)
    raise InputRefusedError(str(error), choices)


def _hold(field: Field, value: float, number: float, unit: str) -> None:
    """Refuse what cannot be, and say what was probably meant."""
    if field.whole and value != int(value):
        raise InputRefusedError(f"{field.label} must be a whole number; got {number:.10g}.")
    if _inside(field, value):
        return
    ends = (units.convert(end, field.inside or field.unit, unit) for end in (field.lower, field.upper))
    lower, upper = (f"{end:.4g}" if abs(end) < 1e4 else f"{end:.0f}" for end in ends)
    inside = field.inside or field.unit
    fits = unit_that_fits(unit, field.units, lambda u: _inside(field, units.convert(number, u, inside)))
    choices: tuple[Choice, ...] = ()
    if fits:
        choices = (meant_in(f"{number:.10g}", fits, units.convert(number, fits, field.unit), field.unit),)
    advice = f" Did you mean {choices[0].words}?" if choices else ""
    shown = " ".join(part for part in (f"{number:.10g}", units.shown(unit)) if part)
    raise InputRefusedError(
        f"{field.label} must be between {lower} and {upper} {units.shown(unit)}".rstrip()
        + f"; got {shown}.{advice}",
        choices,
    )


def _inside(field: Field, value: float) -> bool:
    play = 1e-12 * max(abs(field.lower), abs(field.upper))
    return field.lower - play <= value <= field.upper + play


def _half(field: Field, text: str, unit: str) -> float:
    name = f"{field.label}, give or take"
    try:
        half = read_number(text, unit=unit, name=name)
    except AmbiguousNumber as error:
        raise InputRefusedError(str(error), error.choices, TAKE) from error
    half = units.width(half, unit, field.inside or unit)
    if not 0.0 <= half <= field.upper - field.lower:
        raise InputRefusedError(
            f"{name} must be 0 or more, and less than the range of the figure itself; got {text}."
        )
    return half


def _rows(field: Field, text: str) -> Rows:
    lines = [line.split() for line in re.split(r"[;\n]", text) if line.strip()]
    if len(lines) > MOST_ROWS:
        raise InputRefusedError(f"{field.label}: at most {MOST_ROWS} rows; got {len(lines)}.")
    return tuple(_row_of(field, lines, at) for at in range(len(lines)))


def _row_of(field: Field, lines: list[list[str]], at: int) -> tuple[str | float, ...]:
    """One of the rows; what a figure of it may mean is offered within all of them."""
    try:
        return _row(field, at + 1, lines[at])
    except AmbiguousNumber as error:
        whole = (Choice(_lines(lines, at, error.typed, c.text), c.words) for c in error.choices)
        raise InputRefusedError(str(error), tuple(whole)) from error


def _lines(lines: list[list[str]], at: int, typed: str, meant: str) -> str:
    """The rows as text, with one figure of the row `at` as it was meant."""
    rows = [list(cells) for cells in lines]
    found = next(i for i, cell in enumerate(rows[at]) if plainly(cell) == typed)
    rows[at][found] = meant
    return "\n".join(" ".join(cells) for cells in rows)


def _row(field: Field, at: int, cells: list[str]) -> tuple[str | float, ...]:
    if len(cells) != len(field.columns):
        names = ", ".join(column.name for column in field.columns)
        raise InputRefusedError(
            f"{field.label}, row {at}: {len(field.columns)} figures are wanted ({names}); got {len(cells)}."
        )
    return tuple(
        _cell(f"{field.label}, row {at}, {column.name}", column, cell)
        for column, cell in zip(field.columns, cells, strict=True)
    )


def _cell(name: str, column: TableColumn, cell: str) -> str | float:
    if column.choices:
        if cell.casefold() not in column.choices:
            raise InputRefusedError(f'{name}: "{cell[:20]}" is none of {", ".join(column.choices)}.')
        return cell.casefold()
    value = read_number(cell, unit=column.unit, name=name)
    if not column.lower <= value <= column.upper:
        raise InputRefusedError(
            f"{name} must be between {column.lower:.6g} and {column.upper:.6g} {column.unit}; got {value:.6g}."
        )
    return value


def _listed(field: Field) -> str:
    return " or ".join(units.shown(unit) or "plain figures" for unit in field.units)


def _wanted(field: Field) -> str:
    if field.is_number:
        return f"Type a number in {_listed(field)}." if field.unit else "Type a number."
    return "Choose one." if field.wants else "Type a row for each."
