"""Read a number as people type it: comma or point, blanks, the unit behind it; never by guessing."""

from __future__ import annotations

import math
import re

from tickover.formats.errors import ImplausibleNumber, NumberError

__all__ = ["ImplausibleNumber", "NumberError", "read_number"]

PLAIN = re.compile(r"[+-]?([0-9]+([.,][0-9]*)?|[.,][0-9]+)")
THOUSANDS_OR_DECIMALS = re.compile(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}")
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


def read_number(text: str, *, unit: str, plausible: tuple[float, float] | None = None, name: str) -> float:
    """Read one typed number.

    Parameters
    ----------
    text : str
        As typed: "1.4", "1,4", " 1.4 mm". A comma is a decimal comma.
    unit : str
        Unit the number is wanted in; it may stand behind the number. "" for none.
    plausible : tuple of two floats, optional
        Lowest and highest value to be taken without asking again. [unit]
    name : str
        What is being read, for the sentence of an error: "Lever height".

    Returns
    -------
    float
        The number. [unit]

    Raises
    ------
    NumberError
        It is not one number, or can be read in two ways.
    ImplausibleNumber
        It lies outside `plausible`; call again without the range once it is confirmed.

    Examples
    --------
    >>> read_number(" 1,4 mm", unit="mm", name="Lever height")
    1.4
    """
    typed = " ".join(text.replace("\N{MINUS SIGN}", "-").split())
    value = _value(_without_unit(typed, unit), typed, unit, name)
    if plausible is not None and not plausible[0] <= value <= plausible[1]:
        raise _implausible(value, unit, plausible)
    return value


def _without_unit(typed: str, unit: str) -> str:
    for spelling in (unit, *OTHER_SPELLINGS.get(unit, ())):
        if spelling and typed.casefold().endswith(spelling.casefold()):
            return typed[: -len(spelling)].rstrip()
    return typed


def _value(digits: str, typed: str, unit: str, name: str) -> float:
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
    if THOUSANDS_OR_DECIMALS.fullmatch(digits):
        large, small = digits.replace(",", ""), digits.replace(",", ".")
        raise NumberError(f"{name}: {shown} can mean {large} or {small}. Type one of the two.")
    if not PLAIN.fullmatch(digits):
        raise NumberError(f"{name}: {shown} is not a number. Type {wanted}, such as 1.4 or 1,4.")
    return float(digits.replace(",", "."))


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
