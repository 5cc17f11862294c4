"""Writes that give a job a further task, or take it off again before any of it is done."""

from __future__ import annotations

from datetime import datetime

from tickover.sheets import UnknownRowError
from tickover.workshop.kernel import actions as journal
from tickover.workshop.people.models import Person
from tickover.workshop.visits import queries
from tickover.workshop.visits.composing import compose
from tickover.workshop.visits.lock_open_job import VisitError, lock_open_job
from tickover.workshop.visits.models import AddedTask, Job, TaskRemoved


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
        raise VisitError(f"Job {job.number} does “{task.title}” already. Nothing was added.")
    if running := queries.open_job_for(job.engine, task_id):
        raise VisitError(f"Job {running.number} is open for “{task.title}” already. Nothing was added.")
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
    journal.record(row, "task added to job", f"job/{job.number}", actor=who.username, at=at)
    compose(job, who=who, at=at)
    return row


@journal.locked()
def remove_task(job: Job, task_id: str, reason: str, *, who: Person, at: datetime) -> TaskRemoved:
    """Take an added task off again. Refused once one of its steps was begun."""
    sheet = lock_open_job(job)
    found = next((t for t in sheet.added if t.task.id == task_id), None)
    if found is None or found.added is None:
        raise LookupError(f"no task {task_id!r} was added to job {job.number}")
    others = [t for t in sheet.tasks if t is not found and t.card.id == found.card.id]
    if not others and _begun(sheet, found.card.id):
        raise VisitError(
            f"Work on “{found.task.title}” was begun, so it stays in the job. Finish it, or close the job."
        )
    if not reason.strip():
        raise VisitError("Type why the task is removed. Nothing was changed.")
    row = TaskRemoved(added=found.added, reason=reason.strip()[:500], by=who, at=at)
    journal.record(row, "task taken off job", f"job/{job.number}", actor=who.username, at=at, task=task_id)
    compose(job, who=who, at=at)
    return row


def _begun(sheet: queries.JobSheet, card_id: str) -> bool:
    """Whether anything was recorded at a step that only this card asked for."""
    return any(line.begun and line.cards == {card_id} for line in sheet.steps)
