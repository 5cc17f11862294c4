"""Writes of components: a new one, fit, remove, swap between two engines; and an engine's overhaul."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, datetime

from django.utils.timezone import localdate

from tickover.workshop.components import queries
from tickover.workshop.engine_time import at_a_time
from tickover.workshop.kernel import actions as journal
from tickover.workshop.kernel.local_time import local_moment
from tickover.workshop.people.models import Person
from tickover.workshop.register.actions import RegisterError
from tickover.workshop.register.locking import lock_engine
from tickover.workshop.register.models import Component, Engine, Fitting, Overhaul, Removal


@dataclass(frozen=True)
class NewComponent:
    """A part that gets a history: the time it has behind it, and how sure that is."""

    kind: str
    title: str
    serial: str
    initial_h: float = 0.0
    initial_sd_h: float = 0.0


@dataclass(frozen=True)
class ComponentChange:
    """When something was done to an engine, by whom it is entered and when."""

    when: datetime
    who: Person
    at: datetime
    remark: str = ""


@journal.locked()
def add_component(new: NewComponent, *, who: Person, at: datetime) -> Component:
    """Put a component into the register."""
    if new.kind not in Component.Kind.values:
        raise RegisterError(f"“{new.kind}” is no kind of component here. Nothing was entered.")
    if not new.title.strip() or not new.serial.strip():
        raise RegisterError(
            "A component needs a name and a serial, else its time is lost. Nothing was entered."
        )
    if not all(math.isfinite(h) and 0.0 <= h < 20_000.0 for h in (new.initial_h, new.initial_sd_h)):
        raise RegisterError(f"{new.initial_h:g} h cannot be a component's time. Nothing was entered.")
    if Component.objects.filter(kind=new.kind, serial=new.serial).exists():
        raise RegisterError(f"A {new.kind} with serial {new.serial} is in the register already.")
    row = Component(**vars(new))
    journal.record(row, "component added", _subject(row), actor=who.username, at=at)
    return row


@journal.locked()
def add_fitted(new: NewComponent, engine: Engine, done: ComponentChange) -> Fitting:
    """Put a component into the register and fit it, both or neither."""
    return fit(add_component(new, who=done.who, at=done.at), engine, done)


@journal.locked()
def fit(component: Component, engine: Engine, done: ComponentChange) -> Fitting:
    """Fit a component. Refused while it is elsewhere, or another of its kind is on this engine."""
    lock_engine(engine.pk)
    if on := queries.fitting_of(component):
        raise RegisterError(
            f"{component} is on {on.engine.name} since {_on(on.fitted_at)}. Remove it there first. "
            "Nothing was changed."
        )
    if component.kind not in queries.SEVERAL_ON_AN_ENGINE:
        for other in queries.fitted_on(engine).filter(component__kind=component.kind):
            raise RegisterError(
                f"{engine.name} has a {component.kind} already: {other.component}. Remove it first. "
                "Nothing was changed."
            )
    _refuse_a_moment(done, queries.last_event(component, engine))
    return _fit(component, engine, done)


@journal.locked()
def remove(component: Component, done: ComponentChange) -> Removal:
    """Take a component off the engine it is on."""
    fitting = _held_fitting(component)
    _refuse_a_moment(done, queries.last_event(component, fitting.engine))
    return _remove(fitting, done)


@journal.locked()
def swap(one: Engine, other: Engine, kind: str, done: ComponentChange) -> tuple[Fitting, Fitting]:
    """Change the components of a kind between two engines, in one step."""
    if one == other:
        raise RegisterError("A swap needs two engines. Nothing was changed.")
    for engine in sorted((one, other), key=lambda e: e.pk):
        lock_engine(engine.pk)
    ours, theirs = _the_one(one, kind), _the_one(other, kind)
    remove(ours, done)
    remove(theirs, done)
    return fit(theirs, one, done), fit(ours, other, done)


@journal.locked()
def take_back(component: Component, done: ComponentChange) -> Removal:
    """Take back the fitting by which a component is on its engine now, as entered by mistake."""
    fitting = _held_fitting(component)
    if not done.remark.strip():
        raise RegisterError("Type what was wrong. Nothing was changed.")
    return _remove(fitting, done, never_was=True)


@journal.locked()
def record_overhaul(engine: Engine, on_day: date, remark: str, *, who: Person, at: datetime) -> Overhaul:
    """Record that an engine was overhauled; its time since overhaul counts from the end of that day."""
    lock_engine(engine.pk)
    if on_day > localdate(at):
        raise RegisterError(f"{on_day:%d %b %Y} is still to come. Nothing was entered.")
    last = queries.last_overhaul(engine)
    if last and on_day <= last.on_day:
        raise RegisterError(
            f"{engine.name} was overhauled on {last.on_day:%d %b %Y}. Take that back first, if it is wrong. "
            "Nothing was entered."
        )
    row = Overhaul(
        engine=engine,
        on_day=on_day,
        engine_h=_engine_h(engine, queries.end_of(on_day)),
        remark=remark.strip()[:200],
        entered_by=str(who),
    )
    journal.record(row, "engine overhauled", f"engine/{engine.serial}", actor=who.username, at=at)
    return row


@journal.locked()
def take_back_overhaul(overhaul: Overhaul, reason: str, *, who: Person, at: datetime) -> Overhaul:
    """Take an overhaul back that was entered by mistake. Both rows stay."""
    lock_engine(overhaul.engine_id)
    if not reason.strip():
        raise RegisterError("Type what was wrong. Nothing was changed.")
    if overhaul.replaces_id or Overhaul.objects.filter(replaces=overhaul).exists():
        raise RegisterError("This overhaul was taken back already. Nothing was changed.")
    row = Overhaul(
        engine=overhaul.engine,
        on_day=overhaul.on_day,
        engine_h=overhaul.engine_h,
        remark=reason.strip()[:200],
        entered_by=str(who),
        replaces=overhaul,
    )
    subject = f"engine/{overhaul.engine.serial}"
    journal.record(row, "overhaul taken back", subject, actor=who.username, at=at)
    return row


def _fit(component: Component, engine: Engine, done: ComponentChange) -> Fitting:
    row = Fitting(
        component=component,
        engine=engine,
        fitted_at=done.when,
        engine_h=_engine_h(engine, done.when),
        remark=done.remark.strip()[:200],
        entered_by=str(done.who),
    )
    more = {"component": str(component)}
    subject = f"engine/{engine.serial}"
    journal.record(row, "component fitted", subject, actor=done.who.username, at=done.at, **more)
    return row


def _remove(fitting: Fitting, done: ComponentChange, *, never_was: bool = False) -> Removal:
    row = Removal(
        fitting=fitting,
        removed_at=fitting.fitted_at if never_was else done.when,
        engine_h=fitting.engine_h if never_was else _engine_h(fitting.engine, done.when),
        never_was=never_was,
        remark=done.remark.strip()[:200],
        entered_by=str(done.who),
    )
    kind = "fitting taken back" if never_was else "component removed"
    more = {"component": str(fitting.component)}
    subject = f"engine/{fitting.engine.serial}"
    journal.record(row, kind, subject, actor=done.who.username, at=done.at, **more)
    return row


def _held_fitting(component: Component) -> Fitting:
    """By which fitting it is on an engine, with the book held."""
    journal.one_writer_at_a_time()
    fitting = queries.fitting_of(component)
    if fitting is None:
        raise RegisterError(f"{component} is on no engine. Nothing was changed.")
    return fitting


def _the_one(engine: Engine, kind: str) -> Component:
    on = list(queries.fitted_on(engine).filter(component__kind=kind))
    if len(on) != 1:
        raise RegisterError(
            f"{engine.name} has {len(on) or 'no'} {kind} in its record; a swap needs one on each engine. "
            "Nothing was changed."
        )
    return on[0].component


def _refuse_a_moment(done: ComponentChange, last: datetime | None) -> None:
    if done.when > done.at:
        raise RegisterError(f"{_on(done.when)} is still to come. Nothing was changed.")
    if last and done.when < last:
        raise RegisterError(
            f"{_on(done.when)} is before the last change of this component or its place, {_on(last)}. "
            "Nothing was changed."
        )


def _engine_h(engine: Engine, moment: datetime) -> float:
    return at_a_time.between(at_a_time.counting_entries(engine), None, moment).hours_h


def _subject(component: Component) -> str:
    return f"component/{component.kind}/{component.serial}"


def _on(moment: datetime) -> str:
    return local_moment(moment)
