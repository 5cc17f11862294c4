"""Which findings were put off as deferred defects: asked of the place that keeps them, which registers here."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from django.db.models import Model

Deferred = Callable[[Iterable[int]], set[tuple[int, str, str]]]
"""Primary keys of jobs -> (job, step, finding) for which a defect was deferred."""

_keepers: list[tuple[Deferred, type[Model]]] = []


def register(ask: Deferred, table: type[Model]) -> None:
    """Have this place asked which findings were deferred; the table is where it keeps them, with their `job`."""
    _keepers.append((ask, table))


def tables() -> tuple[type[Model], ...]:
    """Where deferrals are kept: nothing of a job is deferred that has no row in any."""
    return tuple(table for _, table in _keepers)


def of_jobs(jobs: Iterable[int]) -> set[tuple[int, str, str]]:
    """(job, step, finding) that were deferred, over all places that keep deferrals."""
    wanted = list(jobs)
    return {found for ask, _ in _keepers for found in ask(wanted)}
