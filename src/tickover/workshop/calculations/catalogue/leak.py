"""The sum on a pressure or vacuum test."""

from __future__ import annotations

import math
from dataclasses import replace

from tickover.science.engine.induction_leak import induction_leak
from tickover.science.engine.pressure_decay import leak_from_decay
from tickover.workshop.calculations.asking import (
    GAUGES,
    PRESSURES,
    TEMPERATURES,
    number,
    one,
    standard,
)
from tickover.workshop.calculations.calculation import Calculation, CalculationAnswer, Field, Result, Values


def leak(values: Values) -> CalculationAnswer:
    names = ("start", "end", "time", "volume", "start-temperature", "end-temperature")
    test = leak_from_decay(
        *(number(values, name) for name in names),
        outside_pa=number(values, "outside"),
        u_pressure_pa=_alike(values, "start", "end"),
        u_temperature_k=_alike(values, "start-temperature", "end-temperature"),
        u_volume_m3=standard(values, "volume"),
        u_time_min=standard(values, "time"),
    )
    litres = one(test.leak_l_min)
    share = induction_leak(abs(litres), number(values, "swept"))
    wrong_way = litres != 0 and one(test.hole_m) == 0
    leaks = (
        f"{'It leaks' if litres >= 0 else 'It leaks inwards,'} {{leak}}, as one round hole of {{hole}} would."
    )
    return CalculationAnswer(
        (WRONG_WAY,) if wrong_way else (leaks, FALSE_AIR),
        (
            Result("leak", "Leak, as air at 15 °C and 1013.25 hPa (inwards below 0)", litres, "l/min", (), 3),
            Result("hole", "One round hole", 1000 * one(test.hole_m), "mm", ("in",), 2),
            Result("idle", "Share of the air at idle", 100 * one(share.idle_share), "%", (), 2),
            Result("full", "Share of the air at full throttle", 100 * one(share.full_share), "%", (), 2),
            Result(
                "loss",
                "Fall of the gauge without the temperature",
                one(test.loss_pa) / 1e5,
                "bar",
                ("psi",),
                2,
            ),
            Result(
                "drift",
                "Rise of the gauge by the temperature alone",
                one(test.drift_pa) / 1e5,
                "bar",
                ("psi",),
                2,
            ),
        ),
        (test.working(), share.working()),
    )


def _alike(values: Values, *names: str) -> float:
    """One standard uncertainty for two readings of one gauge, that has the same squares as their own."""
    return math.hypot(*(standard(values, name) for name in names)) / math.sqrt(len(names))


def apart_from_none(answer: CalculationAnswer) -> CalculationAnswer:
    """Whether the readings are sure enough to tell the leak from none: its interval says so."""
    leak = next(result for result in answer.results if result.id == "leak")
    if leak.lower is None or leak.upper is None:
        return replace(answer, sentences=(*answer.sentences, UNSURE))
    if leak.lower > 0.0 or leak.upper < 0.0:
        notes = () if WRONG_WAY in answer.sentences else (TOLD,)
        return replace(answer, sentences=(*answer.sentences, *notes))
    most = Result("most", "Most it may be", max(-leak.lower, leak.upper), leak.unit, (), 2)
    others = tuple(result for result in answer.results if result.id != "hole")
    return replace(answer, sentences=(*CANNOT_TELL, FALSE_AIR), results=(*others, most))


WRONG_WAY = "The gauge went the wrong way for a leak: {leak}. Check temperatures and gauge."
FALSE_AIR = "As false air that is {idle} of what the engine breathes at idle, {full} at full throttle."
TOLD = "That is more than the uncertainty: a real leak."
UNSURE = "No uncertainty given, so a small leak cannot be separated from none."
CANNOT_TELL = (
    "Within the uncertainty: no leak shown.",
    "It reads {leak}, so at most {most}. Wait longer, take a finer gauge, keep the temperature the same.",
)

START = Field(
    "start",
    "Gauge at the start",
    "0.35",
    GAUGES,
    "Pa",
    -95_000,
    1_000_000,
    "Below 0 for vacuum.",
    give_or_take="0.005",
    called=("gauge at the start",),
)
INSIDE = Field(
    "start-temperature",
    "Temperature inside at the start",
    "20",
    TEMPERATURES,
    "K",
    223.15,
    423.15,
    give_or_take="0.5",
)
SUMS = (
    Calculation(
        "leak",
        "How large is the leak, from the pressure a closed engine loses?",
        "Leaks",
        (
            START,
            replace(
                START,
                name="end",
                label="Gauge at the end",
                default="0.31",
                hint="",
                called=("gauge at the end",),
            ),
            Field("time", "Time between", "10", ("min", "s"), "min", 0.25, 120.0, give_or_take="0.05"),
            Field(
                "volume",
                "Closed volume",
                "450",
                ("cm3", "in3", "l"),
                "m3",
                1e-6,
                0.02,
                "Hose and gauge included.",
                give_or_take="40",
                engine=lambda g: g.case_volume_cm3 and g.case_volume_cm3 * 1e-6,
            ),
            INSIDE,
            replace(INSIDE, name="end-temperature", label="Temperature inside at the end"),
            Field(
                "outside",
                "Air pressure outside",
                "1013",
                PRESSURES,
                "Pa",
                45_000,
                110_000,
                "At the field, not reduced to sea level.",
                called=("air outside", "pressure outside"),
            ),
            Field(
                "swept",
                "Swept volume",
                "185",
                ("cm3", "in3"),
                "cm3",
                10,
                2_000,
                engine=lambda g: g.displacement_cm3,
            ),
        ),
        leak,
        "tickover.science.engine.pressure_decay.leak_from_decay",
        None,
        (
            "Never above the maker’s test pressure: too much pushes a seal out of its seat. No mouth, no shop air "
            "without a regulator.",
        ),
        conclude=apart_from_none,
    ),
)
