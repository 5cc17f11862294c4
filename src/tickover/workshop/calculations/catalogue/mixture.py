"""Calculations on the mixture: needles set in one air, flown in another."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from tickover.science.atmosphere.altitudes import pressure_altitude_m, qnh_pa
from tickover.science.atmosphere.moist_air import moist_density_kg_m3
from tickover.science.atmosphere.standard_atmosphere import standard_pressure_pa
from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.fuel_system.fuels import FUELS, Premix
from tickover.science.fuel_system.mixture import (
    DENSITY_RATIOS,
    MixtureChange,
    equivalence_ratio,
    mixture_change,
)
from tickover.science.fuel_system.mixture_advice import NeedleAdvice, advise
from tickover.science.fuel_system.mixture_setting import AirOfTheDay, Setting
from tickover.science.fuel_system.needle import Needle
from tickover.science.measurement.propagation import Unsure, propagate
from tickover.workshop.calculations.asking import (
    ELEVATION,
    HUMIDITY,
    PRESSURE,
    PRESSURE_IS,
    TEMPERATURE,
    at_moment,
    number,
    one,
    standard,
    when,
)
from tickover.workshop.calculations.calculation import Calculation, CalculationAnswer, Field, Result, Values
from tickover.workshop.calculations.catalogue.weather import at_field_pa
from tickover.workshop.drawings.mixture_map import MixtureMap, mixture_map

Grid = NDArray[np.float64]

LEANING = (
    "A lean two-stroke seizes without warning. Open a needle first, close it only after a run-up with the head "
    "temperature watched, an eighth of a turn at a time.",
    "The maker’s setting and the engine’s own run-up come first: this gives the direction and about how far.",
    "Run the engine tied down, with nobody in the propeller’s plane or behind it.",
)
ILLUSTRATIVE = "Illustrative until you measure your own."
RATIO = Field(
    "ratio",
    "Petrol to one of oil",
    "50",
    ratio=True,
    lower=10,
    upper=200,
    engine=lambda g: g.petrol_to_oil,
    called=("fuel to oil ratio",),
)
FUEL = Field(
    "fuel", "Fuel", "e5", wants=tuple((name, fuel.name.capitalize()) for name, fuel in FUELS.items())
)
NEEDLE = (
    Field(
        "turns",
        "High needle, turns out when it was good",
        "1.5",
        ("turns",),
        "turns",
        0.25,
        3.0,
        reading=("needle-high",),
        called=("turns",),
    ),
    Field("seat", "Seat of the needle", "1.6", ("mm",), "mm", 0.2, 5.0, ILLUSTRATIVE, called=("seat",)),
    Field("half-angle", "Half of the cone’s angle", "8", ("°",), "°", 2.0, 60.0, ILLUSTRATIVE),
    Field("pitch", "Lift for one turn", "0.75", ("mm",), "mm", 0.1, 2.0, ILLUSTRATIVE, called=("pitch",)),
    Field("fixed-jet", "Fixed jet next to the needle", "0", ("mm",), "mm", 0.0, 2.0, "0 for none."),
)
NARROW = Field(
    "temperature",
    "Air temperature",
    "15",
    TEMPERATURE.units,
    "K",
    253.15,
    318.15,
    "In the shade.",
    give_or_take="2",
)
MOMENTS = (("then", "then"), ("now", "now"))
TAKEN = {"pressure": "3", "humidity": "20", "elevation": "0"}
"""Give or take of a day's air where nobody knows better: a barometer or a weather report. A judgement."""
NOW = {"pressure": "1008", "elevation": "0", "temperature": "28"}


def _air(values: Values, moment: str) -> AirOfTheDay:
    with at_moment(moment):
        return AirOfTheDay(
            number(values, f"{moment}-temperature"),
            at_field_pa(values, f"{moment}-"),
            number(values, f"{moment}-humidity"),
            standard(values, f"{moment}-temperature"),
            _u_pressure_pa(values, moment),
            standard(values, f"{moment}-humidity"),
        )


def _u_pressure_pa(values: Values, moment: str) -> float:
    """What barometer and elevation leave unsure of the pressure at the field."""
    names = (f"{moment}-pressure", f"{moment}-elevation")

    def at_field(given: Mapping[str, float]) -> float:
        return at_field_pa({**values, **given}, f"{moment}-")

    unsure = {name: Unsure(number(values, name), standard(values, name)) for name in names}
    return propagate(at_field, unsure).standard_uncertainty


def _premix(values: Values, moment: str) -> Premix:
    return Premix(FUELS[str(values[f"{moment}-fuel"])], number(values, f"{moment}-ratio"))


def _change(values: Values) -> MixtureChange:
    then = Setting(number(values, "turns"), _air(values, "then"), _premix(values, "then"))
    return mixture_change(then, _air(values, "now"), _premix(values, "now"))


def _needle(values: Values) -> Needle:
    seat, half_angle, pitch, jet = (
        number(values, name) for name in ("seat", "half-angle", "pitch", "fixed-jet")
    )
    return Needle(seat, half_angle, pitch, jet)


def mixture_today(values: Values) -> CalculationAnswer:
    change, advice = _change(values), None
    try:
        advice = advise(change, _needle(values))
        sentences = _plain(advice.words)
    except OutOfRangeError as refusal:
        sentences = _plain(
            f"With the needles left alone the mixture changes by {change.percent:+.1f} %. {refusal}"
        )
    results = [
        Result(
            "change",
            "Change of the mixture (below 0: leaner)",
            change.percent,
            "%",
            (),
            2,
            change.lower_percent,
            change.upper_percent,
        ),
        Result("air", "Part that the air has in it", change.air_percent, "%", (), 2),
        Result("tank", "Part that the tank has in it", change.tank_percent, "%", (), 2),
        Result("density-then", "Density of the air then", change.density_then_kg_m3, "kg/m3"),
        Result("density-now", "Density of the air now", change.density_now_kg_m3, "kg/m3"),
    ]
    if advice:
        results += _of_advice(advice)
    workings = (change.working(), *((advice.working(),) if advice else ()))
    return CalculationAnswer(sentences, tuple(results), workings)


def _plain(words: str) -> tuple[str, ...]:
    """Words of the science, the first sentence apart from the rest."""
    first, _, rest = words.replace("{", "{{").replace("}", "}}").partition(". ")
    return (f"{first}.", rest) if rest else (first,)


def _of_advice(advice: NeedleAdvice) -> list[Result]:
    low, high = sorted((advice.lower_turns, advice.upper_turns))
    return [
        Result(
            "exact",
            "Turns that would make it good (above 0: open)",
            advice.exact_turns,
            "turns",
            (),
            2,
            low,
            high,
        ),
        Result("step", "Step to take (above 0: open)", advice.step_turns, "turns", (), 3),
    ]


def draw(values: Values) -> str:
    """Lines of equal mixture over temperature and pressure altitude, the needles left as they were then."""
    then = Setting(number(values, "turns"), _air(values, "then"), _premix(values, "then"))
    celsius, heights = np.linspace(-15.0, 40.0, 23), np.linspace(-300.0, 3_000.0, 34)
    percent = _percent(
        then, _premix(values, "now"), celsius + 273.15, heights, number(values, "now-humidity")
    )
    here = [(number(values, f"{m}-temperature") - 273.15, _height(values, m)) for m in ("then", "now")]
    return mixture_map(MixtureMap(celsius, heights, percent, here[0], here[1]))


def _percent(then: Setting, premix: Premix, kelvin: Grid, heights: Grid, humidity: float) -> Grid:
    """Change of the mixture, heights by temperatures; NaN where the air is too far from that of the setting."""
    hot, thin = np.meshgrid(kelvin, standard_pressure_pa(heights))
    densities = moist_density_kg_m3(hot, thin, humidity)
    ratio = densities / one(
        moist_density_kg_m3(then.air.temperature_k, then.air.pressure_pa, then.air.humidity)
    )
    near = (ratio > DENSITY_RATIOS[0]) & (ratio < DENSITY_RATIOS[1])
    percent = np.full(ratio.shape, np.nan)
    if near.any():
        percent[near] = 100.0 * (equivalence_ratio(then, premix, hot[near], thin[near], humidity) - 1.0)
    return percent


def _height(values: Values, moment: str) -> float:
    """Pressure altitude of the field. [m]"""
    elevation, pascal = number(values, f"{moment}-elevation"), number(values, f"{moment}-pressure")
    if values["pressure-is"] == "qfe":
        pascal = one(qnh_pa(pascal, elevation))
    return one(pressure_altitude_m(pascal, elevation))


def _fields() -> tuple[Field, ...]:
    weather = (PRESSURE, ELEVATION, NARROW, HUMIDITY)
    asked = [PRESSURE_IS, NEEDLE[0]]
    for moment, words in MOMENTS:
        for field in (*weather, FUEL, RATIO):
            default = NOW.get(field.name) if moment == "now" else None
            asked.append(when(_taken_in(field), moment, words, default))
    return (*asked, *NEEDLE[1:])


def _taken_in(field: Field) -> Field:
    """The sum weighs how sure the air is by itself: the step to take hangs on it."""
    take = TAKEN.get(field.name, field.give_or_take)
    return replace(field, give_or_take=take, taken_in=take is not None)


SUMS = (
    Calculation(
        "mixture-today",
        "The needles were set then: how is the mixture now?",
        "Air and mixture",
        _fields(),
        mixture_today,
        "tickover.science.fuel_system.mixture_advice.advise",
        draw,
        LEANING,
    ),
)
