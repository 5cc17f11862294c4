"""Writes that give a job a further task, or drop one before any of it is done."""

from __future__ import annotations

from datetime import datetime

from tickover.sheets import UnknownRowError
from tickover.workshop.kernel import actions as journal
from tickover.workshop.people.models import Person
from tickover.workshop.visits import queries
from tickover.workshop.visits.composing import compose
from tickover.workshop.visits.course import JobTask
from tickover.workshop.visits.lock_open_job import VisitError, lock_open_job
from tickover.workshop.visits.models import AddedTask, FirstTaskDropped, Job, TaskRemoved
from tickover.workshop.visits.steps.step_line import StepLine

DROP_REASONS = (
    "Parts are missing",
    "No time before the promised day",
    "The owner does not want it now",
    "Not needed after all",
)
"""Why a task is dropped, as most say it."""


@journal.locked()
def add_task(
    job: Job, task_id: str, why: str, *, occasion: str = AddedTask.Occasion.FOUND, who: Person, at: datetime
) -> AddedTask:
    """Take a further task into a job, by the sheet the job is done by. Raises LookupError for none such."""
    sheet = lock_open_job(job)
    try:
        task = sheet.sheet.task(task_id)
    except UnknownRowError as error:
        raise LookupError(str(error)) from error
    if sheet.does(task_id):
        raise VisitError(f"Visit {job.number} does “{task.title}” already. Nothing was added.")
    if running := queries.open_job_for(job.engine, task_id):
        raise VisitError(f"Visit {running.number} is open for “{task.title}” already. Nothing was added.")
    if task.card is None:
        raise VisitError(
            f"The sheet has no work card for “{task.title}” yet, so it was not added. "
            "Where it may wait, defer it as a defect."
        )
    if occasion not in AddedTask.Occasion.values:
        raise VisitError("Choose the occasion. Nothing was added.")
    if not why.strip():
        raise VisitError("Type why the task is added. Nothing was added.")
    row = AddedTask(
        job=job, task_id=task_id, card_id=task.card, occasion=occasion, why=why.strip()[:500], by=who, at=at
    )
    journal.record(row, "task added to visit", f"job/{job.number}", actor=who.username, at=at)
    compose(job, who=who, at=at)
    return row


@journal.locked()
def drop_task(
    job: Job, task_id: str, reason: str, *, who: Person, at: datetime
) -> TaskRemoved | FirstTaskDropped:
    """Drop a task of a job: it stays due. Refused once a step was begun that only this task asked for."""
    sheet = lock_open_job(job)
    found = next((t for t in sheet.tasks if t.task.id == task_id), None)
    if found is None:
        raise LookupError(f"visit {job.number} has no task {task_id!r}")
    if begun := begun_for(sheet, found):
        raise VisitError(
            f"“{found.task.title}” has begun with step {begun.number}, so it cannot be dropped. "
            "Finish it, so that nothing is left open."
        )
    if len(sheet.tasks) == 1:
        raise VisitError("It is the last task of this visit. Close the visit instead. Nothing was changed.")
    return _drop(job, found, reason, who, at)


@journal.locked()
def drop_not_begun(job: Job, reason: str, *, who: Person, at: datetime) -> list[str]:
    """Drop every task of which nothing was begun, so that the engine can leave; the titles of those dropped."""
    sheet = lock_open_job(job)
    waiting = not_begun(sheet)
    if not waiting:
        raise VisitError("Every task of this visit has begun. Nothing was changed.")
    if len(waiting) == len(sheet.tasks):
        raise VisitError("No task has begun. Close the visit instead. Nothing was changed.")
    for task in waiting:
        _drop(job, task, reason, who, at)
    return [t.task.title for t in waiting]


def not_begun(sheet: queries.JobSheet) -> list[JobTask]:
    """Tasks of a job of which nothing was begun but what another task asks for as well."""
    return [t for t in sheet.tasks if begun_for(sheet, t) is None]


def begun_for(sheet: queries.JobSheet, task: JobTask) -> StepLine | None:
    """The first step at which something was recorded that only this task asked for."""
    card = task.card.id
    if any(t.card.id == card for t in sheet.tasks if t is not task):
        return None
    return next((line for line in sheet.steps if line.begun and line.cards == {card}), None)


def _drop(job: Job, task: JobTask, reason: str, who: Person, at: datetime) -> TaskRemoved | FirstTaskDropped:
    if not reason.strip():
        raise VisitError("Choose or type why the task is dropped. Nothing was changed.")
    words = reason.strip()[:500]
    row: TaskRemoved | FirstTaskDropped
    if task.added is None:
        row = FirstTaskDropped(job=job, reason=words, by=who, at=at)
    else:
        row = TaskRemoved(added=task.added, reason=words, by=who, at=at)
    journal.record(
        row, "task taken off visit", f"job/{job.number}", actor=who.username, at=at, task=task.task.id
    )
    compose(job, who=who, at=at)
    return row
