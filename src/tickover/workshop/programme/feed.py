"""The private calendar of an engine or an owner: one event for each task, which moves when its date moves.

A task stands on the day by which it is due with 50 % probability. Its UID never changes, so that a calendar
moves the event it has and adds no second one; SEQUENCE rises with each move (RFC 5545, 3.8.4.7 and 3.8.7.4).
"""

from __future__ import annotations

import hashlib
import hmac
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from tickover.formats.calendar import Event, stable_uid, write_calendar
from tickover.workshop.programme import bulletins, queries
from tickover.workshop.programme.models import FeedAddress, SentDate
from tickover.workshop.register import queries as register
from tickover.workshop.register.models import Engine

DOMAIN = "tickover.invalid"
ALARM_DAYS = 14
CAUTION = "The maker’s manual for the exact engine, local rules and licensed practice come first."


@dataclass(frozen=True)
class Appointment:
    """A task on the day it is expected to be due."""

    engine: Engine
    key: str
    day: date
    summary: str
    description: str

    @property
    def uid(self) -> str:
        return f"{stable_uid(self.engine.serial, self.key)}@{DOMAIN}"


def digest(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()


def address_of(secret: str) -> FeedAddress | None:
    """The address with this secret, unless it was withdrawn.

    It is looked up by its hash, so that how long the answer takes tells nothing of the secret.
    """
    wanted = digest(secret)
    rows = FeedAddress.objects.select_related("engine__owner", "owner")
    found = rows.filter(token_sha256=wanted, withdrawn=None).first()
    return found if found is not None and hmac.compare_digest(found.token_sha256, wanted) else None


def addresses_for(engine: Engine) -> list[FeedAddress]:
    """Every address in which this engine stands, its owner's among them, newest first."""
    rows = FeedAddress.objects.select_related("engine", "owner", "made_by", "withdrawn__by")
    return [*(rows.filter(engine=engine) | rows.filter(owner=engine.owner)).order_by("-id")]


def engines_of(address: FeedAddress) -> list[Engine]:
    if address.engine is not None:
        return [address.engine]
    return list(register.engines().filter(owner=address.owner))


def name_of(address: FeedAddress) -> str:
    """What a calendar shows as its title."""
    return (
        address.engine.name if address.engine else f"Engines of {address.owner.name if address.owner else ''}"
    )


def appointments(address: FeedAddress, today: date) -> list[Appointment]:
    """What is due on the engines of an address; tasks on condition have no day and stand in no calendar."""
    engines = engines_of(address)
    tasks = [
        _of_task(line)
        for engine in queries.engine_lines(engines, today)
        for line in engine.lines
        if line.due.due_h is not None or line.due.due_day is not None
    ]
    asked = [_of_bulletin(b) for b in bulletins.lines(engines, today) if b.due and b.due.due_day is not None]
    return tasks + asked


def calendar(
    address: FeedAddress, planned: list[Appointment], sent: Mapping[str, SentDate], at: datetime
) -> bytes:
    """The calendar as it is sent, each event with the sequence of its last move."""
    events = [
        Event(
            uid=one.uid,
            day=one.day,
            summary=one.summary,
            description=one.description,
            sequence=sent[one.uid].sequence,
            last_modified=sent[one.uid].moved_at,
            alarm_days=ALARM_DAYS,
        )
        for one in planned
    ]
    return write_calendar(events, name=name_of(address), stamp=at)


def _of_task(line: queries.DueLine) -> Appointment:
    words = f"{line.sentence[0].upper()}{line.sentence[1:]}.\n{line.why}\n{CAUTION}"
    summary = f"{line.engine.name}: {line.task.title}"
    return Appointment(line.engine, line.task.id, _day_of(line), summary, words)


def _day_of(line: queries.DueLine) -> date:
    """The middle of the forecast; once a task is due, the day it became so, which stands still."""
    if line.state not in ("due", "over tolerance"):
        return line.heading.day_50
    passed = [d for d in (line.due_on, _hours_passed_on(line)) if d is not None and d <= line.today]
    return min(passed, default=line.today)


def _hours_passed_on(line: queries.DueLine) -> date | None:
    total = 0.0
    for day, hours, _ in line.entries:
        total += hours
        if line.due.due_h is not None and total >= line.due.due_h:
            return day
    return None


def _of_bulletin(line: bulletins.BulletinLine) -> Appointment:
    assert line.due is not None and line.due.due_day is not None
    words = f"{line.sentence[0].upper()}{line.sentence[1:]}.\n{line.bulletin.method}\n{CAUTION}"
    title = f"{line.engine.name}: {line.bulletin.identifier}, {line.bulletin.title}"
    key = f"bulletin {line.bulletin.identifier}"
    return Appointment(line.engine, key, date.fromordinal(line.due.due_day), title, words)
