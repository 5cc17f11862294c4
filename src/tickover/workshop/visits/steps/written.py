"""The steps of a job as its sheet writes them, before anything is done: worked out once for all jobs that are alike."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from threading import Lock

from cachetools import LRUCache, cached

from tickover.sheets import Card, Joint, Step, TypeSheet
from tickover.workshop.readings.computed import MeasurementContext
from tickover.workshop.visits.course import JobTask, Served, steps_of
from tickover.workshop.visits.models import ComposedCard, Job
from tickover.workshop.visits.steps.never import Never, never_at

KEPT = 32
"""Ways of doing jobs whose steps are kept: more than are in work at once."""


@dataclass(frozen=True)
class StepAsWritten:
    """A step with what is read at it, what is never passed there, and the titles of the parts it fits."""

    step: Step
    card: Card
    serves: tuple[Served, ...]
    group: str
    site: MeasurementContext | None
    never: Never
    fitted: tuple[str, ...]


def _asked(
    job: Job, _: TypeSheet, tasks: tuple[JobTask, ...], composed: ComposedCard | None
) -> tuple[Hashable, ...]:
    """All that the answer depends on: a fingerprint never means another sheet."""
    rows = composed.steps if composed else ()
    order = tuple((row["name"], row["group"], *map(tuple, row["serves"])) for row in rows)
    cards = tuple((task.card.id, task.repeats) for task in tasks)
    return job.sheet.fingerprint, job.engine.build_id, job.card_id, cards, composed is None, order


@cached(LRUCache(KEPT), key=_asked, lock=Lock())
def written_steps(
    job: Job, sheet: TypeSheet, tasks: tuple[JobTask, ...], composed: ComposedCard | None
) -> tuple[StepAsWritten, ...]:
    """The steps of a job in their order; `sheet` is the job's, of its engine's build."""
    found = []
    for of_card in steps_of(job, tasks, composed):
        step = of_card.step
        site = MeasurementContext(sheet.limit(step.reading), sheet.geometry) if step.reading else None
        joint = sheet.joint(step.joint) if step.joint else None
        never = never_at(step, site.limit, joint) if site else Never()
        fitted = _fitted(sheet, step, joint)
        found.append(StepAsWritten(step, of_card.card, of_card.serves, of_card.group, site, never, fitted))
    return tuple(found)


def _fitted(sheet: TypeSheet, step: Step, joint: Joint | None) -> tuple[str, ...]:
    """Titles of the parts a step fits or whose joint it is about."""
    layers = [layer.part for layer in joint.stack if layer.part] if joint else []
    return tuple(sheet.part(part).title for part in dict.fromkeys([*step.fits, *layers]))
