"""The form of a reading: its fields, the unit they are typed in, and the instruments that may be named."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from django.utils import timezone

from tickover.formats.amount import in_both, read_amount
from tickover.formats.text.number import NumberError
from tickover.formats.text.units import alternatives, convert, convert_width, shown_limit
from tickover.sheets import LimitRow
from tickover.workshop.instruments import queries as instruments
from tickover.workshop.instruments.gauge import Gauge
from tickover.workshop.people.models import Person
from tickover.workshop.readings import conditions
from tickover.workshop.readings.computed import MeasurementContext
from tickover.workshop.readings.input_fields import InputField, TypedReading
from tickover.workshop.readings.typed_unit import own_unit
from tickover.workshop.visits import queries
from tickover.workshop.visits.steps.step_line import StepLine
from tickover.workshop.visits.steps.torque_setting import advice


@dataclass(frozen=True)
class FormField:
    """One field with what was typed in it; `unit` is "" where the choice of unit says it."""

    asked: InputField
    value: str
    unit: str
    keypad: str
    asked_for: str

    @property
    def needed(self) -> bool:
        return self.asked.given is None and not self.asked.optional


@dataclass(frozen=True)
class InstrumentOffer:
    """An instrument that may be named, what is to be known of it, and whether it reads as far as the limits go.

    `unit`: what numbers read off it are in.
    """

    number: str
    words: str
    uncalibrated: bool
    reaches: bool
    unit: str


@dataclass(frozen=True)
class UnitOffer:
    """A unit to type in; a number times `slope` plus `offset` is in the limit's unit."""

    name: str
    slope: float
    offset: float


@dataclass(frozen=True)
class ReadingForm:
    """All that the form of a step's reading shows."""

    fields: tuple[FormField, ...]
    units: tuple[UnitOffer, ...]
    unit: str
    own_unit: str
    changed: str
    limits_there: str
    kind: str
    offers: tuple[InstrumentOffer, ...]
    instrument: str
    setting: tuple[str, ...]
    """What a wrench may be set to at most, where the ordered setting leaves it no room."""

    @property
    def several_in_unit(self) -> bool:
        """Whether more than one field is in the unit that is chosen; else the choice is beside the one."""
        return sum(not f.unit for f in self.fields) > 1


def entry_of(posted: Mapping[str, str]) -> TypedReading:
    """What was typed, as it was posted."""
    return TypedReading(
        values={name: posted[name] for name in posted if name.startswith(("typed", "of-"))},
        unit=posted.get("unit", "")[:20],
        instrument=posted.get("instrument", "")[:20],
        unit_for=posted["unit_for"][:20] if "unit_for" in posted else None,
        confirmed=bool(posted.get("confirmed")),
        acknowledged=bool(posted.get("acknowledged")),
    )


def form_for(line: StepLine, person: Person, posted: Mapping[str, str]) -> ReadingForm | None:
    """The form for this person: the instrument used last with its own unit, and what was just typed."""
    if line.site is None or line.settled or line.site.limit.makers_figure:
        return None
    site, limit, asks = line.site, line.site.limit, line.asks
    offers = _offers(site, asks)
    chosen = posted.get("instrument")
    if chosen is None and offers:
        chosen = queries.last_instrument(person, (offer.number for offer in offers if offer.reaches))
    names = _units(limit, asks, offers)
    own = next((offer.unit for offer in offers if offer.number == chosen), limit.unit)
    unit = _kept_unit(posted) or own
    unit = unit if unit in names else own
    return ReadingForm(
        fields=tuple(_field(a, limit, posted, chosen=bool(names)) for a in asks),
        units=tuple(_unit_offer(name, limit.unit) for name in names),
        unit=unit,
        own_unit=own,
        changed=_changed(asks, posted, unit, own, limit),
        limits_there=_limits_in(limit, unit),
        kind=str(limit.instrument_kind or "").replace("-", " "),
        offers=offers,
        instrument=chosen or "",
        setting=_setting(line),
    )


def _setting(line: StepLine) -> tuple[str, ...]:
    if line.limit is None or not line.sets_torque or line.limit.instrument_kind is None:
        return ()
    fitting = instruments.offered(line.limit.instrument_kind, line.limit.unit)
    return advice(line.limit, line.never, [x.gauge for x in fitting if _reaches(x.gauge, line.limit)])


def _units(
    limit: LimitRow, asks: tuple[InputField, ...], offers: tuple[InstrumentOffer, ...]
) -> tuple[str, ...]:
    """Units to choose from; none where there is no choice."""
    if not any(a.unit == limit.unit for a in asks):
        return ()
    found = tuple(dict.fromkeys((*alternatives(limit.unit), *(offer.unit for offer in offers))))
    return found if len(found) > 1 else ()


def _unit_offer(name: str, unit: str) -> UnitOffer:
    return UnitOffer(name, convert_width(1.0, name, unit), convert(0.0, name, unit))


def _kept_unit(posted: Mapping[str, str]) -> str:
    """The unit that was chosen for this very gauge; "" where none was, or where it was another's."""
    same = posted.get("unit_for") in (None, posted.get("instrument", ""))
    return posted.get("unit", "") if same else ""


def _changed(
    asks: tuple[InputField, ...], posted: Mapping[str, str], unit: str, own: str, limit: LimitRow
) -> str:
    """A unit that was changed, in words beside the number; "" where it is the gauge's own."""
    if unit == own:
        return ""
    words, in_unit = f"Typed in {unit}, not {own}.", [a.name for a in asks if a.unit == limit.unit]
    if len(in_unit) > 1 or unit == limit.unit:
        return words
    try:
        read = read_amount(posted.get(in_unit[0], ""), unit=limit.unit, typed_in=unit, also=(unit,), name="")
    except NumberError:
        return words
    return (
        f"{in_both(posted[in_unit[0]], read.typed_in, read.value, limit.unit)}."
        if read.typed_in == unit
        else ""
    )


def _field(asked: InputField, limit: LimitRow, posted: Mapping[str, str], *, chosen: bool) -> FormField:
    unit = "" if chosen and asked.unit == limit.unit else asked.unit
    # A keypad of digits has no "/" for an eighth of a turn, and on some tablets no minus.
    ends = (limit.lower, limit.nominal, *(c.lower for c in limit.conditions))
    plain = limit.unit != "turns" and not any(end is not None and end < 0.0 for end in ends)
    return FormField(
        asked,
        posted.get(asked.name, ""),
        unit,
        "decimal" if plain else "text",
        conditions.asked_for(limit, asked),
    )


def _offers(site: MeasurementContext, asks: tuple[InputField, ...]) -> tuple[InstrumentOffer, ...]:
    if not site.limit.instrument_kind:
        return ()
    today = timezone.localdate()
    unit = next((a.unit for a in asks if a.gauged), site.limit.unit)
    return tuple(
        InstrumentOffer(
            line.instrument.number,
            f"{line.instrument.number}, {line.instrument.title}: {line.calibration_state(today)}",
            bool(line.gauge.uncalibrated(today)),
            unit != site.limit.unit or _reaches(line.gauge, site.limit),
            own_unit(site, asks, line.gauge),
        )
        for line in instruments.offered(site.limit.instrument_kind, unit)
    )


def _reaches(gauge: Gauge, limit: LimitRow) -> bool:
    ends = [end for end in (limit.lower, limit.upper) if end]  # nothing at all lies below most ranges
    return not any(gauge.out_of_range(end, limit.unit) for end in ends)


def _limits_in(limit: LimitRow, unit: str) -> str:
    """The limits in the unit a person types in, rounded to the inside; "" where that is the sheet's."""
    if unit == limit.unit:
        return ""
    lower, upper = (
        None if x is None else shown_limit(x, limit.unit, unit, lower=is_lower)
        for x, is_lower in ((limit.lower, True), (limit.upper, False))
    )
    if lower is None or upper is None:
        return f"at most {upper} {unit}" if lower is None else f"at least {lower} {unit}"
    return f"{lower} to {upper} {unit}"
