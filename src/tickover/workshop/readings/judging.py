"""From what was typed to numbers: each field read, given or refused; and all of them held against the limit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from tickover.formats.amount import read_amount
from tickover.formats.text.number import ImplausibleNumber, NumberError
from tickover.science.core.decimals import format_reading
from tickover.workshop.instruments.queries import Gauge
from tickover.workshop.readings.computed import MeasurementContext
from tickover.workshop.readings.computed.adapter import LENGTH, OFFSET, SETTING, setting
from tickover.workshop.readings.input_fields import TYPED, InputField, TypedReading
from tickover.workshop.readings.measuring import Measured, computation_of, fields_for, measure
from tickover.workshop.readings.typed_unit import further_units, refuse_left_over_unit


@dataclass(frozen=True)
class ParsedField:
    """A field as it was typed, what it says in the unit it is asked in, and the unit it was typed in."""

    name: str
    typed: str
    value: float
    unit: str

    def facts(self) -> dict[str, Any]:
        """As it is kept beside the reading."""
        return {"name": self.name, "typed": self.typed, "value": self.value, "unit": self.unit}


def parse(
    entry: TypedReading, site: MeasurementContext, gauge: Gauge | None = None
) -> tuple[ParsedField, ...]:
    """Every field of an entry. Raises NumberError; ImplausibleNumber unless it was confirmed."""
    asks = fields_for(site)
    texts = entry.texts(asks)
    refuse_left_over_unit(entry, texts, site, asks, gauge)
    also = further_units(site, asks, gauge)
    taken = [found for a in asks if (found := _field(a, texts[a.name], entry, site, also)) is not None]
    if site.limit.computed == "offset-adapter" and not texts[SETTING]:
        raise NumberError(_set_the_wrench_to({t.name: t.value for t in taken}, site))
    return tuple(taken)


def judge(
    taken: tuple[ParsedField, ...], site: MeasurementContext, gauge: Gauge | None, *, confirmed: bool
) -> Measured:
    """Value and verdict. Raises NumberError where nothing can be worked out of the numbers."""
    try:
        measured = measure(site, {t.name: t.value for t in taken}, gauge)
    except (ValueError, ZeroDivisionError) as error:
        raise NumberError(
            f"{site.limit.title} cannot be worked out from these numbers. Check each one."
        ) from error
    if computation_of(site) and not confirmed:
        _refuse_implausible(measured, site)
    return measured


def _field(
    asked: InputField, text: str, entry: TypedReading, site: MeasurementContext, also: tuple[str, ...]
) -> ParsedField | None:
    limit = site.limit
    if not text and (asked.given is not None or asked.optional):
        return None if asked.given is None else ParsedField(asked.name, "", asked.given, asked.unit)
    # What a condition asks for beside a limit that is read itself is read off a clock, not off the gauge.
    plain = computation_of(site) is None and asked.gauged
    own = asked.unit == limit.unit
    try:
        amount = read_amount(
            text,
            unit=asked.unit,
            name=_name(asked, site),
            typed_in=entry.unit if own else "",
            also=also if own else (),
            plausible=(limit.plausible_lower, limit.plausible_upper)
            if plain and not entry.confirmed
            else None,
            limits=(limit.lower, limit.upper) if plain else (),
        )
    except NumberError as error:
        error.field = asked.name
        raise
    return ParsedField(asked.name, text[:40], amount.value, amount.typed_in)


def _name(asked: InputField, site: MeasurementContext) -> str:
    """What is read, for the sentence of an error."""
    if asked.name == TYPED:
        return site.limit.title
    return (
        asked.label
        if computation_of(site) or not asked.gauged
        else f"{site.limit.title}, {asked.label.lower()}"
    )


def _set_the_wrench_to(amounts: dict[str, float], site: MeasurementContext) -> str:
    limit = site.limit
    wanted = next(x for x in (limit.nominal, limit.upper, limit.lower) if x is not None)
    figures = f"{setting(amounts, wanted):.3g} {limit.unit}"
    return (
        f"Set the wrench to {figures}: with {amounts[LENGTH]:g} mm of wrench and {amounts[OFFSET]:g} mm of "
        f"adapter that is {wanted:g} {limit.unit} at the nut. Then type what it was set to."
    )


def _refuse_implausible(measured: Measured, site: MeasurementContext) -> None:
    limit, value = site.limit, measured.value
    # A loss of nothing at all comes out a little below 0 as often as above it.
    margin = 3.0 * measured.verdict.standard_uncertainty
    if limit.plausible_lower - margin <= value <= limit.plausible_upper + margin:
        return
    raise ImplausibleNumber(
        f"{limit.title} comes out at {format_reading(value, limit.resolution)} {limit.unit}, far outside what is "
        f"possible here ({limit.plausible_lower:g} to {limit.plausible_upper:g} {limit.unit}). "
        "Check each number and its unit, or confirm it.",
        value,
        None,
    )
