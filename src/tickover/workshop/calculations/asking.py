"""Fields that several calculations ask for, and the ways numbers leave them."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

import numpy as np

from tickover.science.atmosphere.moist_air import ASSUMED_HUMIDITY, U_ANY_HUMIDITY
from tickover.science.core.input_checks import OutOfRangeError
from tickover.workshop.calculations.calculation import TAKE, Assumed, Field, Rows, Values

TEMPERATURES = ("deg C", "deg F", "K")
LENGTHS = ("mm", "in")
PRESSURES = ("hPa", "inHg", "kPa")
GAUGES = ("bar", "psi", "kPa", "inHg")
TORQUES = ("N.m", "in-lb", "ft-lb", "kgf.m")

BORE = Field("bore", "Bore", "66", LENGTHS, "mm", 10, 200, engine=lambda g: g.bore_mm)
STROKE = Field("stroke", "Stroke", "54", LENGTHS, "mm", 10, 200, engine=lambda g: g.stroke_mm)
ROD = Field(
    "rod",
    "Length of the rod",
    "108",
    LENGTHS,
    "mm",
    10,
    500,
    "Centre to centre.",
    engine=lambda g: g.rod_length_mm,
    called=("rod",),
)
RPM = Field("rpm", "Engine speed", "6000", ("rpm",), "rpm", 150, 30_000, called=("engine speed", "rpm"))
HEAD = Field(
    "head",
    "Volume left above the piston at top centre",
    "18",
    ("cm3", "in3"),
    "cm3",
    0.5,
    500,
    "Filled with oil to the plug's end and read off a burette.",
    engine=lambda g: g.head_volume_cm3,
    called=("head volume",),
)
DIAMETER = Field(
    "diameter",
    "Diameter of the propeller",
    "1.3",
    ("m", "in", "cm", "ft"),
    "m",
    0.3,
    4.0,
    engine=lambda g: g.propeller.diameter_mm / 1000,
    called=("propeller diameter",),
)
ELEVATION = Field(
    "elevation", "Elevation of the field", "0", ("m", "ft"), "m", -500, 6_000, give_or_take="5", step=0.1
)
TEMPERATURE = Field(
    "temperature",
    "Air temperature",
    "15",
    TEMPERATURES,
    "K",
    233.15,
    333.15,
    "In the shade.",
    give_or_take="1",
)
ANY_HUMIDITY = Assumed(
    ASSUMED_HUMIDITY, 2.0 * U_ANY_HUMIDITY, "50 % assumed, anything from 0 to 100 % may be"
)
HUMIDITY = Field(
    "humidity",
    "Relative humidity",
    "",
    ("%",),
    "1",
    0.0,
    1.0,
    "Left blank, 50 % is assumed and said.",
    optional=True,
    assumed=ANY_HUMIDITY,
    give_or_take="10",
    called=("humidity",),
)
PRESSURE_IS = Field(
    "pressure-is",
    "The pressure is",
    "qnh",
    wants=(("qnh", "QNH: reduced to sea level"), ("qfe", "QFE: at the field itself")),
)
PRESSURE = Field(
    "pressure",
    "Air pressure",
    "1013.25",
    PRESSURES,
    "Pa",
    45_000,
    110_000,
    give_or_take="1",
    called=("QNH", "QFE", "air pressure"),
)


def when(field: Field, moment: str, words: str, default: str | None = None) -> Field:
    """The same field for another moment: `then-temperature`, "Air temperature then"."""
    return replace(
        field,
        name=f"{moment}-{field.name}",
        label=f"{field.label} {words}",
        default=field.default if default is None else default,
        called=tuple(f"{words}: {name}" for name in (*field.called, field.label)),
    )


@contextmanager
def at_moment(words: str) -> Iterator[None]:
    """Whatever is refused in here is refused at this moment: "Now: air pressure must be ..."."""
    try:
        yield
    except OutOfRangeError as refusal:
        raise OutOfRangeError(f"{words}: {refusal}") from refusal


def number(values: Values, name: str) -> float:
    """A field that is a number and was given."""
    value = values[name]
    assert isinstance(value, int | float)
    return value


def standard(values: Values, name: str) -> float:
    """Standard uncertainty of a field: half of what is typed as give or take."""
    return number(values, name + TAKE) / 2.0


def perhaps(values: Values, name: str) -> float | None:
    """A field that may be left blank."""
    return None if values[name] is None else number(values, name)


def rows(values: Values, name: str) -> Rows:
    """A field of rows; none for a blank."""
    value = values[name]
    return value if isinstance(value, tuple) else ()


def one(array: Any) -> float:
    """One number out of a sum of the science."""
    return float(np.ravel(array)[0])
