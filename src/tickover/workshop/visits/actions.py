"""Writes on the bench: open a job, note the kit, take a reading, mark a step, confirm it, release."""

from __future__ import annotations

from datetime import datetime

from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.kernel import actions as journal
from tickover.workshop.kernel.idempotency import ask_again
from tickover.workshop.kernel.numbering import next_number
from tickover.workshop.people.models import Person
from tickover.workshop.readings.input_fields import TypedReading
from tickover.workshop.register import queries as register
from tickover.workshop.register.models import Engine
from tickover.workshop.visits import hold_points, queries
from tickover.workshop.visits.lock_open_job import VisitError, lock_open_job, open_again
from tickover.workshop.visits.models import Job, KitNote, StepMark
from tickover.workshop.visits.recording.caution_actions import confirm_cautions, refuse_unconfirmed
from tickover.workshop.visits.recording.course_actions import hand_over, pause, remark, resume
from tickover.workshop.visits.recording.exceedance_actions import decide_exceedance, renew_part
from tickover.workshop.visits.recording.hand_back_actions import hand_back
from tickover.workshop.visits.recording.reading_actions import (
    DoubtfulInstrumentError,
    leave_unmeasured,
    second_check,
    take_reading,
)
from tickover.workshop.visits.recording.task_actions import (
    DROP_REASONS,
    add_task,
    drop_not_begun,
    drop_task,
    not_begun,
)
from tickover.workshop.visits.recording.visit_actions import ArrivalWords, VisitRunningError, start_visit
from tickover.workshop.visits.releasing.release import close_without_release, release
from tickover.workshop.visits.releasing.release_checks import ReleaseWords

__all__ = [
    "DROP_REASONS",
    "ArrivalWords",
    "DoubtfulInstrumentError",
    "ReleaseWords",
    "TypedReading",
    "VisitError",
    "VisitRunningError",
    "add_task",
    "close_without_release",
    "confirm_cautions",
    "decide_exceedance",
    "drop_not_begun",
    "drop_task",
    "hand_back",
    "hand_over",
    "leave_unmeasured",
    "mark_done",
    "not_begun",
    "note_kit",
    "open_job",
    "pause",
    "release",
    "remark",
    "renew_part",
    "reopen",
    "resume",
    "second_check",
    "start_visit",
    "take_reading",
]


@journal.locked()
def open_job(engine: Engine, task_id: str, *, who: Person, at: datetime) -> Job:
    """Open a job for a task, by the newest sheet. One open job for one task of one engine."""
    if running := queries.open_job_for(engine, task_id):
        raise VisitError(f"Visit {running.number} is open for this already; go on with that one.")
    version = register.newest_sheet_version(engine.sheet_id)
    task = queries.sheet_for(version, engine.build_id).task(task_id)
    if task.card is None:
        raise VisitError(f"The sheet has no work card for “{task.title}” yet, so no visit was opened.")
    job = Job(
        number=next_number(Job, at),
        engine=engine,
        sheet=version,
        task_id=task_id,
        card_id=task.card,
        opened_by=who,
        opened_at=at,
        engine_h=engine_time.total_time(engine).hours_h,
    )
    journal.record(job, "visit opened", f"job/{job.number}", actor=who.username, at=at, engine=engine.serial)
    return job


@journal.locked()
def note_kit(job: Job, lot: str, *, card_id: str = "", who: Person, at: datetime) -> KitNote:
    """Note the lot printed on the kit's bag; of the first card's kit, or of an added card's."""
    sheet = lock_open_job(job)
    if card_id and card_id not in {card.id for card in sheet.cards if card.id != job.card_id}:
        raise LookupError(f"no card {card_id!r} was added to visit {job.number}")
    if not lot.strip():
        raise VisitError("Type the lot printed on the kit bag. Nothing was saved.")
    note = KitNote(job=job, lot=lot.strip()[:80], card_id=card_id, by=who)
    if earlier := KitNote.objects.filter(job=job, lot=note.lot, card_id=card_id).first():
        ask_again(f"Lot {note.lot} was already saved, by {earlier.by}. Save again?")
    journal.record(note, "kit noted", f"job/{job.number}", actor=who.username, at=at)
    return note


@journal.locked()
def mark_done(
    job: Job,
    step_id: str,
    *,
    finding_id: str = "",
    remark: str = "",
    no_photo: str = "",
    who: Person,
    at: datetime,
) -> StepMark:
    """Mark a step done, with what was found. A step with a reading or a photo needs that first."""
    sheet = lock_open_job(job)
    line = sheet.step(step_id)
    if line.done:
        assert line.mark is not None
        raise VisitError(
            f"Step {line.number} is marked done already, by {line.mark.by}. Nothing was changed."
        )
    hold_points.refuse_where_held(sheet, line)
    if line.limit and not line.answered:
        raise VisitError(
            f"Step {line.number} needs a reading: {line.limit.title}. Save it first, or type why it is not taken."
        )
    if line.step.findings and finding_id not in {f.id for f in line.step.findings}:
        raise VisitError(f"Step {line.number} asks what you found. Choose one, then mark it done.")
    refuse_unconfirmed(job, line, who)
    missing = queries.photo_missing(job, line)
    if missing and not no_photo.strip():
        raise VisitError(f"Step {line.number} needs a photo. Add one, or type why there is none.")
    mark = StepMark(
        job=job,
        step_id=line.step.id,
        state=StepMark.State.DONE,
        finding_id=finding_id,
        remark=remark,
        no_photo=no_photo.strip()[:300] if missing else "",
        by=who,
        at=at,
    )
    journal.record(mark, "step done", f"job/{job.number}", actor=who.username, at=at)
    return mark


@journal.locked()
def reopen(job: Job, step_id: str, reason: str, *, who: Person, at: datetime) -> StepMark:
    """Open a step again. What was recorded stays; a second check of it no longer counts."""
    line = lock_open_job(job).step(step_id)
    if not line.done:
        raise VisitError(f"Step {line.number} is open already. Nothing was changed.")
    if not reason.strip():
        raise VisitError("Type why the step is reopened. Nothing was changed.")
    return open_again(job, line.step.id, reason.strip(), who, at)
