"""Writes of deferred defects: let one wait, give it another limit, withdraw it, note the job that puts it right."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from django.utils.timezone import localdate

from tickover.workshop.defects import queries
from tickover.workshop.defects.models import (
    DefectRectified,
    DeferralExtended,
    DeferralWithdrawn,
    DeferredDefect,
)
from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.kernel import actions as journal
from tickover.workshop.kernel.idempotency import ask_again_of
from tickover.workshop.kernel.numbering import next_number
from tickover.workshop.kernel.refusal import RefusedError
from tickover.workshop.people import queries as people
from tickover.workshop.people.models import Person, Role
from tickover.workshop.people.permission import Right, may
from tickover.workshop.register import queries as register
from tickover.workshop.register.models import Engine
from tickover.workshop.visits import queries as visits
from tickover.workshop.visits.models import Job

ACCEPTING = (Role.INSPECTOR, Role.MANAGER)
MOST_H, MOST_DAYS = 1000.0, 3 * 366


class DefectError(RefusedError):
    """A defect cannot be deferred or put right; the text is a sentence for the person who tried."""


@dataclass(frozen=True)
class Until:
    """A limit: an engine time since new [h], a day, or whichever comes first."""

    h: float | None = None
    on: date | None = None


@dataclass(frozen=True)
class NewDefect:
    """What is deferred: until an engine time since new [h], a day, or whichever comes first.

    `step_id` names the step at whose finding it was seen, "" for a defect on its own; `task_id` the task that puts
    it right, where no finding names it.
    """

    what: str
    why_it_may_wait: str
    until_h: float | None = None
    until_on: date | None = None
    step_id: str = ""
    task_id: str = ""


def who_may_accept(*, other_than: Person) -> list[Person]:
    """Inspectors and managers but the one who defers; where one works alone, himself if he may release."""
    if people.the_workshop().works_alone and may(other_than, Right.RELEASE):
        return [other_than]
    return [p for p in people.everyone() if p.role in ACCEPTING and p.pk != other_than.pk]


@journal.locked()
def defer(
    engine: Engine, new: NewDefect, *, accepted_by: Person, job: Job | None = None, who: Person, at: datetime
) -> DeferredDefect:
    """Let a defect wait until a limit. What means “stop” or “do not release” never waits."""
    now_h = engine_time.total_time(engine).hours_h
    _well_said(new)
    _ahead(Until(new.until_h, new.until_on), now_h, at)
    _accepted(accepted_by, who)
    line = _step(engine, job, new.step_id)
    what = new.what.strip()[:300]
    same = DeferredDefect.objects.filter(engine=engine, what__iexact=what, at__date=localdate(at))
    if earlier := same.first():
        ask_again_of(f"“{what}” as {earlier.number}", localdate(at), earlier.by)
    finding = line.finding if line else None
    row = DeferredDefect(
        number=next_number(DeferredDefect, at, prefix="D-"),
        engine=engine,
        job=job,
        step_id=line.step.id if line else new.step_id,
        finding_id=finding.id if finding else "",
        task_id=(finding.task or "") if finding else _task(engine, new.task_id),
        what=what,
        why_it_may_wait=new.why_it_may_wait.strip()[:500],
        until_h=new.until_h,
        until_on=new.until_on,
        engine_h=now_h,
        by=who,
        accepted_by=accepted_by,
        at=at,
    )
    more = (
        {"job": job.number, "accepted": accepted_by.username} if job else {"accepted": accepted_by.username}
    )
    journal.record(row, "defect deferred", f"engine/{engine.serial}", actor=who.username, at=at, **more)
    return row


@journal.locked()
def extend(
    defect: DeferredDefect, until: Until, reason: str, *, accepted_by: Person, who: Person, at: datetime
) -> DeferralExtended:
    """Give a defect that waits another limit, later or nearer, accepted as the first was."""
    _still_waits(defect, at)
    now_h = engine_time.total_time(defect.engine).hours_h
    _ahead(until, now_h, at)
    if not reason.strip():
        raise DefectError("Type why the new limit holds, and by what rule. Nothing was changed.")
    _accepted(accepted_by, who)
    row = DeferralExtended(
        defect=defect,
        until_h=until.h,
        until_on=until.on,
        reason=reason.strip()[:300],
        engine_h=now_h,
        by=who,
        accepted_by=accepted_by,
        at=at,
    )
    _record(row, "deferral extended", who, at)
    return row


@journal.locked()
def withdraw(
    defect: DeferredDefect, reason: str, *, accepted_by: Person, who: Person, at: datetime
) -> DeferralWithdrawn:
    """Take a deferral back. A finding it was noted for stands against the release of its job again."""
    _still_waits(defect, at)
    if not reason.strip():
        raise DefectError("Type why the deferral is withdrawn. Nothing was changed.")
    _accepted(accepted_by, who)
    row = DeferralWithdrawn(
        defect=defect, reason=reason.strip()[:300], by=who, accepted_by=accepted_by, at=at
    )
    _record(row, "deferral withdrawn", who, at)
    return row


@journal.locked()
def rectify(defect: DeferredDefect, job: Job, how: str, *, who: Person, at: datetime) -> DefectRectified:
    """Note that an open job puts a defect right; it counts once that job is released."""
    sheet = visits.held_job_sheet(job)
    if job.engine_id != defect.engine_id:
        raise DefectError(f"Visit {job.number} is on another engine. Nothing was saved.")
    if not sheet.open:
        raise DefectError(f"Visit {job.number} is {sheet.state}. Choose an open visit. Nothing was saved.")
    stands = queries.line_of(defect, localdate(at))
    if stands.withdrawn:
        raise DefectError(f"{defect.number} is withdrawn. Nothing was saved.")
    if stands.rectified or stands.in_job:
        named = stands.rectified.job.number if stands.rectified else stands.in_job.number  # type: ignore[union-attr]
        raise DefectError(f"{defect.number} is already fixed in visit {named}. Nothing was saved.")
    if not how.strip():
        raise DefectError("Type how it was fixed. Nothing was saved.")
    row = DefectRectified(defect=defect, job=job, how=how.strip()[:300], by=who, at=at)
    subject = f"engine/{defect.engine.serial}"
    journal.record(row, "defect rectified", subject, actor=who.username, at=at, defect=defect.number)
    return row


def _still_waits(defect: DeferredDefect, at: datetime) -> None:
    stands = queries.line_of(defect, localdate(at))
    if not stands.waits:
        raise DefectError(f"{defect.number} is {stands.state} already. Nothing was changed.")
    if stands.in_job:
        raise DefectError(
            f"{defect.number} is being fixed in visit {stands.in_job.number}. Release or close that visit "
            "first. Nothing was changed."
        )


def _accepted(accepted_by: Person, who: Person) -> None:
    if accepted_by.pk not in {p.pk for p in who_may_accept(other_than=who)}:
        raise DefectError(
            f"{accepted_by} may not accept this. Ask an inspector or a manager who did not "
            "ask for it. Nothing was changed."
        )


def _record(row: DeferralExtended | DeferralWithdrawn, kind: str, who: Person, at: datetime) -> None:
    more = {"defect": row.defect.number, "accepted": row.accepted_by.username}
    journal.record(row, kind, f"engine/{row.defect.engine.serial}", actor=who.username, at=at, **more)


def _well_said(new: NewDefect) -> None:
    if not new.what.strip():
        raise DefectError("Type what the defect is. Nothing was deferred.")
    if not new.why_it_may_wait.strip():
        raise DefectError("Type why it may wait, and by what rule. Nothing was deferred.")


def _ahead(until: Until, now_h: float, at: datetime) -> None:
    """Refuse a limit that is none, is past, or is so far that it is a slip."""
    if until.h is None and until.on is None:
        raise DefectError("Give a limit: engine hours, a date, or both. Nothing was changed.")
    if until.h is not None and not now_h < until.h <= now_h + MOST_H:
        raise DefectError(
            f"The limit of {until.h:.1f} h is not ahead: the engine has {now_h:.1f} h since new, and a "
            f"defect waits {MOST_H:.0f} h at most. Type the engine time by which it must be fixed. "
            "Nothing was changed."
        )
    if until.on is not None and not 0 < (until.on - localdate(at)).days <= MOST_DAYS:
        raise DefectError(
            f"The limit {until.on:%d %b %Y} is not ahead, or is more than three years away. "
            "Type the day by which it must be fixed. Nothing was changed."
        )


def _task(engine: Engine, task_id: str) -> str:
    """The task that puts it right. Raises LookupError for one that the engine's programme does not have."""
    return register.build_of(engine).task(task_id).id if task_id else ""


def _step(engine: Engine, job: Job | None, step_id: str) -> visits.StepLine | None:
    """The step a defect was seen at, which must be one that may wait. Raises LookupError for none such."""
    if job is None:
        return None
    sheet = visits.held_job_sheet(job)
    if job.engine_id != engine.pk:
        raise DefectError(f"Visit {job.number} is on another engine. Nothing was deferred.")
    if not sheet.open:
        raise DefectError(
            f"Visit {job.number} is {sheet.state}. Defer it without a visit. Nothing was deferred."
        )
    if not step_id:
        return None
    line = sheet.step(step_id)
    if line.finding and line.finding.action in ("stop", "do not release"):
        raise DefectError(
            f"{line.name}: found “{line.finding.title}”, which means: {line.finding.action}. "
            "That cannot wait. Nothing was deferred."
        )
    if line.finding and (line.step.id, line.finding.id) in sheet.deferred:
        raise DefectError(f"{line.name}: “{line.finding.title}” is deferred already. Nothing was changed.")
    return line
