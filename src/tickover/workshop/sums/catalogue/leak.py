"""The sum on a pressure or vacuum test."""

from __future__ import annotations

from dataclasses import replace

from tickover.science.false_air import false_air
from tickover.science.leaks import leak_from_decay
from tickover.workshop.sums.catalogue.asking import GAUGES, PRESSURES, TEMPERATURES, number, one
from tickover.workshop.sums.sum import Answer, Field, Result, Sum, Values


def leak(values: Values) -> Answer:
    names = ("start", "end", "time", "volume", "start-temperature", "end-temperature")
    test = leak_from_decay(*(number(values, name) for name in names), outside_pa=number(values, "outside"))
    litres = one(test.leak_l_min)
    share = false_air(abs(litres), number(values, "swept"))
    way = (
        "It leaks"
        if (litres >= 0) == (number(values, "start") >= 0)
        else "The gauge went the wrong way for a leak: it says"
    )
    return Answer(
        (
            f"{way} {{leak}}, as one round hole of {{hole}} would.",
            "As false air that is {idle} of what the engine breathes at idle, {full} at full throttle.",
            "Where the interval of the leak reaches past 0, this test cannot tell it from none.",
        ),
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
    Sum(
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
            Field("time", "Time between", "10", ("min", "s"), "s", 1.0, 86_400.0, give_or_take="0.05"),
            Field(
                "volume",
                "Closed volume",
                "450",
                ("cm3", "in3", "l"),
                "m3",
                1e-6,
                1.0,
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
        "tickover.science.leaks.leak_from_decay",
        None,
        (
            "Never above the maker’s test pressure: too much pushes a seal out of its seat. No mouth, no shop air "
            "without a regulator.",
        ),
    ),
)
