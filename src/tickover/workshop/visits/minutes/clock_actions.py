"""Writes of the bench clock: start, stop, and minutes typed where nobody pressed it."""

from __future__ import annotations

from datetime import datetime, timedelta

from tickover.workshop.kernel import actions as journal
from tickover.workshop.kernel.local_time import local_moment
from tickover.workshop.people.models import Person
from tickover.workshop.visits.lock_open_job import VisitError
from tickover.workshop.visits.minutes.worked import running
from tickover.workshop.visits.models import ClockStarted, Closure, Job, WorkedTime

LONGEST = timedelta(hours=12)
MOST_MIN = 60.0 * 24.0


@journal.locked()
def start_clock(job: Job, *, who: Person, at: datetime) -> ClockStarted:
    """Start this person's clock; one person has one clock, whichever visit it is on."""
    _not_closed(job)
    if on := running(who):
        raise VisitError(
            f"Your clock runs since {local_moment(on.at)} on visit {on.job.number}. Stop it first. "
            "Nothing was changed."
        )
    row = ClockStarted(job=job, by=who, at=at)
    journal.record(row, "clock started", f"job/{job.number}", actor=who.username, at=at)
    return row


@journal.locked()
def stop_clock(job: Job, *, who: Person, at: datetime) -> WorkedTime:
    """Stop this person's clock on a visit, and keep the minutes."""
    on = running(who)
    if on is None or on.job_id != job.pk:
        raise VisitError(f"Your clock does not run on visit {job.number}. Nothing was changed.")
    ran = at - on.at
    if ran > LONGEST:
        raise VisitError(
            f"Your clock runs since {local_moment(on.at)}: was it forgotten? Type the minutes you worked. "
            "Nothing was changed."
        )
    row = WorkedTime(job=job, started=on, minutes=max(0.0, ran.total_seconds() / 60.0), by=who, at=at)
    journal.record(row, "minutes worked", f"job/{job.number}", actor=who.username, at=at)
    return row


@journal.locked()
def type_minutes(job: Job, minutes: float, *, who: Person, at: datetime) -> WorkedTime:
    """Minutes that were worked without the clock; a clock of this person that runs on the visit ends with it."""
    _not_closed(job)
    if not 0.0 < minutes <= MOST_MIN:
        raise VisitError("Type how many minutes, from 1 to 1440. Nothing was saved.")
    on = running(who)
    started = on if on is not None and on.job_id == job.pk else None
    row = WorkedTime(job=job, started=started, minutes=minutes, typed=True, by=who, at=at)
    journal.record(row, "minutes worked", f"job/{job.number}", actor=who.username, at=at)
    return row


def _not_closed(job: Job) -> None:
    if Closure.objects.filter(job=job).exists():
        raise VisitError(f"Visit {job.number} is closed. Nothing was changed.")
