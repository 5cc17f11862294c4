"""Writes that a person has read the cautions of a step that runs the engine; without it the step is not marked done."""

from __future__ import annotations

from datetime import datetime

from tickover.workshop.kernel import actions as journal
from tickover.workshop.people.models import Person
from tickover.workshop.visits import queries
from tickover.workshop.visits.lock_open_job import VisitError, lock_open_job
from tickover.workshop.visits.models import CautionConfirmed, Job
from tickover.workshop.visits.steps.cautions import unconfirmed
from tickover.workshop.visits.steps.step_line import StepLine


@journal.locked()
def confirm_cautions(job: Job, step_id: str, *, who: Person, at: datetime) -> list[CautionConfirmed]:
    """Confirm what is still to be confirmed at a step: it holds for this person and this visit."""
    line = lock_open_job(job).step(step_id)
    rows = []
    for text in unconfirmed(line, queries.cautions_confirmed(job, who)):
        row = CautionConfirmed(job=job, step_id=line.step.id, text=text, by=who, at=at)
        journal.record(row, "caution confirmed", f"job/{job.number}", actor=who.username, at=at)
        rows.append(row)
    return rows


def refuse_unconfirmed(job: Job, line: StepLine, who: Person) -> None:
    """Raises VisitError where the engine is run at a step and this person has not confirmed its cautions."""
    if not unconfirmed(line, frozenset()):  # as at most steps: nothing is looked up
        return
    if unconfirmed(line, queries.cautions_confirmed(job, who)):
        raise VisitError(
            f"Step {line.number} runs the engine. Confirm first that you have read its caution. Nothing was changed."
        )
