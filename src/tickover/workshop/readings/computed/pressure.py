"""Pressure lost by a closed engine, freed from what the change of temperature did to it."""

from __future__ import annotations

import math
from collections.abc import Callable

from tickover.formats.text import units
from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.core.working import Quantity
from tickover.science.engine.pressure_decay import PressureDecay, leak_from_decay
from tickover.workshop.readings.computed.computation import Amounts, Computation, MeasurementContext
from tickover.workshop.readings.input_fields import InputField

START, END, MINUTES = "of-start", "of-end", "of-minutes"
START_C, END_C, VOLUME, AIR = "of-start-temperature", "of-end-temperature", "of-volume", "of-air"
KELVIN = 273.15
STANDARD_AIR_HPA = 1013.25
ANY_CM3, ANY_MIN = 100.0, 10.0
"""Closed volume where none is typed, and a time: what the pressure loses does not depend on them."""


def _asks(site: MeasurementContext) -> tuple[InputField, ...]:
    unit, volume_cm3 = site.limit.unit, site.known("case_volume_cm3")
    # A carburettor is tested by this sum too, so the volume of the case is told and not supposed.
    case = f" Case to cylinder of this engine: {volume_cm3:g} cm³ by the type sheet." if volume_cm3 else ""

    def warm(name: str, label: str) -> InputField:
        return InputField(name, label, "deg C", False, 0.5, 20.0, "supposed the same at both ends")

    return (
        InputField(
            START, "Pressure at the start, by the gauge", unit, note="Below the air outside: with a minus."
        ),
        InputField(END, "Pressure at the end, by the gauge", unit),
        InputField(MINUTES, "Time between", "min", gauged=False, within=0.05),
        warm(START_C, "Engine temperature at the start"),
        warm(END_C, "Engine temperature at the end"),
        InputField(AIR, "Air outside", "hPa", False, 20.0, STANDARD_AIR_HPA, "standard air at sea level"),
        InputField(
            VOLUME,
            "Closed volume",
            "cm³",
            gauged=False,
            within=5.0,
            optional=True,
            note=f"For the leak in cm³ a minute only.{case}",
        ),
    )


def lost(site: MeasurementContext, amounts: Amounts) -> float:
    """What was lost towards the air outside had the temperature stayed, in the limit's unit."""
    loss = units.convert(float(_decay(site, {**amounts, MINUTES: ANY_MIN}).loss_pa), "Pa", site.limit.unit)
    return loss * (1.0 if amounts[START] >= 0.0 else -1.0)


def _sum(site: MeasurementContext, _amounts: Amounts) -> Callable[[Amounts], float]:
    return lambda a: lost(site, a)


def _near(site: MeasurementContext, value: float) -> dict[str, float]:
    start = site.asked_for(START) or 10.0 * abs(value) or 0.35
    end = start - math.copysign(1.0, start) * value
    minutes = site.asked_for(MINUTES) or 10.0
    return {START: start, END: end, MINUTES: minutes} | {START_C: 20.0, END_C: 20.0, AIR: STANDARD_AIR_HPA}


def _also(site: MeasurementContext, amounts: Amounts) -> tuple[Quantity, ...]:
    loss, unit = lost(site, amounts), site.limit.unit
    by_temperature = abs(amounts[START] - amounts[END]) - loss
    found = (
        Quantity("lost as read", abs(amounts[START] - amounts[END]), unit),
        Quantity("of it by temperature", by_temperature, unit),
        Quantity("lost a minute", loss / amounts[MINUTES], f"{unit}/min"),
    )
    if VOLUME not in amounts:
        return found
    try:
        decay = _decay(site, amounts)
    except OutOfRangeError:  # hours long: the pressure lost is what it is, but no leak is computed from it
        return found
    return (
        *found,
        Quantity("leak, as air at 15 °C and 1013.25 hPa", 1000.0 * float(abs(decay.leak_l_min)), "cm³/min"),
        Quantity("as one round hole", 1000.0 * float(decay.hole_m), "mm", "a way to picture it"),
    )


def _decay(site: MeasurementContext, amounts: Amounts) -> PressureDecay:
    start_pa, end_pa = (units.convert(amounts[name], site.limit.unit, "Pa") for name in (START, END))
    # The gauge's uncertainty goes through this sum from outside: `measuring` moves every amount by its own.
    return leak_from_decay(
        start_pa,
        end_pa,
        amounts[MINUTES],
        1e-6 * amounts.get(VOLUME, ANY_CM3),
        amounts[START_C] + KELVIN,
        amounts[END_C] + KELVIN,
        outside_pa=100.0 * amounts[AIR],
        u_pressure_pa=0.0,
        u_temperature_k=0.0,
        u_volume_m3=0.0,
        u_time_min=0.0,
    )


def _notes(site: MeasurementContext, amounts: Amounts) -> tuple[str, ...]:
    drift_k = amounts[END_C] - amounts[START_C]
    share = abs(amounts[START] - amounts[END]) - lost(site, amounts)
    if drift_k == 0.0:
        return ()
    word = "cooled" if drift_k < 0 else "warmed"
    return (
        f"The engine {word} by {abs(drift_k):.3g} °C meanwhile, which alone moves the gauge by "
        f"{abs(share):.2g} {site.limit.unit}: that is taken out.",
    )


LOSS = Computation(
    asks=_asks,
    sum_for=_sum,
    near=_near,
    formula="loss = p₁ − ((p₂ + pₐ)·T₁/T₂ − pₐ)",
    validity="one closed volume that does not give; both pressures against the same air outside",
    source="ideal gas of constant mass",
    authority="standard",
    also=_also,
    notes=_notes,
)
