"""Writes to the programme."""

from __future__ import annotations

from datetime import date, datetime

from django.db import transaction

from tickover.workshop.journal import actions as journal
from tickover.workshop.people.models import Person
from tickover.workshop.programme import queries
from tickover.workshop.programme.models import TaskDone
from tickover.workshop.register.models import Engine


@transaction.atomic
def record_done(
    engine: Engine, task_id: str, done_on: date, at_h: float, reference: str, *, who: Person, at: datetime
) -> TaskDone:
    """Record a task as done, with the point it was planned for, from which the next may be counted."""
    due = queries.due_of(engine, task_id, done_on).due
    row = TaskDone(
        engine=engine,
        task_id=task_id,
        done_on=done_on,
        at_h=at_h,
        planned_on=date.fromordinal(due.due_day) if due.due_day else None,
        planned_h=due.due_h,
        reference=reference,
    )
    journal.record(row, "task done", f"engine/{engine.serial}", actor=who.username, at=at)
    return row
