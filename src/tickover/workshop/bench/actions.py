"""Writes on the bench: open a job, note the kit, take a reading, mark a step, confirm it, release."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from tickover.science.readings import Decision
from tickover.workshop.bench import queries
from tickover.workshop.bench.judging import judge, take
from tickover.workshop.bench.models import Closure, Job, KitNote, Reading, Release, SecondCheck, StepMark
from tickover.workshop.journal import actions as journal
from tickover.workshop.people.models import Person
from tickover.workshop.people.permission import Right, may
from tickover.workshop.programme import actions as programme
from tickover.workshop.register import queries as register
from tickover.workshop.register.models import Engine


class BenchError(Exception):
    """Something cannot be done on the bench; the text is a sentence for the person who tried."""


@dataclass(frozen=True)
class ReleaseWords:
    """What the releasing person writes: what was not done, and what limits the engine."""

    not_done: str = ""
    limitations: str = ""


@transaction.atomic
def open_job(engine: Engine, task_id: str, *, who: Person, at: datetime) -> Job:
    """Open a job for a task, by the newest sheet. One open job for one task of one engine."""
    journal.one_writer_at_a_time()
    if running := queries.open_job_for(engine, task_id):
        raise BenchError(f"Job {running.number} is open for this already; go on with that one.")
    version = register.newest_sheet_version(engine.sheet_id)
    task = register.sheet_of(version).for_build(engine.build_id).task(task_id)
    if task.card is None:
        raise BenchError(f"The sheet has no work card for “{task.title}” yet, so no job was opened.")
    job = Job(
        number=_next_number(Job.objects.filter(opened_at__year=at.year).count(), at),
        engine=engine,
        sheet=version,
        task_id=task_id,
        card_id=task.card,
        opened_by=who,
        opened_at=at,
        engine_h=register.total_time(engine).hours_h,
    )
    journal.record(job, "job opened", f"job/{job.number}", actor=who.username, at=at, engine=engine.serial)
    return job


@transaction.atomic
def note_kit(job: Job, lot: str, *, who: Person, at: datetime) -> KitNote:
    """Note the lot printed on the kit's bag."""
    _still_open(job)
    if not lot.strip():
        raise BenchError("Type the lot that is printed on the kit's bag. Nothing was noted.")
    note = KitNote(job=job, lot=lot.strip()[:80], by=who)
    journal.record(note, "kit noted", f"job/{job.number}", actor=who.username, at=at)
    return note


@transaction.atomic
def take_reading(
    job: Job, step_id: str, typed: str, *, who: Person, at: datetime, confirmed: bool = False
) -> Reading:
    """Take and judge a step's reading. Raises NumberError or ImplausibleNumber; then nothing is kept."""
    sheet = _still_open(job)
    return _read(sheet.step(step_id), job, typed, Reading.Purpose.STEP, who, at, confirmed=confirmed)


@transaction.atomic
def mark_done(
    job: Job, step_id: str, *, finding_id: str = "", remark: str = "", who: Person, at: datetime
) -> StepMark:
    """Mark a step done, with what was found. A step with a reading needs the reading first."""
    line = _still_open(job).step(step_id)
    if line.done:
        assert line.mark is not None
        raise BenchError(
            f"Step {line.number} is marked done already, by {line.mark.by}. Nothing was changed."
        )
    if line.limit and not line.reading:
        raise BenchError(f"Step {line.number} asks for a reading: {line.limit.title}. Take it first.")
    if line.step.findings and finding_id not in {f.id for f in line.step.findings}:
        raise BenchError(f"Step {line.number} asks what you found. Choose one, then mark it done.")
    mark = StepMark(
        job=job,
        step_id=step_id,
        state=StepMark.State.DONE,
        finding_id=finding_id,
        remark=remark,
        by=who,
        at=at,
    )
    journal.record(mark, "step done", f"job/{job.number}", actor=who.username, at=at)
    return mark


@transaction.atomic
def reopen(job: Job, step_id: str, reason: str, *, who: Person, at: datetime) -> StepMark:
    """Open a step again. What was recorded stays; a second check of it no longer counts."""
    line = _still_open(job).step(step_id)
    if not line.done:
        raise BenchError(f"Step {line.number} is open already. Nothing was changed.")
    if not reason.strip():
        raise BenchError("Say in a few words why the step is opened again. Nothing was changed.")
    return _reopen(job, step_id, reason.strip(), who, at)


@transaction.atomic
def second_check(
    job: Job, step_id: str, *, who: Person, at: datetime, typed: str = "", confirmed: bool = False
) -> SecondCheck | None:
    """Confirm a critical step. Where it has a reading, the second person reads the gauge too.

    Returns None where that second reading is not inside: the step is then open again.
    """
    sheet = _still_open(job)
    line = sheet.step(step_id)
    if not line.awaits_second_check or line.mark is None:
        raise BenchError(f"Step {line.number} has no second check open. Nothing was changed.")
    kind = _kind_of_check(line, who, at)
    if line.limit:
        second = _read(line, job, typed, Reading.Purpose.SECOND_CHECK, who, at, confirmed=confirmed)
        if second.decision != Decision.INSIDE:
            reason = f"second check read {second.value:g} {second.unit}: {second.decision}"
            _reopen(job, step_id, reason, who, at)
            return None
    check = SecondCheck(mark=line.mark, kind=kind, by=who, at=at)
    journal.record(check, "second check", f"job/{job.number}", actor=who.username, at=at, step=step_id)
    return check


@transaction.atomic
def release(job: Job, words: ReleaseWords, *, who: Person, at: datetime) -> Release:
    """Release the engine to service, and move its next due. Refused while anything stands against it."""
    sheet = _still_open(job)
    if not may(who, Right.RELEASE):
        raise BenchError(f"{who} has no authority noted to release engines. Nothing was released.")
    if sheet.blockers:
        raise BenchError("Not released. " + " ".join(sheet.blockers))
    total = register.total_time(job.engine)
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
    )
    programme.record_done(job.engine, job.task_id, at.date(), total.hours_h, row.number, who=who, at=at)
    journal.record(row, "released to service", f"job/{job.number}", actor=who.username, at=at)
    return row


@transaction.atomic
def close_without_release(job: Job, reason: str, *, who: Person, at: datetime) -> Closure:
    """Close a job that ends without a release: the engine is not fit, or the work was not wanted."""
    _still_open(job)
    if not reason.strip():
        raise BenchError("Say why the job is closed without a release. Nothing was changed.")
    row = Closure(job=job, reason=reason.strip(), by=who, at=at)
    journal.record(row, "job closed without release", f"job/{job.number}", actor=who.username, at=at)
    return row


def _still_open(job: Job) -> queries.JobSheet:
    """The job as it stands now, with its row held; refused once it is released or closed."""
    Job.objects.select_for_update(no_key=True).get(pk=job.pk)
    sheet = queries.job_sheet(job)
    if sheet.release:
        when = f"{sheet.release.at:%d %b %Y %H:%M} UTC"
        raise BenchError(
            f"Job {job.number} was released by {sheet.release.by} on {when}. Nothing was changed."
        )
    if sheet.closure:
        raise BenchError(f"Job {job.number} was closed by {sheet.closure.by}. Nothing was changed.")
    return sheet


def _read(
    line: queries.StepLine, job: Job, typed: str, purpose: str, who: Person, at: datetime, *, confirmed: bool
) -> Reading:
    if line.limit is None:
        raise BenchError(f"Step {line.number} asks for no reading. Nothing was kept.")
    if line.done and purpose == Reading.Purpose.STEP:
        raise BenchError(f"Step {line.number} is done. Open it again to take another reading.")
    value = take(typed, line.limit, confirmed=confirmed)
    verdict = judge(value, line.limit)
    row = Reading(
        job=job,
        step_id=line.step.id,
        limit_id=line.limit.id,
        purpose=purpose,
        typed=typed.strip()[:40],
        value=value,
        unit=line.limit.unit,
        decision=str(verdict.decision),
        probability_inside=verdict.probability_inside,
        by=who,
        at=at,
    )
    journal.record(row, "reading taken", f"job/{job.number}", actor=who.username, at=at)
    return row


def _kind_of_check(line: queries.StepLine, who: Person, at: datetime) -> str:
    if not may(who, Right.CONFIRM):
        raise BenchError(f"{who}, {who.role}, may not confirm a critical step. Nothing was changed.")
    if queries.may_confirm(line, who):
        return SecondCheck.Kind.PERSON
    ready = queries.second_look_from(line)
    if ready is None:
        raise BenchError("The one who did a critical step cannot confirm it. Ask a second person to look.")
    if at < ready:
        raise BenchError(
            f"Too soon: leave the bench, and look again after {ready:%H:%M} UTC. Nothing was changed."
        )
    return SecondCheck.Kind.LOOK


def _reopen(job: Job, step_id: str, reason: str, who: Person, at: datetime) -> StepMark:
    mark = StepMark(job=job, step_id=step_id, state=StepMark.State.REOPENED, remark=reason, by=who, at=at)
    journal.record(mark, "step opened again", f"job/{job.number}", actor=who.username, at=at)
    return mark


def _next_number(so_far: int, at: datetime) -> str:
    return f"{at.year}-{so_far + 1:04d}"
