"""Calculations on the air of the day."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace

from tickover.science.atmosphere.altitudes import density_altitude, qfe_pa
from tickover.science.atmosphere.dew_point import dew_point_k
from tickover.science.atmosphere.moist_air import moist_air
from tickover.science.atmosphere.power_correction import CODES, power_correction
from tickover.science.atmosphere.standard_atmosphere import SEA_LEVEL_KG_M3
from tickover.science.core.input_checks import OutOfRangeError
from tickover.workshop.calculations.asking import (
    ELEVATION,
    HUMIDITY,
    PRESSURE,
    PRESSURE_IS,
    TEMPERATURE,
    number,
    one,
    perhaps,
)
from tickover.workshop.calculations.calculation import Calculation, CalculationAnswer, Field, Result, Values


def at_field_pa(values: Values, moment: str = "") -> float:
    """Pressure at the field, whichever way it was given."""
    pascal = number(values, f"{moment}pressure")
    if values["pressure-is"] == "qfe":
        return pascal
    return one(qfe_pa(pascal, number(values, f"{moment}elevation")))


def air_density(values: Values) -> CalculationAnswer:
    kelvin, given, pascal = number(values, "temperature"), perhaps(values, "humidity"), at_field_pa(values)
    altitude = density_altitude(kelvin, pascal, given)
    wet = one(altitude.humidity)
    air = moist_air(kelvin, pascal, wet)
    density = one(air.density_kg_m3)
    results = [
        Result("density", "Density of the air", density, "kg/m3", ("lb/ft3",)),
        Result(
            "standard", "Share of a standard day at sea level", 100 * density / SEA_LEVEL_KG_M3, "%", (), 3
        ),
        Result("height", "Density altitude, moisture included", one(altitude.moist_m), "m", ("ft",), 3),
        Result("moisture", "Share of moisture", one(altitude.moisture_m), "m", ("ft",), 2),
        Result("pressure-height", "Pressure altitude", one(altitude.pressure_altitude_m), "m", ("ft",), 3),
        Result("pressure", "Pressure at the field (QFE)", pascal / 100, "hPa", ("inHg",), 5),
    ]
    with suppress(OutOfRangeError):  # air as dry as this has no dew point, but it has a density
        results.append(
            Result("dew", "Dew point", one(dew_point_k(kelvin, wet, pascal)) - 273.15, "deg C", (), 3)
        )
    return CalculationAnswer(
        (
            "Air density {density}, as at {height} on a standard day.",
            *(() if altitude.humidity_known else (NOT_KNOWN,)),
        ),
        tuple(results),
        (air.working(), altitude.working()),
    )


def standard_day(values: Values) -> CalculationAnswer:
    found = power_correction(
        str(values["code"]),
        number(values, "temperature"),
        at_field_pa(values),
        number(values, "humidity"),
    )
    factor = one(found.factor)
    return CalculationAnswer(
        ("On that standard day it would give {power}: {factor} times as much as today.",),
        (
            Result("power", "Power on the standard day", factor * number(values, "power"), "kW", ("hp",), 4),
            Result("factor", "Factor on the power", factor, "", (), 4),
            Result("dry", "Pressure of the dry air", one(found.dry_pa) / 100, "hPa", ("inHg",), 5),
        ),
        (found.working(),),
        () if abs(factor - 1.0) <= FAR else (FAR_AWAY,),
    )


NOT_KNOWN = (
    "No humidity is given: saturated air is taken, the thinnest it can be. Type it for a truer figure."
)
FAR = 0.07
FAR_AWAY = "The test codes need a factor of 0.93 to 1.07: run it again on a more standard day."
HUMIDITY_IF_KNOWN = replace(HUMIDITY, assumed=None, hint="Left blank, 100 % is taken.")
SUMS = (
    Calculation(
        "air-density",
        "How dense is today’s air?",
        "Air and mixture",
        (PRESSURE_IS, PRESSURE, ELEVATION, TEMPERATURE, HUMIDITY_IF_KNOWN),
        air_density,
        "tickover.science.atmosphere.altitudes.density_altitude",
    ),
    Calculation(
        "power-on-a-standard-day",
        "What would this power be on a standard day?",
        "Air and mixture",
        (
            Field(
                "power",
                "Power as measured",
                "11",
                ("kW", "hp", "hp (metric)"),
                "kW",
                0.01,
                200.0,
                give_or_take="0.5",
            ),
            Field("code", "Test code", CODES[0], wants=tuple((code, code) for code in CODES)),
            PRESSURE_IS,
            PRESSURE,
            ELEVATION,
            TEMPERATURE,
            HUMIDITY,
        ),
        standard_day,
        "tickover.science.atmosphere.power_correction.power_correction",
    ),
)
