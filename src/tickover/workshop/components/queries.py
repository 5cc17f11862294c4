"""Reads of components: where each is fitted, how long it has run, what it went through."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time

from django.db.models import Q, QuerySet
from django.utils import timezone

from tickover.workshop.engine_time import at_a_time
from tickover.workshop.engine_time.at_a_time import Between
from tickover.workshop.register.models import Component, Engine, EngineTimeEntry, Fitting, Overhaul, Removal

SEVERAL_ON_AN_ENGINE = frozenset({Component.Kind.CYLINDER, Component.Kind.PISTON})


@dataclass(frozen=True)
class Installation:
    """One stay of a component on an engine, with the engine time in it."""

    fitting: Fitting
    removal: Removal | None
    time: Between


@dataclass(frozen=True)
class ComponentLine:
    """A component as lists show it: its time since new, and where it is."""

    component: Component
    time: Between
    stays: tuple[Installation, ...]

    @property
    def here(self) -> Fitting | None:
        """The fitting by which it is on an engine now."""
        return next((s.fitting for s in self.stays if s.removal is None), None)


@dataclass(frozen=True)
class SinceOverhaul:
    overhaul: Overhaul
    time: Between


def fittings() -> QuerySet[Fitting]:
    """Fittings that count, oldest first: those entered by mistake are left out."""
    rows = Fitting.objects.select_related("component", "engine", "removal")
    return rows.exclude(removal__never_was=True).order_by("fitted_at", "id")


def fitted_on(engine: Engine) -> QuerySet[Fitting]:
    """What is on an engine now."""
    return fittings().filter(engine=engine, removal=None).order_by("component__kind", "id")


def kinds_and_titles(engine_ids: Iterable[int]) -> dict[int, list[tuple[str, str]]]:
    """What is on many engines now, in one query: engine -> (kind, title) of each component."""
    rows = fittings().filter(engine_id__in=list(engine_ids), removal=None)
    found: dict[int, list[tuple[str, str]]] = defaultdict(list)
    for engine_id, kind, title in rows.values_list("engine_id", "component__kind", "component__title"):
        found[engine_id].append((kind, title))
    return found


def fitting_of(component: Component) -> Fitting | None:
    """By which fitting a component is on an engine now."""
    return fittings().filter(component=component, removal=None).first()


def free_components() -> QuerySet[Component]:
    """Components that are on no engine."""
    on = fittings().filter(removal=None).values("component_id")
    return Component.objects.exclude(pk__in=on).order_by("kind", "title", "serial")


def component_by_sequence(sequence: int) -> Component | None:
    return Component.objects.filter(entry_sequence=sequence).first()


def last_event(component: Component, engine: Engine) -> datetime | None:
    """The last fitting or removal of this component, or of its kind on this engine."""
    about = Q(component=component)
    if component.kind not in SEVERAL_ON_AN_ENGINE:
        about |= Q(engine=engine, component__kind=component.kind)
    rows = fittings().filter(about).values_list("fitted_at", "removal__removed_at")
    return max((t for row in rows for t in row if t is not None), default=None)


def component_line(component: Component, now: datetime) -> ComponentLine:
    """A component with its time since new: what it came with, and each engine's time while it was on."""
    return _lines([component], now)[0]


def component_time(component: Component, now: datetime) -> Between:
    """Time since new of a component, with its standard deviation."""
    return component_line(component, now).time


def components_on(engine: Engine, now: datetime) -> list[ComponentLine]:
    """What is on an engine now, each with its own time."""
    return _lines([fitting.component for fitting in fitted_on(engine)], now)


def _lines(components: list[Component], now: datetime) -> list[ComponentLine]:
    entries: dict[int, list[EngineTimeEntry]] = {}
    stays: dict[int, list[Installation]] = {c.pk: [] for c in components}
    for fitting in fittings().filter(component__in=components):
        if fitting.engine_id not in entries:
            entries[fitting.engine_id] = at_a_time.counting_entries(fitting.engine)
        removal: Removal | None = getattr(fitting, "removal", None)
        end = removal.removed_at if removal else now
        time = at_a_time.between(entries[fitting.engine_id], fitting.fitted_at, end)
        stays[fitting.component_id].append(Installation(fitting, removal, time))
    return [ComponentLine(c, _sum(c, stays[c.pk]), tuple(stays[c.pk])) for c in components]


def last_overhaul(engine: Engine) -> Overhaul | None:
    """The last overhaul that was not taken back."""
    rows = Overhaul.objects.filter(engine=engine, replaces=None, replaced_by=None)
    return rows.order_by("-on_day", "-id").first()


def time_since_overhaul(engine: Engine, now: datetime) -> SinceOverhaul | None:
    """Engine time since the last overhaul, counted from the end of its day; None where there was none."""
    overhaul = last_overhaul(engine)
    if overhaul is None:
        return None
    since = end_of(overhaul.on_day)
    return SinceOverhaul(
        overhaul, at_a_time.between(at_a_time.counting_entries(engine), since, max(now, since))
    )


def end_of(day: date) -> datetime:
    """The last moment of a day where the workshop is."""
    return datetime.combine(day, time.max, timezone.get_current_timezone())


def _sum(component: Component, stays: list[Installation]) -> Between:
    hours_h = component.initial_h + sum(s.time.hours_h for s in stays)
    return Between(hours_h, math.hypot(component.initial_sd_h, *(s.time.sd_h for s in stays)))
