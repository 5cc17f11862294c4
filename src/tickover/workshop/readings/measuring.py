"""From the numbers of a reading to its value, how sure that is, and the verdict; the same when looked at again."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from tickover.formats.text import units
from tickover.science.core.decimals import format_reading
from tickover.science.core.working import Quantity, Working
from tickover.science.fasteners.set_torque import SetTorque
from tickover.science.measurement.conformity import Decision, Rule, Verdict, decide, sentence
from tickover.science.measurement.propagation import Propagated, Unsure, propagate
from tickover.science.measurement.repeated_readings import Repeated, repeated
from tickover.science.measurement.verdict import MeasuringInstrument
from tickover.sheets import LimitRow
from tickover.workshop.instruments.queries import Gauge
from tickover.workshop.readings import conditions
from tickover.workshop.readings.computed import Computation, MeasurementContext, computed_by
from tickover.workshop.readings.input_fields import (
    InputField,
    TypedReading,
    read_numbers,
    repeated_fields,
)


@dataclass(frozen=True)
class Measured:
    """What a reading comes to.

    `notes` are sentences with the verdict; `apart` is one where repeated readings lie too far apart; `not_valid`
    says which conditions of the test were not met.
    """

    value: float
    verdict: Verdict
    workings: tuple[Working, ...]
    notes: tuple[str, ...] = ()
    apart: str = ""
    not_valid: tuple[str, ...] = ()
    set_to: SetTorque | None = None
    set_words: str = ""
    """Of a torque that was set and not measured: its conformity, and the sentence that says it."""

    @property
    def words(self) -> str:
        """The verdict in words."""
        return str(self.set_to.conformity if self.set_to else self.decision)

    @property
    def decision(self) -> Decision:
        return self.verdict.decision

    def sentence(self, limit: LimitRow) -> str:
        """What the reading says, in words for the bench."""
        if self.not_valid:
            return " ".join((*self.not_valid, "Test again as on the card."))
        if self.set_to:
            return self.set_words
        if self.apart and self.decision is Decision.CANNOT_TELL:
            return self.apart
        return sentence(self.verdict, limit.unit, limit.low_means, limit.high_means)


def computation_of(site: MeasurementContext) -> Computation | None:
    """The sum that a reading is worked out by; None where the limit is read itself."""
    computation = computed_by(site.limit)
    return None if computation is None or _main(site, computation) else computation


def fields_for(site: MeasurementContext) -> tuple[InputField, ...]:
    """The fields of a reading of this limit, in the order they are typed."""
    computation = computation_of(site)
    return computation.asks(site) if computation else repeated_fields(site.limit)


def measure(site: MeasurementContext, amounts: Mapping[str, float], gauge: Gauge | None) -> Measured:
    """Value and verdict of the numbers that were typed, each in the unit it is asked in."""
    computation = computation_of(site)
    if computation:
        return _if_valid(site, amounts, gauge, _computed(site, computation, amounts, gauge))
    return _if_valid(site, amounts, gauge, _with_result(site, _read(site.limit, amounts, gauge)))


def _if_valid(
    site: MeasurementContext, amounts: Mapping[str, float], gauge: Gauge | None, measured: Measured
) -> Measured:
    """The same where the test was done as the sheet asks; else a result that says nothing about the limit."""
    found = conditions.held(site.limit, fields_for(site), amounts, gauge)
    if not found:
        return measured
    *before, sure = measured.workings
    broken = tuple(h.sentence for h in found if not h.met)
    if not broken:
        return replace(measured, workings=(*before, conditions.working(found), sure))
    if not computation_of(site) and _surely_too_high(measured):
        return replace(
            measured,
            workings=(*before, conditions.working(found), sure),
            notes=(*measured.notes, *broken),
        )
    verdict = replace(measured.verdict, decision=Decision.NOT_VALID, probability_inside=0.0, side="")
    return replace(measured, verdict=verdict, workings=(*before, conditions.working(found)), not_valid=broken)


def _surely_too_high(measured: Measured) -> bool:
    """A head too hot before its time was too hot: waiting does not make it good."""
    return measured.decision is Decision.OUTSIDE and measured.verdict.side == "high"


def inputs_giving(site: MeasurementContext, value: float) -> dict[str, float]:
    """Numbers that come out at a wanted value."""
    computation = computation_of(site)
    if computation:
        wanted = units.convert(value, site.limit.unit, computation.unit or site.limit.unit)
        return computation.near(site, wanted)
    return {
        a.name: value if a.gauged else (site.asked_for(a.name) or 0.0) for a in repeated_fields(site.limit)
    }


def typed_reading_giving(site: MeasurementContext, value: float) -> TypedReading:
    """What would be typed where a reading comes out at a value: for invented work, and to try a sheet."""
    return TypedReading({name: f"{amount:.9g}" for name, amount in inputs_giving(site, value).items()})


def _read(limit: LimitRow, amounts: Mapping[str, float], gauge: Gauge | None) -> Measured:
    """A limit that is read itself, once or several times."""
    taken = repeated(list(read_numbers(limit, amounts)), take=limit.take)
    instrument = _instrument(limit, gauge, taken.value, limit.unit)
    # The scatter of the readings counts as one more error of the instrument, at its own coverage factor.
    expanded = 2.0 * math.hypot(instrument.expanded_uncertainty / 2.0, taken.standard_uncertainty)
    verdict = decide(
        taken.value,
        limit.lower,
        limit.upper,
        resolution=instrument.resolution,
        expanded_uncertainty=expanded,
        rule=Rule(limit.rule),
    )
    working = _with_instrument(verdict.working(limit.unit, limit.title), limit, gauge)
    if len(taken.readings) == 1:
        return Measured(taken.value, verdict, (working,))
    parts = (
        Quantity("of U, the instrument’s", instrument.expanded_uncertainty, limit.unit),
        Quantity("of U, the scatter’s, twice its u", 2.0 * taken.standard_uncertainty, limit.unit),
    )
    working = replace(working, inputs=(*working.inputs, *parts))
    apart = _apart(limit, taken)
    if apart and verdict.decision is Decision.INSIDE:
        verdict = replace(verdict, decision=Decision.CANNOT_TELL)
    workings = (taken.working(limit.unit, limit.title), working)
    return Measured(taken.value, verdict, workings, (_spread(limit, taken),), apart)


def _spread(limit: LimitRow, taken: Repeated) -> str:
    values = ", ".join(format_reading(x, limit.resolution) for x in taken.readings)
    spread = format_reading(taken.spread, limit.resolution, upper=limit.spread_max)
    allowed = "" if limit.spread_max is None else f", at most {limit.spread_max:g} {limit.unit} allowed"
    return f"{taken.take.capitalize()} of {values} {limit.unit}; spread {spread} {limit.unit}{allowed}."


def _apart(limit: LimitRow, taken: Repeated) -> str:
    if taken.agree(limit.spread_max):
        return ""
    spread = format_reading(taken.spread, limit.resolution, upper=limit.spread_max)
    return (
        f"The {len(taken.readings)} readings differ by {spread} {limit.unit} (max "
        f"{limit.spread_max:g} {limit.unit}). Find out why, then take them again."
    )


def _computed(
    site: MeasurementContext, computation: Computation, amounts: Mapping[str, float], gauge: Gauge | None
) -> Measured:
    limit, asks = site.limit, fields_for(site)
    unsure = {a.name: _unsure(limit, a, amounts[a.name], gauge) for a in asks if a.name in amounts}
    found = propagate(computation.sum_for(site, amounts), unsure)
    unit = computation.unit or limit.unit
    value = units.settled(units.convert(found.value, unit, limit.unit), limit.lower, limit.upper)
    u, floor = units.convert_width(found.standard_uncertainty, unit, limit.unit), 0.0
    if gauge is None:
        # No instrument is named, so what the sheet supposes of the reading as a whole holds at least.
        floor = MeasuringInstrument(limit.resolution, limit.expanded_uncertainty).standard_uncertainty
    verdict = decide(
        value,
        limit.lower,
        limit.upper,
        resolution=limit.resolution,
        expanded_uncertainty=2.0 * max(u, floor),
        resolution_included=True,
        rule=Rule(limit.rule),
    )
    title = f"{limit.title}, u = {u:.2g} {limit.unit}"
    result = Quantity(title, format_reading(value, limit.resolution), limit.unit)
    working = _sum(site, computation, unsure, found, result)
    sure = _with_instrument(verdict.working(limit.unit, limit.title), limit, gauge)
    return Measured(value, verdict, (working, sure), computation.notes(site, amounts))


def _sum(
    site: MeasurementContext,
    computation: Computation,
    unsure: Mapping[str, Unsure],
    found: Propagated,
    result: Quantity,
) -> Working:
    """The sum with every number in it, and what each leaves on the result."""
    asks = {a.name: a for a in computation.asks(site)}
    amounts = {name: u.value for name, u in unsure.items()}
    return Working(
        title=computation.title or site.limit.title,
        formula=f"{computation.formula}; u² = Σ(cᵢ·uᵢ)²",
        inputs=(
            *(_typed(asks[name], u) for name, u in unsure.items()),
            *_shares(asks, found, computation.unit or site.limit.unit),
            *computation.also(site, amounts),
        ),
        result=result,
        validity=computation.validity,
        source="; ".join(s for s in (computation.source, "JCGM 100:2008, 5.1.2") if s),
        authority=computation.authority,
    )


def _with_result(site: MeasurementContext, read: Measured) -> Measured:
    """A limit that is held against one number of a sum: the result of the sum is told beside it."""
    computation = computed_by(site.limit)
    if computation is None:
        return read
    unsure: dict[str, Unsure] = {}
    for asked in computation.asks(site):
        if asked.name == computation.main:
            unsure[asked.name] = Unsure(read.value, read.verdict.standard_uncertainty)
        elif asked.given is not None:
            unsure[asked.name] = Unsure(asked.given, asked.within / math.sqrt(3.0))
        else:
            blank = f"No {computation.title.lower()}: the type sheet leaves blank “{asked.label}”."
            return replace(read, notes=(*read.notes, blank))
    amounts = {name: u.value for name, u in unsure.items()}
    found = propagate(computation.sum_for(site, amounts), unsure)
    u = f"{found.standard_uncertainty:.2g} {computation.unit}"
    result = Quantity(f"{computation.title}, u = {u}", f"{found.value:.4g}", computation.unit)
    working = _sum(site, computation, unsure, found, result)
    note = f"{computation.title} {found.value:.4g} {computation.unit}, standard uncertainty {u}."
    return replace(read, notes=(*read.notes, note), workings=(working, *read.workings))


def _main(site: MeasurementContext, computation: Computation) -> bool:
    """Whether the limit is held against the main number of the sum itself."""
    return any(a.name == computation.main and a.unit == site.limit.unit for a in computation.asks(site))


def _instrument(limit: LimitRow, gauge: Gauge | None, value: float, unit: str) -> MeasuringInstrument:
    """What was read with: the instrument that is named, else the one the sheet supposes; in `unit`."""
    if gauge is None:
        return MeasuringInstrument(limit.resolution, limit.expanded_uncertainty)
    return MeasuringInstrument(gauge.step(unit), gauge.expanded_at(value, unit))


def _unsure(limit: LimitRow, asked: InputField, value: float, gauge: Gauge | None) -> Unsure:
    if asked.gauged and (gauge is not None or asked.unit == limit.unit):
        return Unsure(value, _instrument(limit, gauge, value, asked.unit).standard_uncertainty)
    # Anywhere within equally likely: JCGM 100:2008, 4.3.7.
    return Unsure(value, asked.within / math.sqrt(3.0))


def _typed(asked: InputField, unsure: Unsure) -> Quantity:
    source = f"standard uncertainty {unsure.standard_uncertainty:.2g} {asked.unit}"
    return Quantity(asked.label, unsure.value, asked.unit, source if asked.gauged else f"{source}, supposed")


def _shares(asks: Mapping[str, InputField], found: Propagated, unit: str) -> tuple[Quantity, ...]:
    return tuple(
        Quantity(
            f"share of “{asks[s.name].label}”",
            f"{abs(s.share):.2g}",
            unit,
            f"cᵢ = {s.sensitivity:.3g} {unit} for each {asks[s.name].unit}",
        )
        for s in found.shares
        if s.share
    )


def _with_instrument(working: Working, limit: LimitRow, gauge: Gauge | None) -> Working:
    """The working says whose uncertainty it went by."""
    if gauge is None:
        by = f"{limit.instrument}, as the type sheet supposes"
    else:
        certificate = f"certificate {gauge.certificate}" if gauge.certificate else "as it came"
        percent = f" and {gauge.percent:g} %" if gauge.percent else ""
        by = f"{gauge.name}: ± {gauge.fixed:g} {gauge.unit}{percent}, {certificate}"
    return replace(working, inputs=(*working.inputs, Quantity("instrument", by, "")))
