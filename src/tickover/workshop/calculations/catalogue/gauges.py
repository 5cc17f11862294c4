"""Calculations on gauges: thermocouple and units."""

from __future__ import annotations

from contextlib import suppress

from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.core.working import Quantity, Working
from tickover.science.measurement.thermocouple import read_type_k, wire_tolerance_k
from tickover.workshop.calculations import units
from tickover.workshop.calculations.asking import TORQUES, number, one
from tickover.workshop.calculations.calculation import Calculation, CalculationAnswer, Field, Result, Values

QUANTITIES = {
    "temperature": ("deg C", "deg F", "K"),
    "pressure": ("Pa", "hPa", "kPa", "bar", "psi", "inHg", "mmHg"),
    "length": ("mm", "in", "cm", "m", "ft", "km"),
    "torque": TORQUES,
    "force": ("N", "kgf", "lbf"),
    "mass": ("g", "kg", "oz", "lb"),
    "volume": ("ml", "l", "cm3", "in3", "US gal", "US fl oz"),
    "speed": ("m/s", "km/h", "kt", "mph", "ft/min"),
    "power": ("W", "kW", "hp", "hp (metric)"),
    "flow": ("l/h", "US gal/h"),
}
EVERY = tuple((unit, unit) for group in QUANTITIES.values() for unit in group)


def type_k(values: Values) -> CalculationAnswer:
    read = read_type_k(number(values, "voltage"), number(values, "cold-junction") - 273.15)
    hot = one(read.temperature_c)
    results = [Result("hot", "Hot junction", hot, "deg C", ("deg F",), 4)]
    with suppress(OutOfRangeError):  # the standard gives the wire no tolerance beyond its range
        results.append(
            Result("wire", "A wire of class 2 may be off by", one(wire_tolerance_k(hot)), "K", (), 2)
        )
    return CalculationAnswer(
        ("The hot junction is at {hot}.",),
        tuple(results),
        (read.working(),),
        read.doubts,
    )


def conversion(values: Values) -> CalculationAnswer:
    value, from_, to = number(values, "value"), str(values["from"]), str(values["to"])
    try:
        converted = units.convert(value, from_, to)
        slope, zero = units.width(1.0, from_, to), units.convert(0.0, from_, to)
    except ValueError as error:
        raise OutOfRangeError(f"to: {from_} and {to} do not measure the same") from error
    working = Working(
        f"{from_} in {to}",
        "y = a x + b",
        (Quantity("x", value, from_), Quantity("a", slope, f"{to}/{from_}"), Quantity("b", zero, to)),
        Quantity("y", converted, to),
        "exact by the definitions of the units",
        "BIPM SI Brochure; NIST SP 811, appendix B",
        "standard",
    )
    return CalculationAnswer(
        (f"{value:.10g} {units.shown(from_)} is {{converted}}.",),
        (Result("converted", f"In {to}", converted, to, (), 7),),
        (working,),
    )


SUMS = (
    Calculation(
        "thermocouple",
        "Which temperature is a type K voltage?",
        "Gauges and units",
        (
            Field(
                "voltage",
                "Voltage as read",
                "7.5",
                ("mV",),
                "mV",
                -10,
                60,
                give_or_take="0.02",
                called=("voltage",),
            ),
            Field(
                "cold-junction",
                "Where the wires end at the instrument",
                "22",
                ("deg C", "deg F", "K"),
                "K",
                213.15,
                423.15,
                give_or_take="1",
                called=("cold junction",),
            ),
        ),
        type_k,
        "tickover.science.measurement.thermocouple.read_type_k",
    ),
    Calculation(
        "unit-conversion",
        "What is that in the other unit?",
        "Gauges and units",
        (
            Field("value", "Value", "29.92", lower=-1e9, upper=1e9),
            Field("from", "From", "inHg", wants=EVERY),
            Field("to", "To", "hPa", wants=EVERY, called=("to:",)),
        ),
        conversion,
        "tickover.formats.text.units.convert",
    ),
)
