"""Writes about the course of a job: remarks, pause and resume, and the hand-over to somebody else."""

from __future__ import annotations

from datetime import datetime

from django.utils.timezone import localdate

from tickover.workshop.kernel import actions as journal
from tickover.workshop.kernel.idempotency import ask_again_of
from tickover.workshop.people.models import Person
from tickover.workshop.people.permission import Right, may
from tickover.workshop.visits.lock_open_job import VisitError, lock_open_job
from tickover.workshop.visits.models import HandOver, Job, Pause, Remark

LONGEST = 2000


@journal.locked()
def remark(job: Job, text: str, *, step_id: str = "", who: Person, at: datetime) -> Remark:
    """Note something about a job or a step, done or not, also while the job is paused."""
    sheet = lock_open_job(job, at_rest=True)
    if step_id:
        step_id = sheet.step(step_id).step.id
    if not text.strip():
        raise VisitError("Type a remark. Nothing was saved.")
    if len(text) > LONGEST:
        raise VisitError("The remark is longer than 2,000 characters. Nothing was saved.")
    same = Remark.objects.filter(job=job, step_id=step_id, text=text.strip(), at__date=localdate(at))
    if earlier := same.first():
        ask_again_of("this remark", localdate(at), earlier.by)
    row = Remark(job=job, step_id=step_id, text=text.strip(), by=who, at=at)
    journal.record(row, "remark", f"job/{job.number}", actor=who.username, at=at)
    return row


@journal.locked()
def pause(job: Job, where: str, why: str, *, who: Person, at: datetime) -> Pause:
    """Let the job rest: where engine and parts are meanwhile, and why."""
    lock_open_job(job)
    if not where.strip() or not why.strip():
        raise VisitError("Type where the engine and its parts are, and why. Nothing was changed.")
    return _course(job, Pause.State.PAUSED, who, at, where=where.strip()[:200], why=why.strip()[:500])


@journal.locked()
def resume(job: Job, *, who: Person, at: datetime) -> Pause:
    """Go on with a job that rests."""
    if not lock_open_job(job, at_rest=True).course.paused:
        raise VisitError(f"Visit {job.number} is not paused. Nothing was changed.")
    return _course(job, Pause.State.RESUMED, who, at)


@journal.locked()
def hand_over(job: Job, to: Person, still: str, note: str = "", *, who: Person, at: datetime) -> HandOver:
    """Hand the job to somebody else, and say what is open on it."""
    lock_open_job(job, at_rest=True)
    if to.pk == who.pk:
        raise VisitError("Choose someone else. Nothing was changed.")
    if not to.is_active or not may(to, Right.WORK):
        raise VisitError(f"{to} may not record work here. Choose someone who may. Nothing was changed.")
    if not still.strip():
        raise VisitError("Type what is open on this visit, or that nothing is. Nothing was changed.")
    row = HandOver(job=job, by=who, to=to, still_open=still.strip()[:1000], note=note.strip()[:1000], at=at)
    journal.record(row, "visit handed over", f"job/{job.number}", actor=who.username, at=at)
    return row


def _course(job: Job, state: str, who: Person, at: datetime, *, where: str = "", why: str = "") -> Pause:
    row = Pause(job=job, state=state, where=where, why=why, by=who, at=at)
    journal.record(row, f"visit {state}", f"job/{job.number}", actor=who.username, at=at)
    return row
