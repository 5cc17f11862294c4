"""Read a number as people type it: comma or point, blanks, fractions, the unit behind it; never by guessing."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Sequence
from fractions import Fraction

from tickover.formats.errors import AmbiguousNumber, Choice, ImplausibleNumber, NumberError

__all__ = ["AmbiguousNumber", "Choice", "ImplausibleNumber", "NumberError", "read_number"]

PLAIN = re.compile(r"[+-]?([0-9]+([.,][0-9]*)?|[.,][0-9]+)")
THOUSANDS_OR_DECIMALS = re.compile(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}")
FRACTION = re.compile(
    r"(?P<sign>[+-]?) ?((?P<whole>[0-9]{1,6}) )?(?P<over>[0-9]{1,2}) ?/ ?(?P<under>[1-9][0-9]?)"
)
RATIO = re.compile(r"(?P<one>[0-9.,]+) ?: ?(?P<other>[0-9.,]+)")
ONE_CHARACTER_FRACTIONS = "¼½¾⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"
PARTS = (2, 3, 4, 5, 6, 8, 10, 16, 32, 64)
"""What a whole is parted into at a bench; 5/12 is more likely a day."""
LONGEST = 40
SLIPS = (0.1, 10.0, 0.01, 100.0, 0.001, 1000.0, -1.0)
OTHER_SPELLINGS = {
    "N·m": ("Nm", "N m", "N*m"),
    "°C": ("C", "deg C", "degC"),
    "°": ("deg",),
    "µm": ("um", "μm"),
    "r/min": ("rpm", "1/min", "min-1"),
    "cm³": ("cm3", "ccm", "cc"),
}


def read_number(
    text: str,
    *,
    unit: str,
    plausible: tuple[float, float] | None = None,
    ratio: bool = False,
    name: str,
) -> float:
    """Read one typed number.

    Parameters
    ----------
    text : str
        As typed: "1.4", "1,4", " 1.4 mm", "1 1/8", "1⅛". A comma is a decimal comma; with three digits behind
        it, it may part thousands too, and counts as what lies within `plausible` where only one of both does.
    unit : str
        Unit the number is wanted in; it may stand behind the number. "" for none.
    plausible : tuple of two floats, optional
        Lowest and highest value to be taken without asking again. [unit]
    ratio : bool
        Whether it is so many parts to one, so that "50:1" and "1:50" are 50.
    name : str
        What is being read, for the sentence of an error: "Lever height".

    Returns
    -------
    float
        The number. [unit]

    Raises
    ------
    NumberError
        It is not one number.
    AmbiguousNumber
        It can be read in two ways; its `choices` hold both.
    ImplausibleNumber
        It lies outside `plausible`; call again without the range once it is confirmed.

    Examples
    --------
    >>> read_number(" 1,4 mm", unit="mm", name="Lever height")
    1.4
    >>> read_number("1,125", unit="turns", plausible=(0.0, 6.0), name="High needle")
    1.125
    """
    typed = plainly(text)
    digits = _without_unit(typed, unit)
    if ratio and (parted := RATIO.fullmatch(digits)):
        digits = _parts_to_one(parted)
    readings = _readings(digits, typed, unit, name)
    value = readings[0] if len(readings) == 1 else _only_plausible(readings, typed, plausible, name)
    if plausible is not None and not plausible[0] <= value <= plausible[1]:
        raise _implausible(value, unit, plausible)
    return value


def plainly(text: str) -> str:
    """What was typed with plain blanks, an ASCII minus, and "1⅛" written out as "1 1/8"."""
    for mark in ONE_CHARACTER_FRACTIONS:
        if mark in text:
            text = text.replace(mark, f" {unicodedata.normalize('NFKC', mark)} ")
    return " ".join(text.replace("\N{MINUS SIGN}", "-").replace("\N{FRACTION SLASH}", "/").split())


def _without_unit(typed: str, unit: str) -> str:
    for spelling in (unit, *OTHER_SPELLINGS.get(unit, ())):
        if spelling and typed.casefold().endswith(spelling.casefold()):
            return typed[: -len(spelling)].rstrip()
    return typed


def _readings(digits: str, typed: str, unit: str, name: str) -> tuple[float, ...]:
    """Every number it can mean: one, or thousands first and decimals second."""
    wanted = f"a number in {unit}" if unit else "a number"
    shown = f'"{typed[:LONGEST]}"'
    if not digits:
        raise NumberError(f"{name}: nothing is typed. Type {wanted}.")
    if len(digits) > LONGEST:
        raise NumberError(f"{name}: {shown} goes on too long. Type {wanted}, at most {LONGEST} characters.")
    if "," in digits and "." in digits:
        raise NumberError(
            f"{name}: {shown} has both a comma and a point. Type {wanted}, with one decimal mark only."
        )
    if (parted := FRACTION.fullmatch(digits)) and (value := _fraction(parted)) is not None:
        return (value,)
    if THOUSANDS_OR_DECIMALS.fullmatch(digits):
        return tuple(float(text) for text in _two_ways(digits))
    if not PLAIN.fullmatch(digits):
        raise NumberError(f"{name}: {shown} is not a number. Type {wanted}, such as 1.4 or 1,4.")
    return (float(digits.replace(",", ".")),)


def _two_ways(digits: str) -> tuple[str, str]:
    return digits.replace(",", ""), digits.replace(",", ".")


def _fraction(parted: re.Match[str]) -> float | None:
    """The fraction as a number; None where it is none of a bench: 9/8, or so many thirteenths."""
    part = Fraction(int(parted["over"]), int(parted["under"]))
    if int(parted["under"]) not in PARTS or part >= 1:
        return None
    value = float(int(parted["whole"] or 0) + part)
    return -value if parted["sign"] == "-" else value


def _parts_to_one(parted: re.Match[str]) -> str:
    """Whichever side is not the one; as it was typed where neither is."""
    one, other = parted["one"], parted["other"]
    if other == "1":
        return one
    return other if one == "1" else parted[0]


def _only_plausible(
    readings: Sequence[float], typed: str, plausible: tuple[float, float] | None, name: str
) -> float:
    """The one reading within the range. Raises AmbiguousNumber where that leaves both, or neither."""
    fit = [value for value in readings if plausible is not None and plausible[0] <= value <= plausible[1]]
    if len(fit) == 1:
        return fit[0]
    large, small = _two_ways(typed)
    raise AmbiguousNumber(
        f'{name}: "{typed}" can mean {large} or {small}. Type one of the two.',
        tuple(readings),
        (Choice(large, large), Choice(small, small)),
        typed,
    )


def _implausible(value: float, unit: str, plausible: tuple[float, float]) -> ImplausibleNumber:
    lower, upper = plausible
    slips = (round(value * slip, 12) for slip in SLIPS)
    meant = next((slip for slip in slips if lower <= slip <= upper), None) if value else None
    question = "" if meant is None else f" Did you mean {_shown(meant, unit)}?"
    return ImplausibleNumber(
        f"{_shown(value, unit)} is far from anything this gauge can find here "
        f"({_shown(lower, '')} to {_shown(upper, unit)}).{question} Type it again, or confirm it.",
        value,
        meant,
    )


def _shown(value: float, unit: str) -> str:
    number = f"{value:.10g}"
    return f"{number} {unit}" if unit and math.isfinite(value) else number
