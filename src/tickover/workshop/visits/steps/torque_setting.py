"""A torque that was set: held against its limits as a setting, and by the class of the wrench."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date

from tickover.language.amounts import day
from tickover.science.core.decimals import format_reading
from tickover.science.fasteners.set_torque import (
    Conformity,
    SetTorque,
    largest_setting,
    permissible_deviation,
)
from tickover.science.measurement.conformity import Rule, decide
from tickover.sheets import LimitRow
from tickover.workshop.instruments.queries import Gauge
from tickover.workshop.readings.computed.adapter import SETTING
from tickover.workshop.readings.measuring import Measured
from tickover.workshop.visits.steps.never import Never

ORDINARY = (("up to 10 N.m", 10.0), ("above 10 N.m", 25.0))
"""Setting wrenches of class A by their largest torque, for advice where none is in the register. [N.m]"""


def as_set(
    measured: Measured,
    limit: LimitRow,
    never: Never,
    amounts: Mapping[str, float],
    gauge: Gauge | None,
    on_day: date,
) -> Measured:
    """What was measured as if it were read, as the setting that it is: without a chance of being inside."""
    if measured.not_valid:
        return measured
    set_to = amounts.get(SETTING, measured.value)
    found = SetTorque(
        measured.value,
        limit.lower,
        limit.upper,
        never.above,
        None if gauge is None else gauge.deviation(),
        _why_not(gauge, set_to, limit.unit, on_day),
        limit.resolution if gauge is None else gauge.step(limit.unit),
    )
    gauged = measured.verdict.instrument
    verdict = decide(
        measured.value,
        limit.lower,
        limit.upper,
        resolution=gauged.resolution,
        expanded_uncertainty=gauged.expanded_uncertainty,
        resolution_included=gauged.resolution_included,
        rule=Rule.SIMPLE,
    )
    working = found.working(limit.unit, limit.title)
    return replace(
        measured,
        verdict=verdict,
        workings=(*measured.workings[:-1], working),
        set_to=found,
        set_words=_sentence(found, limit, gauge),
    )


def wrench_in_words(gauge: Gauge) -> str:
    """The wrench with its class, its tolerance, and how long its calibration runs."""
    deviation = gauge.deviation()
    tolerance = "" if deviation is None else f", ± {100.0 * deviation:g} %"
    tool = f"ISO 6789 type {gauge.tool_class}" if gauge.tool_class else "ISO 6789 class not known"
    until = f", calibrated until {day(date.fromisoformat(gauge.due_on))}" if gauge.due_on else ""
    return f"{gauge.name} ({tool}{tolerance}{until})"


def advice(limit: LimitRow, never: Never, gauges: list[Gauge]) -> tuple[str, ...]:
    """What to set at most so that the torque itself is never passed, where the ordered setting leaves no room."""
    if never.above is None:
        return ()
    ordered = limit.nominal if limit.nominal is not None else (limit.upper or never.above)
    known = [(g.name, d, g.step(limit.unit)) for g in gauges if (d := g.deviation()) and not g.indicates]
    tools = known or [
        (f"A setting wrench made for {size}", permissible_deviation("II A", largest), limit.resolution)
        for size, largest in ORDINARY
    ]
    said = ((name, d, largest_setting(never.above, d, step), step) for name, d, step in tools)
    return tuple(
        f"{name}, ± {100.0 * d:g} %: set it to at most {format_reading(most, step)} {limit.unit} to stay at or below "
        f"{never.above:g} {limit.unit} at the nut."
        for name, d, most, step in said
        if most < ordered
    )


def _why_not(gauge: Gauge | None, setting: float, unit: str, on_day: date) -> str:
    """Why nothing is known of what the wrench gave, as a sentence; "" where it is known."""
    if gauge is None:
        return "The wrench is not recorded."
    if not gauge.tool_class:
        return f"{gauge.name}: its class by ISO 6789 is not in the register."
    if gauge.deviation() is None:
        return f"{gauge.name}: its largest torque is not in the register."
    return gauge.uncalibrated(on_day) or gauge.out_of_range(setting, unit)


def _sentence(found: SetTorque, limit: LimitRow, gauge: Gauge | None) -> str:
    unit = limit.unit
    value = format_reading(found.setting, found.step, limit.lower, limit.upper)
    by = f" with {wrench_in_words(gauge)}" if gauge else ""
    said = [f"Set to {value} {unit}{by}: {found.conformity}."]
    if found.conformity is Conformity.WRENCH_NOT_KNOWN:
        said.append(found.why_not)
    elif found.conformity is Conformity.DOES_NOT_CONFORM:
        low = limit.lower is not None and found.setting < limit.lower
        means = limit.low_means if low else limit.high_means
        said.append(
            f"The limit of the setting is {limit.lower if low else limit.upper:g} {unit}. {means}".strip()
        )
    if not found.leaves_room and found.given and found.at_most is not None:
        said.append(
            f"At the nut it may have been up to {found.given.most:.3g} {unit}. To stay at or below "
            f"{found.never_above:g} {unit} there, set at most {format_reading(found.at_most, found.step)} {unit}."
        )
    return " ".join(said)
