"""Writes about bulletins: keep one, revise it, record what was done about it on an engine."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.utils.timezone import localdate

from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.kernel import actions as journal
from tickover.workshop.kernel.idempotency import ask_again_of
from tickover.workshop.people.models import Person
from tickover.workshop.programme.actions import ProgrammeError
from tickover.workshop.programme.models import Bulletin, BulletinDone
from tickover.workshop.register import queries as register
from tickover.workshop.register.models import Engine


@dataclass(frozen=True)
class BulletinWords:
    """A bulletin as it was read: for which engines, by when, how often, and how to comply."""

    identifier: str
    issued_by: str
    title: str
    sheet_id: str
    issued_on: date
    method: str
    mandatory: bool = False
    builds: tuple[str, ...] = ()
    serial_from: int | None = None
    serial_to: int | None = None
    within_h: float | None = None
    due_on: date | None = None
    every_h: float | None = None
    every_months: int | None = None
    cancelled_because: str = ""


@dataclass(frozen=True)
class Compliance:
    """What was done or decided about a bulletin: the outcome, the day, the method used or the reason."""

    outcome: str
    done_on: date
    words: str


@journal.locked()
def add_bulletin(words: BulletinWords, *, who: Person, at: datetime) -> Bulletin:
    _refuse(words)
    if Bulletin.objects.filter(identifier=words.identifier).exists():
        raise ProgrammeError(
            f"{words.identifier} is already here. Revise that one. Nothing was added.", "identifier"
        )
    return _keep(words, None, "bulletin kept", who, at)


@journal.locked()
def revise_bulletin(old: Bulletin, words: BulletinWords, *, who: Person, at: datetime) -> Bulletin:
    """Keep a newer reading of the same bulletin. What was recorded under the old one stays."""
    _refuse(words)
    if Bulletin.objects.filter(replaces=old).exists():
        raise ProgrammeError("This reading was revised already; revise the newest one. Nothing was changed.")
    if words.identifier != old.identifier:
        raise ProgrammeError(
            f"A revision keeps its identifier, {old.identifier}. Nothing was changed.", "identifier"
        )
    return _keep(words, old, "bulletin revised", who, at)


@journal.locked()
def record_bulletin(
    bulletin: Bulletin, engine: Engine, given: Compliance, *, who: Person, at: datetime
) -> BulletinDone:
    """Record a bulletin as done, as not applicable with its reason, or as not wanted by the owner."""
    _refuse_compliance(bulletin, engine, given, at)
    earlier = BulletinDone.objects.filter(engine=engine, identifier=bulletin.identifier).last()
    if earlier and (earlier.outcome, earlier.done_on) == (given.outcome, given.done_on):
        ask_again_of(f"{bulletin.identifier} as {given.outcome}", given.done_on, earlier.by)
    row = BulletinDone(
        bulletin=bulletin,
        identifier=bulletin.identifier,
        engine=engine,
        outcome=given.outcome,
        done_on=given.done_on,
        at_h=engine_time.total_time(engine, until=given.done_on).hours_h,
        words=given.words.strip(),
        by=who,
    )
    kind = f"bulletin {given.outcome}"
    journal.record(row, kind, f"engine/{engine.serial}", actor=who.username, at=at)
    return row


def _keep(words: BulletinWords, old: Bulletin | None, kind: str, who: Person, at: datetime) -> Bulletin:
    columns: dict[str, Any] = {**vars(words), "builds": list(words.builds)}
    row = Bulletin(**columns, entered_by=who, replaces=old)
    journal.record(row, kind, f"bulletin/{words.identifier}", actor=who.username, at=at)
    return row


def _refuse(words: BulletinWords) -> None:
    try:
        sheet = register.newest_sheet(words.sheet_id)
    except LookupError as error:
        raise ProgrammeError(f"There is {error}. Choose a type from the list.", "sheet_id") from error
    known = {build.id for build in sheet.builds}
    if odd := sorted(set(words.builds) - known):
        raise ProgrammeError(f"{sheet.title} has no build {odd[0]!r}. Nothing was saved.", "builds")
    first, last = words.serial_from, words.serial_to
    if first is not None and last is not None and first > last:
        raise ProgrammeError("The first serial number is above the last. Nothing was saved.", "serial_from")
    if words.due_on is not None and words.due_on < words.issued_on:
        raise ProgrammeError("It would be due before it was issued. Nothing was saved.", "due_on")


def _refuse_compliance(bulletin: Bulletin, engine: Engine, given: Compliance, at: datetime) -> None:
    if bulletin.sheet_id != engine.sheet_id:
        raise ProgrammeError(f"{bulletin.identifier} is for another type. Nothing was recorded.")
    if given.outcome not in BulletinDone.Outcome.values:
        raise ProgrammeError("Choose what was done or decided. Nothing was recorded.")
    if not given.words.strip():
        asked = "how it was complied with" if given.outcome == BulletinDone.Outcome.DONE else "the reason"
        raise ProgrammeError(f"Type {asked}. Nothing was recorded.")
    if given.outcome == BulletinDone.Outcome.DECLINED and bulletin.mandatory:
        raise ProgrammeError(
            f"{bulletin.identifier} is mandatory: it is not for the owner to leave it undone. "
            "Nothing was recorded."
        )
    if given.done_on > localdate(at):
        raise ProgrammeError(f"{given.done_on:%d %b %Y} is still to come. Nothing was recorded.")
