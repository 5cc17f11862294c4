"""Which findings were put off as deferred defects: asked of the place that keeps them, which registers here."""

from __future__ import annotations

from collections.abc import Callable, Iterable

Deferred = Callable[[Iterable[int]], set[tuple[int, str, str]]]
"""Primary keys of jobs -> (job, step, finding) for which a defect was deferred."""

_keepers: list[Deferred] = []


def register(ask: Deferred) -> None:
    """Have this place asked which findings were deferred."""
    _keepers.append(ask)


def of_jobs(jobs: Iterable[int]) -> set[tuple[int, str, str]]:
    """(job, step, finding) that were deferred, over all places that keep deferrals."""
    wanted = list(jobs)
    return {found for ask in _keepers for found in ask(wanted)}
