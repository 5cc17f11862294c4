"""What every write on the bench begins with: the job is open still, and its row is held."""

from __future__ import annotations

from datetime import datetime

from tickover.workshop.kernel import actions as journal
from tickover.workshop.kernel.local_time import local_day, local_moment
from tickover.workshop.kernel.refusal import RefusedError
from tickover.workshop.people.models import Person
from tickover.workshop.visits import queries
from tickover.workshop.visits.models import Job, StepMark


class VisitError(RefusedError):
    """Something cannot be done in a job; the text is a sentence for the person who tried."""


def lock_open_job(job: Job, *, at_rest: bool = False) -> queries.JobSheet:
    """The job as it stands now, with its row held; refused once it is released or closed.

    `at_rest`: what is written may be written while the job is paused, too.
    """
    # First the book, then the job: two who took them in turns would wait for each other.
    journal.one_writer_at_a_time()
    sheet = queries.held_job_sheet(job)
    if sheet.release:
        when = local_moment(sheet.release.at)
        raise VisitError(
            f"Visit {job.number} was released by {sheet.release.by} on {when}. Nothing was changed."
        )
    if sheet.closure:
        raise VisitError(f"Visit {job.number} was closed by {sheet.closure.by}. Nothing was changed.")
    if (rest := sheet.course.paused) and not at_rest:
        raise VisitError(
            f"Visit {job.number} is paused since {local_day(rest.at)} ({rest.where}: {rest.why}). "
            "Continue the visit first. Nothing was changed."
        )
    return sheet


def open_again(job: Job, step_id: str, reason: str, who: Person, at: datetime) -> StepMark:
    """Write that a step is open again."""
    mark = StepMark(job=job, step_id=step_id, state=StepMark.State.REOPENED, remark=reason, by=who, at=at)
    journal.record(mark, "step opened again", f"job/{job.number}", actor=who.username, at=at)
    return mark
