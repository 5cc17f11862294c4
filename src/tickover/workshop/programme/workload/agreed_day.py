"""Writes the day that was agreed with an owner for the next visit of an engine."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from django.utils.timezone import localdate

from tickover.language.amounts import day
from tickover.workshop.kernel import actions as journal
from tickover.workshop.kernel.refusal import RefusedError
from tickover.workshop.people.models import Person
from tickover.workshop.programme.models import AgreedDay
from tickover.workshop.register.models import Engine

FURTHEST = timedelta(days=366)


class AgreedDayError(RefusedError):
    """A day that cannot be agreed."""


@journal.locked()
def agree(engine: Engine, on_day: date | None, *, who: Person, at: datetime) -> AgreedDay:
    """Keep the day of the next visit of an engine; None gives it free again."""
    today = localdate(at)
    if on_day is not None and not today <= on_day <= today + FURTHEST:
        raise AgreedDayError(
            f"{day(on_day)} is over, or more than a year away. Choose a day from today on. Nothing was changed."
        )
    row = AgreedDay(engine=engine, on_day=on_day, by=who, at=at)
    journal.record(row, "visit agreed", f"engine/{engine.serial}", actor=who.username, at=at)
    return row
