"""Writes to the programme: tasks done, what the workshop decided, calendar addresses, reminders sent."""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.core.mail import EmailMessage
from django.utils.timezone import localdate

from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.kernel import actions as journal
from tickover.workshop.kernel.idempotency import ask_again_of
from tickover.workshop.kernel.refusal import RefusedError
from tickover.workshop.people.models import Person
from tickover.workshop.programme import decisions, feed, queries
from tickover.workshop.programme.feed import Appointment
from tickover.workshop.programme.models import (
    FeedAddress,
    FeedWithdrawn,
    HoursNote,
    LastTimeNotKnown,
    ProgrammeSetting,
    ReminderSent,
    SentDate,
    TaskDone,
)
from tickover.workshop.register import queries as register
from tickover.workshop.register.models import Engine, Owner

ANCHORS = ("planned", "actual")


class ProgrammeError(RefusedError):
    """Something cannot be recorded; the text is a sentence for the person who tried, about `field`."""

    def __init__(self, sentence: str, field: str | None = None) -> None:
        super().__init__(sentence)
        self.field = field


@dataclass(frozen=True)
class Letter:
    """A reminder as it is sent: to whom, its title and its text."""

    to: str
    title: str
    text: str


@journal.locked()
def record_done(
    engine: Engine,
    task_id: str,
    done_on: date,
    at_h: float,
    reference: str,
    *,
    brought_forward: bool = False,
    who: Person,
    at: datetime,
) -> TaskDone:
    """Record a task as done, with the point it was planned for, from which the next may be counted.

    `brought_forward` from a book of its own: when it had been due there is not known, so the next counts from the work.
    """
    try:
        due = None if brought_forward else queries.planned_point(engine, task_id)
    except LookupError:
        # A newer sheet has dropped the task while its job was open: the work still counts as done.
        due = None
    row = TaskDone(
        engine=engine,
        task_id=task_id,
        done_on=done_on,
        at_h=at_h,
        planned_on=date.fromordinal(due.due_day) if due and due.due_day else None,
        planned_h=due.due_h if due else None,
        reference=reference,
    )
    journal.record(row, "task done", f"engine/{engine.serial}", actor=who.username, at=at)
    return row


@journal.locked()
def note_not_known(
    engine: Engine, task_id: str, source: str, *, who: Person, at: datetime
) -> LastTimeNotKnown:
    """Note that nobody knows when a task was last done, and by what book; "" for every task without an entry."""
    if not source.strip():
        raise ProgrammeError("Type which logbook was read. Nothing was saved.", "source")
    row = LastTimeNotKnown(
        engine=engine, task_id=task_id, noted_on=localdate(at), source=source.strip()[:300], by=who
    )
    kind = "last time not known" if task_id else "last times not known"
    journal.record(row, kind, f"engine/{engine.serial}", actor=who.username, at=at)
    return row


@journal.locked()
def record_baseline(engine: Engine, words: str, *, who: Person, at: datetime) -> TaskDone:
    """Record the baseline inspection of an engine whose hours are not known, and where its findings are."""
    if not words.strip():
        raise ProgrammeError("Type where its findings are recorded. Nothing was recorded.")
    done_before = TaskDone.objects.filter(engine=engine, task_id=decisions.BASELINE.id, done_on=localdate(at))
    if done_before.filter(reference=words.strip()[:60]).exists():
        raise ProgrammeError("This baseline inspection is recorded already. Nothing was recorded.")
    row = TaskDone(
        engine=engine,
        task_id=decisions.BASELINE.id,
        done_on=localdate(at),
        at_h=engine_time.total_time(engine).hours_h,
        reference=words.strip()[:60],
    )
    journal.record(row, "baseline inspection done", f"engine/{engine.serial}", actor=who.username, at=at)
    return row


@journal.locked()
def note_hours(engine: Engine, reason: str, *, known: bool, who: Person, at: datetime) -> HoursNote:
    """Note that an engine's hours are not known, or that they are known again, and why."""
    if not reason.strip():
        raise ProgrammeError("Type why. Nothing was saved.")
    earlier = HoursNote.objects.filter(engine=engine).order_by("-entry_sequence").first()
    if earlier and (earlier.known, earlier.noted_on, earlier.reason) == (
        known,
        localdate(at),
        reason.strip()[:300],
    ):
        ask_again_of("this note", localdate(at), earlier.by)
    row = HoursNote(engine=engine, known=known, noted_on=localdate(at), reason=reason.strip()[:300], by=who)
    kind = "hours known" if known else "hours not known"
    journal.record(row, kind, f"engine/{engine.serial}", actor=who.username, at=at)
    return row


@journal.locked()
def set_anchor(sheet_id: str, anchor: str, reason: str, *, who: Person, at: datetime) -> ProgrammeSetting:
    """Count on from the planned or the actual point for every task of a sheet; "" leaves it to the sheet."""
    register.newest_sheet(sheet_id)
    if anchor not in ("", *ANCHORS):
        raise ProgrammeError("Choose the planned or the actual point, or leave it to the sheet.")
    if not reason.strip():
        raise ProgrammeError("Type the rule or reason. Nothing was changed.")
    row = ProgrammeSetting(sheet_id=sheet_id, anchor=anchor, reason=reason.strip()[:300])
    journal.record(row, "anchor set", f"sheet/{sheet_id}", actor=who.username, at=at)
    return row


@journal.locked()
def make_feed(
    *, engine: Engine | None = None, owner: Owner | None = None, who: Person, at: datetime
) -> tuple[FeedAddress, str]:
    """A private calendar address of an engine, or of all of an owner's engines, and its secret.

    The secret is returned here and kept nowhere.
    """
    if (engine is None) == (owner is None):
        raise ValueError("a calendar address is for an engine or for an owner")
    secret = secrets.token_urlsafe(32)
    row = FeedAddress(token_sha256=feed.digest(secret), engine=engine, owner=owner, made_by=who, made_at=at)
    subject = f"engine/{engine.serial}" if engine else f"owner/{owner.name if owner else ''}"
    journal.record(row, "calendar address made", subject, actor=who.username, at=at)
    return row, secret


@journal.locked()
def withdraw_feed(address: FeedAddress, *, who: Person, at: datetime) -> FeedWithdrawn:
    """From now on the address answers as if it had never been."""
    FeedAddress.objects.select_for_update(no_key=True).get(pk=address.pk)
    if FeedWithdrawn.objects.filter(address=address).exists():
        raise ProgrammeError("This address was withdrawn already. Nothing was changed.")
    row = FeedWithdrawn(address=address, by=who, at=at)
    subject = (
        f"engine/{address.engine.serial}"
        if address.engine
        else f"owner/{address.owner.name if address.owner else ''}"
    )
    journal.record(row, "calendar address withdrawn", subject, actor=who.username, at=at)
    return row


@journal.locked()
def remember_dates(planned: Sequence[Appointment], *, at: datetime) -> dict[str, SentDate]:
    """Note the days that calendars are told, by UID; where one moved, its sequence rises.

    No journal entry: nothing is decided here, and a calendar asks every hour.
    """
    kept = SentDate.objects.filter(engine__in={a.engine.pk for a in planned})
    known = {(row.engine_id, row.task_id): row for row in kept}
    sent = {}
    for one in planned:
        row = known.get((one.engine.pk, one.key))
        if row is None:
            row = SentDate.objects.create(engine=one.engine, task_id=one.key, day=one.day, moved_at=at)
        elif row.day != one.day:
            row.day, row.sequence, row.moved_at = one.day, row.sequence + 1, at
            row.save()
        sent[one.uid] = row
    return sent


def send_reminder(owner: Owner, letter: Letter, *, who: Person, at: datetime) -> ReminderSent:
    """Mail a reminder. The entry stands only if the mail was taken; OSError or SMTPException if not."""
    # The form is claimed first, so that no letter goes out twice; the journal is free while the mail server answers.
    with journal.locked():
        same = ReminderSent.objects.filter(owner=owner, text=letter.text, at__date=localdate(at))
        if earlier := same.first():
            ask_again_of("this letter", localdate(at), earlier.by)
    EmailMessage(letter.title, letter.text, to=[letter.to]).send()
    row = ReminderSent(owner=owner, to=letter.to, title=letter.title, text=letter.text, by=who, at=at)
    with journal.locked():
        journal.record(row, "reminder sent", f"owner/{owner.name}", actor=who.username, at=at)
    return row
