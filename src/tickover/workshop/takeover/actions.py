"""Writes of a takeover: the engine with its hours, its overhaul and its parts, all of it or none."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time

from django.utils import timezone
from django.utils.timezone import localdate

from tickover.workshop.components import actions as components
from tickover.workshop.components.actions import ComponentChange, NewComponent
from tickover.workshop.engine_time import actions as engine_time
from tickover.workshop.engine_time import meter_actions, typed_hours
from tickover.workshop.kernel import actions as journal
from tickover.workshop.people.models import Person
from tickover.workshop.programme import actions as programme
from tickover.workshop.programme.decisions import BY_BOOK
from tickover.workshop.register import queries as register
from tickover.workshop.register import type_sheet_actions
from tickover.workshop.register.actions import NewEngine, RegisterError
from tickover.workshop.register.models import Engine
from tickover.workshop.takeover.recognising import chosen_build
from tickover.workshop.takeover.refusal import TakeOverError

METER = "engine meter"
EVIDENCE = (*engine_time.TYPED_GRADES, METER)
SOURCE_MAX = 90
METHOD_MAX = 60
EVENING = time(23, 59)
MOST_H = 20_000.0


@dataclass(frozen=True)
class HoursNow:
    """What an engine has run when it comes: by what evidence, where that is written, on which day. [h]"""

    hours_h: float
    read_on: date
    grade: str = "log entry"
    source: str = ""


@dataclass(frozen=True)
class OverhauledBefore:
    """The overhaul an engine had before it came, and its hours since. [h]"""

    hours_since_h: float
    on_day: date


@dataclass(frozen=True)
class ComingEngine:
    """An engine that comes into the workshop. `build_id` "": by its serial; `name` "": its serial."""

    serial: str
    sheet_id: str
    owner: str
    hours: HoursNow
    name: str = ""
    build_id: str = ""
    rebuilt: bool = False
    overhaul: OverhauledBefore | None = None
    components: tuple[NewComponent, ...] = ()


def brought_forward(source: str) -> str:
    """How records name the book something was copied from."""
    return f"{BY_BOOK} {source.strip()[:SOURCE_MAX]}"


@journal.locked()
def take_over(coming: ComingEngine, *, who: Person, at: datetime) -> Engine:
    """Enter an engine with what it has run. One that has run has services nobody entered yet: these are not known."""
    _refuse(coming, localdate(at))
    sheet = register.newest_sheet(coming.sheet_id)
    build = chosen_build(sheet, coming.serial, coming.build_id, confirmed=coming.rebuilt)
    new = NewEngine(
        coming.name or coming.serial, coming.serial, coming.sheet_id, build.id, coming.hours.read_on
    )
    try:
        engine = type_sheet_actions.register_engine(new, coming.owner, who=who, at=at)
        _enter_hours(engine, coming, who, at)
        for part in coming.components:
            components.add_fitted(part, engine, ComponentChange(at, who, at))
    except RegisterError as error:
        raise TakeOverError(str(error)) from error
    if coming.hours.hours_h > 0.0:
        programme.note_not_known(engine, "", coming.hours.source, who=who, at=at)
    return engine


def _refuse(coming: ComingEngine, today: date) -> None:
    """What can be seen before anything is written, each with the field it is about."""
    hours, overhaul = coming.hours, coming.overhaul
    for row in Engine.objects.filter(serial__iexact=coming.serial):
        raise TakeOverError(f"Serial {row.serial} is in the register already: {row.name}.", "serial")
    for row in Engine.objects.filter(name__iexact=coming.name or coming.serial):
        raise TakeOverError(f"An engine called {row.name} is in the register already.", "name")
    if not 0.0 <= hours.hours_h < MOST_H:
        raise TakeOverError(f"{hours.hours_h:g} h cannot be an engine's time.", "hours_h")
    if hours.read_on > today:
        raise TakeOverError(f"{hours.read_on:%d %b %Y} is still to come.", "read_on")
    if hours.grade not in EVIDENCE:
        raise TakeOverError(f"Hours are entered by {', '.join(EVIDENCE)}.", "grade")
    if hours.hours_h > 0.0 and not hours.source.strip():
        raise TakeOverError("Type where the hours are written, such as: logbook 1, page 34.", "source")
    if overhaul is None:
        return
    if overhaul.hours_since_h > hours.hours_h:
        raise TakeOverError(
            f"{overhaul.hours_since_h:g} h since overhaul is more than the {hours.hours_h:g} h it has run.",
            "since_overhaul_h",
        )
    if overhaul.on_day > hours.read_on:
        raise TakeOverError(
            f"{overhaul.on_day:%d %b %Y} is after the day of the hours, {hours.read_on:%d %b %Y}.",
            "overhauled_on",
        )
    if overhaul.on_day == hours.read_on and overhaul.hours_since_h > 0.0:
        raise TakeOverError("Overhauled on the day of the hours, so it has 0 h since.", "since_overhaul_h")


def _enter_hours(engine: Engine, coming: ComingEngine, who: Person, at: datetime) -> None:
    """The hours as one entry, or as two: up to the overhaul and since."""
    hours, overhaul = coming.hours, coming.overhaul
    since_h = overhaul.hours_since_h if overhaul else 0.0
    pieces = [(hours.hours_h - since_h, overhaul.on_day)] if overhaul else [(hours.hours_h, hours.read_on)]
    pieces += [(since_h, hours.read_on)] if since_h else []
    for hours_h, on_day in pieces:
        _enter(engine, hours_h, on_day, hours, who, at)
    if overhaul:
        remark = brought_forward(hours.source)
        components.record_overhaul(engine, overhaul.on_day, remark, who=who, at=at)
    if hours.grade == METER:
        read_at = min(timezone.make_aware(datetime.combine(hours.read_on, EVENING)), at)
        reading = meter_actions.TypedMeterReading(hours.hours_h, read_at)
        meter_actions.read_meter(engine, reading, who=who, at=at)


def _enter(engine: Engine, hours_h: float, on_day: date, hours: HoursNow, who: Person, at: datetime) -> None:
    grade = "log entry" if hours.grade == METER else hours.grade
    method = brought_forward(hours.source)[:METHOD_MAX] if hours.source else "new engine"
    sd_h = typed_hours.usual_sd_h(hours_h, grade) if hours_h else 0.0
    typed = engine_time.TypedHours(hours_h, sd_h, on_day, grade, method)
    engine_time.enter_hours(engine, typed, who=who, at=at)
