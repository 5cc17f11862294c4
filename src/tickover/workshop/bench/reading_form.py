"""The form of a reading: its fields, the unit they are typed in, and the instruments that may be named."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from django.utils import timezone

from tickover.formats.units import alternatives, shown_limit
from tickover.sheets import LimitRow
from tickover.workshop.bench import queries
from tickover.workshop.bench.asked import Asked, Entry
from tickover.workshop.bench.computed import Site
from tickover.workshop.bench.step_line import StepLine
from tickover.workshop.instruments import queries as instruments
from tickover.workshop.instruments.gauge import Gauge
from tickover.workshop.people.models import Person


@dataclass(frozen=True)
class FormField:
    """One field with what was typed in it; `unit` is "" where the choice of unit stands for it."""

    asked: Asked
    value: str
    unit: str

    @property
    def needed(self) -> bool:
        return self.asked.given is None and not self.asked.optional


@dataclass(frozen=True)
class Offer:
    """An instrument that may be named, what is to be known of it, and whether it reads as far as the limits go."""

    number: str
    words: str
    uncalibrated: bool
    reaches: bool


@dataclass(frozen=True)
class ReadingForm:
    """All that the form of a step's reading shows."""

    fields: tuple[FormField, ...]
    units: tuple[str, ...]
    unit: str
    limits_there: str
    kind: str
    offers: tuple[Offer, ...]
    instrument: str


def entry_of(posted: Mapping[str, str]) -> Entry:
    """What was typed, as it was posted."""
    return Entry(
        values={name: posted[name] for name in posted if name.startswith(("typed", "of-"))},
        unit=posted.get("unit", "")[:20],
        instrument=posted.get("instrument", "")[:20],
        confirmed=bool(posted.get("confirmed")),
        acknowledged=bool(posted.get("acknowledged")),
    )


def form_for(line: StepLine, person: Person, posted: Mapping[str, str]) -> ReadingForm | None:
    """The form for this person: the unit and the instrument used last, and what was just typed."""
    if line.site is None or line.settled:
        return None
    limit, own = line.site.limit, alternatives(line.site.limit.unit)
    asks = line.asks
    may_choose = len(own) > 1 and any(a.unit == limit.unit for a in asks)
    unit = posted.get("unit") or (queries.last_unit(person, limit.unit) if may_choose else limit.unit)
    unit = unit if unit in own else limit.unit
    offers = _offers(line.site, asks)
    chosen = posted.get("instrument")
    if chosen is None and offers:
        chosen = queries.last_instrument(person, (offer.number for offer in offers if offer.reaches))
    return ReadingForm(
        fields=tuple(_field(a, limit, posted, chosen=may_choose) for a in asks),
        units=own if may_choose else (),
        unit=unit,
        limits_there=_limits_in(limit, unit),
        kind=str(limit.instrument_kind or "").replace("-", " "),
        offers=offers,
        instrument=chosen or "",
    )


def _field(asked: Asked, limit: LimitRow, posted: Mapping[str, str], *, chosen: bool) -> FormField:
    return FormField(
        asked, posted.get(asked.name, ""), "" if chosen and asked.unit == limit.unit else asked.unit
    )


def _offers(site: Site, asks: tuple[Asked, ...]) -> tuple[Offer, ...]:
    if not site.limit.instrument_kind:
        return ()
    today = timezone.localdate()
    unit = next((a.unit for a in asks if a.gauged), site.limit.unit)
    return tuple(
        Offer(
            line.instrument.number,
            f"{line.instrument.number}, {line.instrument.title}: {line.standing(today)}",
            bool(line.gauge.uncalibrated(today)),
            unit != site.limit.unit or _reaches(line.gauge, site.limit),
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
