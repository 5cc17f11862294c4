"""Read a measured value in the unit a person thinks in, and keep it in the unit of the sheet; exactly.

Factors are exact ratios, as their definitions are: 1 in is 25.4 mm. A typed decimal is converted as a ratio too
and becomes a binary number only once, so that nothing is rounded across a limit on the way.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

import pint

from tickover.formats.number import NumberError, read_number

CHOICES = (
    ("mm", "in"),
    ("bar", "psi"),
    ("mbar", "psi"),
    ("hPa", "psi"),
    ("kPa", "psi"),
    ("N.m", "in-lb"),
    ("deg C", "deg F"),
    ("N", "lbf"),
)
"""A unit of a type sheet, and the one it may be typed in as well; either may be the sheet's."""
SPELLINGS = {
    "in": ("inch", "in", '"'),
    "in-lb": ("lbf.in", "in.lbf", "lb-in", "in-lb", "in lb", "inlb"),
    "lbf": ("lbf", "lb"),
    "N.m": ("N.m", "N·m", "N m", "N*m", "Nm"),
    "deg C": ("deg C", "degC", "°C", "C"),
    "deg F": ("deg F", "degF", "°F", "F"),
}
PINT_NAMES = {
    "in": "inch",
    "in-lb": "force_pound * inch",
    "lbf": "force_pound",
    "N.m": "newton * meter",
    "deg C": "degC",
    "deg F": "degF",
    "rpm": "1 / minute",
}
LAST_DIGIT = 1e-12
"""Relative width within which a converted value is its limit: some last binary digits."""


@dataclass(frozen=True)
class Amount:
    """A value in the unit it was wanted in, and the unit it was typed in."""

    value: float
    typed_in: str


def alternatives(unit: str) -> tuple[str, ...]:
    """The unit itself, then the other that a value may be typed in, if there is one."""
    pair = next((pair for pair in CHOICES if unit in pair), (unit,))
    return (unit, *(name for name in pair if name != unit))


@cache
def convertible(from_unit: str, to_unit: str) -> bool:
    """Whether both are units of the same quantity."""
    if from_unit == to_unit:
        return True
    try:
        _line(from_unit, to_unit)
    except ValueError:
        return False
    return True


def convert(value: float, from_unit: str, to_unit: str) -> float:
    """A value in another unit. Raises ValueError where the two do not measure the same.

    Examples
    --------
    >>> convert(1.0, "in", "mm"), convert(212.0, "deg F", "deg C")
    (25.4, 100.0)
    """
    if from_unit == to_unit:
        return value
    slope, offset = _line(from_unit, to_unit)
    return float(_exact(value) * slope + offset)


def convert_width(width: float, from_unit: str, to_unit: str) -> float:
    """A difference in another unit: a resolution or an uncertainty, which no zero point moves."""
    return width if from_unit == to_unit else float(_exact(width) * _line(from_unit, to_unit)[0])


def settled(value: float, *limits: float | None) -> float:
    """The value, or the limit from which only the last binary digits of a conversion part it."""
    for limit in limits:
        if limit is not None and math.isclose(value, limit, rel_tol=LAST_DIGIT, abs_tol=LAST_DIGIT):
            return limit
    return value


def read_amount(
    text: str,
    *,
    unit: str,
    name: str,
    typed_in: str = "",
    plausible: tuple[float, float] | None = None,
    limits: tuple[float | None, ...] = (),
) -> Amount:
    """Read one typed value, in `typed_in` or in the unit that is written behind it.

    Parameters
    ----------
    text, name, plausible
        As for read_number; `plausible` is in `unit`.
    unit : str
        Unit of the sheet, which the value is given back in.
    typed_in : str
        One of `alternatives(unit)`; "" for `unit` itself.
    limits : tuple of float or None
        Limits in `unit`: a value that is one of them, converted, is exactly that limit.

    Raises
    ------
    NumberError, ImplausibleNumber
        As read_number; also for a unit that is none of the alternatives.

    Examples
    --------
    >>> read_amount("0,055", unit="mm", typed_in="in", name="Lever height")
    Amount(value=1.397, typed_in='in')
    """
    chosen = typed_in or unit
    if chosen not in alternatives(unit):
        raise NumberError(f'{name}: "{chosen[:20]}" is not a unit it is read in. Choose {_listed(unit)}.')
    digits, written = _parted(text, unit)
    chosen = written or chosen
    between = None if plausible is None else _about(plausible, unit, chosen)
    number = read_number(digits, unit=chosen, plausible=between, name=name)
    return Amount(settled(convert(number, chosen, unit), *limits), chosen)


def shown_limit(limit: float, unit: str, other: str, *, lower: bool) -> str:
    """A limit in another unit, to four figures, rounded to the inside: who keeps to it keeps to the limit.

    Examples
    --------
    >>> shown_limit(1.2, "mm", "in", lower=True), shown_limit(1.6, "mm", "in", lower=False)
    ('0.04725', '0.06299')
    """
    slope, offset = _line(unit, other)
    exact = _exact(limit) * slope + offset
    step = Fraction(10) ** (math.floor(math.log10(abs(exact))) - 3) if exact else Fraction(1)
    rounded = (math.ceil if lower else math.floor)(exact / step) * step
    return f"{float(rounded):.10g}"


def _exact(value: float) -> Fraction:
    """The decimal that a person reads, as a ratio: 0.1 is a tenth."""
    return Fraction(repr(float(value)))


@cache
def _line(from_unit: str, to_unit: str) -> tuple[Fraction, Fraction]:
    """Slope and offset of a conversion."""
    if from_unit == to_unit:
        return Fraction(1), Fraction(0)
    try:
        zero, one = (_by_pint(Fraction(n), from_unit, to_unit) for n in (0, 1))
    except (pint.PintError, ValueError) as error:
        raise ValueError(f"{from_unit} cannot be converted to {to_unit}") from error
    return one - zero, zero


def _by_pint(value: Fraction, from_unit: str, to_unit: str) -> Fraction:
    units = _registry()
    source, target = (units.Unit(PINT_NAMES.get(name, name)) for name in (from_unit, to_unit))
    return Fraction(units.Quantity(value, source).to(target).magnitude)


@cache
def _registry() -> pint.UnitRegistry[Fraction]:
    """Half a second to build, so once, and only where a unit is converted at all."""
    return pint.UnitRegistry(non_int_type=Fraction)


def _parted(text: str, unit: str) -> tuple[str, str]:
    """What was typed without the unit behind it, and that unit, "" for none."""
    typed = " ".join(text.replace("\N{MINUS SIGN}", "-").split())
    for name, spelling in _spellings(unit):
        digits = typed[: -len(spelling)].rstrip()
        if typed.casefold().endswith(spelling.casefold()) and digits[-1:] in {*"0123456789.,"}:
            return digits, name
    return text, ""


def _spellings(unit: str) -> Iterator[tuple[str, str]]:
    for name in alternatives(unit):
        yield from ((name, spelling) for spelling in SPELLINGS.get(name, (name,)) if spelling)


def _about(span: tuple[float, float], unit: str, other: str) -> tuple[float, float]:
    if unit == other:
        return span
    lower, upper = (float(f"{convert(x, unit, other):.4g}") for x in span)
    return lower, upper


def _listed(unit: str) -> str:
    return " or ".join(alternatives(unit))
