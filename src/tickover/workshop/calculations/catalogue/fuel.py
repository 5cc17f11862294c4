"""Calculations on petrol and oil."""

from __future__ import annotations

from tickover.science.fuel_system.oil_mix import oil_for, remix
from tickover.workshop.calculations.asking import number, one
from tickover.workshop.calculations.calculation import Calculation, CalculationAnswer, Field, Result, Values

LITRES = ("l", "US gal", "ml")
OIL = ("US fl oz",)
MAKERS = "The engine maker gives ratio and oil; too little oil seizes the engine."
FIRE = "Petrol: no flame, no spark, air moving, the can on the ground while it is filled."
UNUSUAL = "That ratio is outside of 25 to 60: check the maker’s figure."


def oil_mix(values: Values) -> CalculationAnswer:
    mix = oil_for(number(values, "petrol"), number(values, "ratio"))
    return CalculationAnswer(
        ("Add {oil} of oil.",),
        (
            Result("oil", "Oil to add", 1000 * one(mix.oil_l), "ml", OIL, 3),
            Result("percent", "Oil in the finished mix", one(mix.percent), "%", (), 3),
        ),
        (mix.working(),),
        (UNUSUAL,) if one(mix.is_unusual) else (),
    )


def oil_remix(values: Values) -> CalculationAnswer:
    change = remix(*(number(values, name) for name in ("tank", "from-ratio", "ratio", "fresh")))
    oil, petrol = 1000 * one(change.oil_l), one(change.petrol_l)
    what = (
        "Add {oil} of oil."
        if oil > 0
        else "Add {petrol} of petrol without oil."
        if petrol > 0
        else "It is right already."
    )
    return CalculationAnswer(
        (what,),
        (
            Result("oil", "Oil to add", oil, "ml", OIL, 3),
            Result("petrol", "Petrol without oil to add", petrol, "l", ("US gal",), 3),
            Result("total", "In the tank afterwards", one(change.total_l), "l", ("US gal",), 3),
        ),
        (change.working(),),
        (UNUSUAL,) if one(change.is_unusual) else (),
    )


PETROL = Field("petrol", "Petrol without oil", "10", LITRES, "l", 0.02, 1_500, give_or_take="0.1")
RATIO = Field(
    "ratio",
    "Petrol to one of oil",
    "50",
    ratio=True,
    lower=5,
    upper=200,
    engine=lambda g: g.petrol_to_oil,
    called=("to ratio",),
)
SUMS = (
    Calculation(
        "oil-mix",
        "How much oil goes into the petrol?",
        "Fuel",
        (PETROL, RATIO),
        oil_mix,
        "tickover.science.fuel_system.oil_mix.oil_for",
        None,
        (MAKERS, FIRE),
    ),
    Calculation(
        "oil-remix",
        "How is a tank of one mix brought to another?",
        "Fuel",
        (
            Field("tank", "Mix in the tank", "8", LITRES, "l", 0.0, 1_500, give_or_take="0.2"),
            Field("from-ratio", "Petrol to one of oil in the tank", "30", ratio=True, lower=5, upper=200),
            RATIO,
            Field("fresh", "Petrol without oil that goes in anyway", "0", LITRES, "l", 0.0, 1_500),
        ),
        oil_remix,
        "tickover.science.fuel_system.oil_mix.remix",
        None,
        (MAKERS, FIRE),
    ),
)
