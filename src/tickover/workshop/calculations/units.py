"""Units as a technician says them: which one was typed, and what it is in the unit of the sum.

Factors are those of `formats.units`: exact ratios, by pint.
"""

from __future__ import annotations

from tickover.formats.text import units as exact

PINT = {
    "%": "percent",
    "": "dimensionless",
    "1": "dimensionless",
    "°": "degree",
    "l": "liter",
    "ml": "milliliter",
    "US gal": "US_liquid_gallon",
    "US fl oz": "US_fluid_ounce",
    "in-lb": "force_pound * inch",
    "ft-lb": "force_pound * foot",
    "kgf.m": "kgf * meter",
    "N.m": "newton * meter",
    "km/h": "kilometer / hour",
    "kt": "knot",
    "mph": "mile / hour",
    "ft/min": "foot / minute",
    "m/s": "meter / second",
    "hp (metric)": "metric_horsepower",
    "hp": "horsepower",
    "g/m": "gram / meter",
    "kg/m": "kilogram / meter",
    "kg/m3": "kilogram / meter ** 3",
    "lb/ft3": "pound / foot ** 3",
    "cm3": "centimeter ** 3",
    "in3": "inch ** 3",
    "m3": "meter ** 3",
    "l/h": "liter / hour",
    "US gal/h": "US_liquid_gallon / hour",
    "in": "inch",
    "lbf": "force_pound",
    "oz": "ounce",
    "lb": "pound",
}
"""Names here that pint has another name for; `formats.units` knows the temperatures."""
SPELLINGS = {
    "c": "deg C",
    "f": "deg F",
    "f°": "deg F",
    "mbar": "hPa",
    "percent": "%",
    "deg": "°",
    "degree": "°",
    "degrees": "°",
    "nm": "N.m",
    "lbf.in": "in-lb",
    "inlb": "in-lb",
    "lbf.ft": "ft-lb",
    "ftlb": "ft-lb",
    "litre": "l",
    "litres": "l",
    "gal": "US gal",
    "cc": "cm3",
    "ccm": "cm3",
    '"': "in",
    "inch": "in",
    "kn": "kt",
    "knots": "kt",
    "feet": "ft",
}


def convert(value: float, from_unit: str, to_unit: str) -> float:
    """A value in another unit of the same quantity; ValueError where there is none."""
    return exact.convert(value, PINT.get(from_unit, from_unit), PINT.get(to_unit, to_unit))


def width(value: float, from_unit: str, to_unit: str) -> float:
    """A difference, which no zero point moves, in another unit."""
    return exact.convert_width(value, PINT.get(from_unit, from_unit), PINT.get(to_unit, to_unit))


def meant(text: str, offered: tuple[str, ...]) -> str | None:
    """Which of the units offered was written; None for none of them."""
    plain = _plain(text)
    spelled = SPELLINGS.get(plain)
    return next((unit for unit in offered if _plain(unit) == plain or unit == spelled), None)


def shown(unit: str) -> str:
    """A unit as it is printed."""
    return unit.replace("deg ", "°").replace("N.m", "N·m").replace("m3", "m³").replace("in3", "in³")


def _plain(text: str) -> str:
    short = "".join(text.casefold().split()).replace("·", ".").replace("³", "3").replace("µ", "u")
    return (
        short.removeprefix("deg").removeprefix("°")
        if short not in ("deg", "°", "degrees", "degree")
        else "deg"
    )
