"""Belt tension from the tone of its span."""

from __future__ import annotations

from collections.abc import Callable

from tickover.science.engine.drive import belt_frequency_hz, belt_tension_n
from tickover.workshop.readings.computed.computation import Amounts, Computation, MeasurementContext
from tickover.workshop.readings.input_fields import InputField

SPAN, MASS, TONE = "of-span", "of-mass", "of-frequency"
SLACK_N = 1.0
"""A belt that pulls less has no tone."""


def _asks(site: MeasurementContext) -> tuple[InputField, ...]:
    span_m, mass = site.known("belt_span_m"), site.known("belt_mass_kg_per_m")
    span_mm = None if span_m is None else 1000.0 * span_m
    return (
        InputField(
            TONE, "Frequency of the span", "Hz", within=1.0, note="Pluck it in the middle, engine cold."
        ),
        InputField(SPAN, "Free span", "mm", gauged=False, within=1.0, given=span_mm),
        InputField(
            MASS, "Mass of one metre of belt", "kg/m", gauged=False, within=(mass or 0.1) * 0.02, given=mass
        ),
    )


def _sum(_site: MeasurementContext, _amounts: Amounts) -> Callable[[Amounts], float]:
    return lambda a: float(belt_tension_n(a[SPAN] / 1000.0, a[MASS], a[TONE]))


def _near(site: MeasurementContext, value: float) -> dict[str, float]:
    span_m, mass = site.known("belt_span_m") or 0.2, site.known("belt_mass_kg_per_m") or 0.1
    return {
        TONE: float(belt_frequency_hz(span_m, mass, max(value, SLACK_N))),
        SPAN: 1000.0 * span_m,
        MASS: mass,
    }


TENSION = Computation(
    asks=_asks,
    sum_for=_sum,
    near=_near,
    formula="T = 4·m·L²·f²",
    validity="the span swings freely at its lowest tone; a stiff or short belt reads a little high",
    source="vibrating string, elementary physics",
    authority="standard",
    unit="N",
    title="Belt tension",
    main=TONE,
)
