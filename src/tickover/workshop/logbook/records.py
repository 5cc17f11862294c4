"""Every record of one engine, table by table, as it goes with the engine when it is sold.

Tables are found by what they refer to, so that a new one is never forgotten: a table belongs to the engine
where a chain of its references ends there, or where `beside` says so. Left out are private calendar
addresses, which are the owner's.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import Any

from django.apps import apps
from django.db import models
from django.db.models import Q

from tickover.workshop.kernel.models import Entry, Recorded
from tickover.workshop.logbook import unlinked_records
from tickover.workshop.register.models import Component, Engine, EvidenceFile

PRIVATE = frozenset({"programme.FeedAddress", "programme.FeedWithdrawn"})
ROWS_AT_ONCE = 500


def tables() -> list[type[Recorded]]:
    """Tables whose rows belong to an engine, by name."""
    found = [m for m in apps.get_models() if issubclass(m, Recorded) and m._meta.label not in PRIVATE]
    return sorted((m for m in found if m in unlinked_records.BELONGS or paths_to_engine(m)), key=name_of)


def name_of(model: type[Recorded]) -> str:
    """ "register-engine-time-entry" """
    words = "".join(f"-{c.lower()}" if c.isupper() else c for c in model.__name__)
    return f"{model._meta.app_label}{words}"


@cache
def paths_to_engine(model: type[models.Model]) -> tuple[str, ...]:
    """Chains of references that lead from a table to an engine, as Django writes them: "job__engine"."""
    if model is Engine:
        return ("pk",)
    if model is Component:
        return ("fittings__engine",)
    return tuple(_paths(model, frozenset({model})))


def rows_of(model: type[Recorded], engine: Engine) -> Iterator[Recorded]:
    """The rows of a table that belong to an engine, in the order they were written, a few at a time."""
    keys = model._default_manager.filter(_belongs(model, engine)).values("pk")
    people = [f.name for f in model._meta.concrete_fields if f.is_relation]
    rows = model._default_manager.filter(pk__in=keys).order_by("entry_sequence").select_related(*people)
    yield from rows.iterator(ROWS_AT_ONCE)


def last_entry(engine: Engine) -> Entry:
    """The newest journal entry that wrote a record of this engine; what befell an instrument later is not one."""
    newest = 0
    for model in (m for m in tables() if m not in unlinked_records.TOOLS):
        rows = model._default_manager.filter(_belongs(model, engine))
        newest = max(newest, rows.aggregate(newest=models.Max("entry_sequence"))["newest"] or 0)
    return Entry.objects.get(sequence=newest)


def _belongs(model: type[Recorded], engine: Engine) -> Q:
    """Which rows of a table belong to an engine."""
    if model in unlinked_records.BELONGS:
        return unlinked_records.BELONGS[model](engine)
    belongs = Q()
    for path in paths_to_engine(model):
        belongs |= Q(**{path: engine.pk})
    return belongs


def as_plain(row: Recorded) -> dict[str, Any]:
    """A row with its number in the journal; what it refers to by that row's number, people by name."""
    columns = row.plain()
    plain: dict[str, Any] = {"entry": row.entry_sequence}
    for field in _kept(type(row)):
        other = getattr(row, field.name) if field.is_relation else None
        if _refers(field):
            plain[f"{field.name}_entry"] = other.entry_sequence if other else None
        elif field.is_relation:
            plain[field.name] = str(other) if other else None
        else:
            plain[field.name] = columns[field.column]
    return plain


def columns_of(model: type[Recorded]) -> list[str]:
    """Names of the columns that `as_plain` gives, in its order."""
    return ["entry", *(f"{f.name}_entry" if _refers(f) else f.name for f in _kept(model))]


def _kept(model: type[Recorded]) -> list[Any]:
    """Columns but for those by which the database knows a row."""
    return [f for f in model._meta.concrete_fields if f.name not in ("id", "entry_sequence")]


def _refers(field: Any) -> bool:
    return bool(field.is_relation) and issubclass(field.related_model, Recorded)


def _paths(model: type[models.Model], seen: frozenset[type[models.Model]]) -> Iterator[str]:
    for field in model._meta.concrete_fields:
        other = field.related_model
        if not field.is_relation or other in seen or not isinstance(other, type):
            continue
        if other is Engine:
            yield field.name
        elif issubclass(other, Recorded) and other not in (Component, EvidenceFile):
            yield from (f"{field.name}__{path}" for path in _paths(other, seen | {other}))
