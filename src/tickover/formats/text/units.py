"""From one unit to another, exactly.

Factors are exact ratios, as their definitions are: 1 in is 25.4 mm. A typed decimal is converted as a ratio too
and becomes a binary number only once, so that nothing is rounded across a limit on the way.
"""

from __future__ import annotations

import math
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pint

CHOICES = (
    ("mm", "in"),
    ("bar", "psi"),
    ("mbar", "psi"),
    ("hPa", "psi"),
    ("kPa", "psi"),
    ("N.m", "in-lb"),
    ("deg C", "deg F"),
    ("N", "lbf"),
    ("min", "s"),
)
"""A unit of a type sheet, and the one it may be typed in as well; either may be the sheet's."""
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


def printed(text: str) -> str:
    """Units as they are printed, not as they are typed on any keyboard: N.m is N·m, deg F is °F."""
    return text.replace("N.m", "N·m").replace("deg C", "°C").replace("deg F", "°F")


def settled(value: float, *limits: float | None) -> float:
    """The value, or the limit from which only the last binary digits of a conversion part it."""
    for limit in limits:
        if limit is not None and math.isclose(value, limit, rel_tol=LAST_DIGIT, abs_tol=LAST_DIGIT):
            return limit
    return value


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
    import pint

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
    import pint

    return pint.UnitRegistry(non_int_type=Fraction)
