"""Calculations on the propeller: thrust at standstill, other air, tips."""

from __future__ import annotations

from tickover.science.atmosphere.moist_air import moist_density_kg_m3
from tickover.science.atmosphere.standard_atmosphere import standard_air
from tickover.science.atmosphere.static_correction import static_in_other_air
from tickover.science.core.working import Quantity, Working
from tickover.science.engine.propeller import ideal_thrust_n, static_run
from tickover.science.engine.tip_speed import tip_mach, tip_speed_m_s
from tickover.workshop.calculations.asking import (
    DIAMETER,
    ELEVATION,
    HUMIDITY,
    PRESSURE,
    PRESSURE_IS,
    TEMPERATURE,
    at_moment,
    number,
    one,
    when,
)
from tickover.workshop.calculations.calculation import Calculation, CalculationAnswer, Field, Result, Values
from tickover.workshop.calculations.catalogue.weather import at_field_pa

CLEAR = (
    "A turning propeller kills. Tie the engine down by more than its thrust, keep everybody out of the propeller’s "
    "plane and from before and behind it, have one person at the switch.",
    "Look over hub, bolts and blades before every run; a nicked or loose propeller is not run at all.",
)


def static_thrust(values: Values) -> CalculationAnswer:
    power, diameter, density = number(values, "power"), number(values, "diameter"), _density(values)
    run = static_run(power, diameter, density, number(values, "merit"))
    return CalculationAnswer(
        ("At standstill it should pull about {thrust}; more than {most} it cannot.",),
        (
            Result("thrust", "Thrust to be expected", one(run.thrust_n), "N", ("kgf", "lbf"), 3),
            Result(
                "most",
                "Most that momentum allows",
                one(ideal_thrust_n(power, diameter, density)),
                "N",
                ("kgf", "lbf"),
                3,
            ),
            Result("density", "Density of the air", density, "kg/m3"),
        ),
        (run.working(),),
    )


def _density(values: Values, moment: str = "") -> float:
    kelvin, wet = number(values, f"{moment}temperature"), number(values, f"{moment}humidity")
    if not moment:
        return one(moist_density_kg_m3(kelvin, at_field_pa(values), wet))
    with at_moment(moment.rstrip("-")):
        return one(moist_density_kg_m3(kelvin, at_field_pa(values, moment), wet))


def other_air(values: Values) -> CalculationAnswer:
    then, now = _density(values, "then-"), _density(values, "now-")
    carried = static_in_other_air(number(values, "rpm"), number(values, "thrust"), then, now)
    speeds = sorted((one(carried.rpm), one(carried.rpm_friction)))
    pulls = sorted((one(carried.thrust_n), one(carried.thrust_friction_n)))
    return CalculationAnswer(
        (
            "With the engine as it was, expect {slow} to {fast} and {weak} to {strong} today.",
            "What lies outside of that, and outside of what was read then, is not the weather.",
        ),
        (
            Result("slow", "Static rpm, at least", speeds[0], "rpm", (), 4),
            Result("fast", "Static rpm, at most", speeds[1], "rpm", (), 4),
            Result("weak", "Thrust, at least", pulls[0], "N", ("kgf",), 3),
            Result("strong", "Thrust, at most", pulls[1], "N", ("kgf",), 3),
            Result("then", "Density of the air then", then, "kg/m3"),
            Result("now", "Density of the air now", now, "kg/m3"),
        ),
        (carried.working(),),
    )


def tips(values: Values) -> CalculationAnswer:
    rpm, diameter, kelvin, along = (
        number(values, name) for name in ("rpm", "diameter", "temperature", "airspeed")
    )
    speed, mach = one(tip_speed_m_s(rpm, diameter, along)), one(tip_mach(rpm, diameter, kelvin, along))
    working = Working(
        "speed of the blade tips",
        "v = √((π D n)² + V²); Mach = v/√(γ R T)",
        (
            Quantity("speed of the propeller n", rpm, "rpm"),
            Quantity("diameter D", diameter, "m"),
            Quantity("airspeed V", along, "m/s"),
            Quantity("air temperature T", kelvin, "K"),
            Quantity(
                "standard day’s speed of sound, for comparison",
                one(standard_air(0.0).speed_of_sound_m_s),
                "m/s",
            ),
            Quantity("tip speed v", speed, "m/s"),
        ),
        Quantity("Mach number of the tips", mach, ""),
        "dry air as an ideal gas; moisture makes under 1 % of it",
        "ISO 2533:1975 for the speed of sound",
        "standard",
    )
    return CalculationAnswer(
        ("The tips move at {speed}, Mach {mach}.",),
        (
            Result("speed", "Speed of the tips", speed, "m/s", ("km/h",), 4),
            Result("mach", "Mach number of the tips", mach, "", (), 3),
        ),
        (working,),
    )


WEATHER = (PRESSURE, ELEVATION, TEMPERATURE, HUMIDITY)
PROPELLER_RPM = Field(
    "rpm",
    "Speed of the propeller",
    "2500",
    ("rpm",),
    "rpm",
    100,
    10_000,
    give_or_take="20",
    called=("propeller speed",),
)
SUMS = (
    Calculation(
        "static-thrust",
        "How much thrust should it have at standstill?",
        "Propeller",
        (
            Field(
                "power",
                "Power at the propeller",
                "11",
                ("kW", "hp", "hp (metric)"),
                "W",
                100,
                200_000,
                give_or_take="1",
                called=("power",),
            ),
            DIAMETER,
            Field(
                "merit",
                "Figure of merit",
                "0.6",
                lower=0.1,
                upper=1.0,
                hint="0.6 is a judgement.",
                give_or_take="0.1",
                called=("figure of merit",),
            ),
            PRESSURE_IS,
            *WEATHER,
        ),
        static_thrust,
        "tickover.science.engine.propeller.static_run",
        None,
        CLEAR,
    ),
    Calculation(
        "static-in-other-air",
        "Which static rpm and thrust are only the weather?",
        "Propeller",
        (
            Field(
                "rpm",
                "Static rpm then",
                "6000",
                ("rpm",),
                "rpm",
                150,
                30_000,
                give_or_take="30",
                called=("static rpm",),
            ),
            Field(
                "thrust",
                "Static thrust then",
                "55",
                ("kgf", "N", "lbf"),
                "N",
                5,
                10_000,
                give_or_take="1",
                called=("static thrust",),
            ),
            PRESSURE_IS,
            *(when(field, "then", "then") for field in WEATHER),
            *(
                when(field, "now", "now", default)
                for field, default in zip(WEATHER, ("1008", "0", "28", ""), strict=True)
            ),
        ),
        other_air,
        "tickover.science.atmosphere.static_correction.static_in_other_air",
        None,
        CLEAR,
    ),
    Calculation(
        "tip-mach",
        "How near are the blade tips to the speed of sound?",
        "Propeller",
        (
            PROPELLER_RPM,
            DIAMETER,
            TEMPERATURE,
            Field(
                "airspeed", "Airspeed", "0", ("km/h", "kt", "mph", "m/s"), "m/s", 0, 100, called=("airspeed",)
            ),
        ),
        tips,
        "tickover.science.engine.tip_speed.tip_mach",
        None,
        CLEAR[:1],
    ),
)
