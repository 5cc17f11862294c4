"""Release to service, and its other end: a job closed without one.

A release is refused by what the job's own steps say against it (`JobSheet.blockers`), by every check that another
place registered (`release_checks`), and by an exceedance that nobody has answered.
"""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.utils.timezone import localdate

from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.kernel import actions as journal
from tickover.workshop.people.models import Person
from tickover.workshop.people.permission import Right, may
from tickover.workshop.programme import actions as programme
from tickover.workshop.visits.lock_open_job import VisitError, lock_open_job
from tickover.workshop.visits.models import Closure, Job, Release
from tickover.workshop.visits.releasing import as_signed, release_checks
from tickover.workshop.visits.releasing.else_due import else_due
from tickover.workshop.visits.releasing.release_checks import ReleaseWords


def release(job: Job, words: ReleaseWords, *, who: Person, at: datetime) -> Release:
    """Release the engine to service, and move its next due. Refused while anything stands against it."""
    prepared = release_checks.prepare(job)
    with journal.locked():
        return _release(job, words, prepared, who, at)


def _release(
    job: Job, words: ReleaseWords, prepared: release_checks.Prepared, who: Person, at: datetime
) -> Release:
    sheet = lock_open_job(job)
    if not may(who, Right.RELEASE):
        raise VisitError(f"{who} has no release authority. Nothing was released.")
    if sheet.blockers:
        raise VisitError("Not released. " + " ".join(sheet.blockers))
    columns: dict[str, Any] = {}
    for found in prepared.found(sheet, words, localdate(at)):
        if found.against:
            raise VisitError("Not released. " + " ".join(found.against))
        columns |= found.columns
    exceeded = prepared.exceedances(sheet)
    if unanswered := [e.said for e in exceeded if e.answer is None]:
        raise VisitError(f"Not released. Exceedance not answered. {' '.join(unanswered)}")
    total = engine_time.total_time(job.engine)
    row = Release(
        job=job,
        number=f"R-{job.number}",
        by=who,
        authority=who.authority,
        at=at,
        engine_h=total.hours_h,
        engine_sd_h=total.sd_h,
        not_done=words.not_done.strip(),
        limitations=words.limitations.strip(),
        exceedances=[e.facts() for e in exceeded],
        signed=as_signed.of_that_day(who),
        **columns,
    )
    for done in sheet.tasks:
        programme.record_done(
            job.engine, done.task.id, localdate(at), total.hours_h, row.number, who=who, at=at
        )
    row.else_due = else_due(sheet, total.hours_h, localdate(at))
    journal.record(row, "released to service", f"job/{job.number}", actor=who.username, at=at)
    return row


@journal.locked()
def close_without_release(job: Job, reason: str, *, who: Person, at: datetime) -> Closure:
    """Close a job that ends without a release: the engine is not fit, or the work was not wanted."""
    lock_open_job(job, at_rest=True)
    if not reason.strip():
        raise VisitError("Type why the visit is closed without a release. Nothing was changed.")
    row = Closure(job=job, reason=reason.strip(), by=who, at=at)
    journal.record(row, "visit closed without release", f"job/{job.number}", actor=who.username, at=at)
    return row
