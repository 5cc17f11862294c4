"""The unit that the numbers of a reading are typed in: the gauge's own, else the limit's, until it is changed."""

from __future__ import annotations

from collections.abc import Mapping

from tickover.formats.amount import in_both, read_amount, written_unit
from tickover.formats.text.number import Choice, NumberError
from tickover.formats.text.units import alternatives, convertible
from tickover.workshop.instruments.gauge import Gauge
from tickover.workshop.readings.computed import MeasurementContext
from tickover.workshop.readings.input_fields import InputField, TypedReading


def own_unit(site: MeasurementContext, asks: tuple[InputField, ...], gauge: Gauge | None) -> str:
    """What the numbers are in unless somebody says otherwise: the unit of the gauge, else that of the limit."""
    unit = site.limit.unit
    reads_it = any(a.gauged and a.unit == unit for a in asks)
    return gauge.unit if gauge and reads_it and convertible(gauge.unit, unit) else unit


def further_units(
    site: MeasurementContext, asks: tuple[InputField, ...], gauge: Gauge | None
) -> tuple[str, ...]:
    """The unit of the gauge where it is none that everybody may type in."""
    own = own_unit(site, asks, gauge)
    return () if own in alternatives(site.limit.unit) else (own,)


def refuse_left_over_unit(
    entry: TypedReading,
    texts: Mapping[str, str],
    site: MeasurementContext,
    asks: tuple[InputField, ...],
    gauge: Gauge | None,
) -> None:
    """Ask for the unit where it was chosen while another gauge was named: it does not carry over by itself."""
    own = own_unit(site, asks, gauge)
    if entry.unit_for in (None, entry.instrument) or entry.unit in ("", own):
        return
    also = further_units(site, asks, gauge)
    typed = [texts[a.name] for a in asks if a.unit == site.limit.unit and texts[a.name]]
    if all(written_unit(text, site.limit.unit, also) for text in typed):
        return
    reads = f"{gauge.name} reads in {own}" if gauge else f"The limit is in {own}"
    choices = tuple(Choice(unit, _words(typed, unit, site, also)) for unit in (own, entry.unit))
    raise NumberError(
        f"{reads}, but the unit left on is {entry.unit}. Choose the unit that you read in.", choices, "unit"
    )


def _words(typed: list[str], unit: str, site: MeasurementContext, also: tuple[str, ...]) -> str:
    """The one number in that unit, and what it is in the limit's; of several, the unit alone."""
    wanted = site.limit.unit
    try:
        value = read_amount(typed[0], unit=wanted, typed_in=unit, also=also, name="").value
    except NumberError:
        return unit
    if len(typed) > 1:
        return unit
    return f"{typed[0]} {unit}" if unit == wanted else in_both(typed[0], unit, value, wanted)
