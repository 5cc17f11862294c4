"""Writes that begin a visit: one engine taken in for everything that is to be done to it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from django.utils.timezone import localdate

from tickover.language.amounts import day
from tickover.sheets import TaskRow, TypeSheet, UnknownRowError
from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.kernel import actions as journal
from tickover.workshop.kernel.numbering import next_number
from tickover.workshop.people.models import Person
from tickover.workshop.register import queries as register
from tickover.workshop.register.models import Engine
from tickover.workshop.visits import queries
from tickover.workshop.visits.composing import compose
from tickover.workshop.visits.lock_open_job import VisitError
from tickover.workshop.visits.models import AddedTask, Arrival, Job

LONGEST = 2000


class VisitRunningError(VisitError):
    """The engine is in already; `number` is the job that is open."""

    def __init__(self, number: str, sentence: str) -> None:
        super().__init__(sentence)
        self.number = number


@dataclass(frozen=True)
class ArrivalWords:
    """What is known when an engine comes in."""

    owner_says: str = ""
    condition: str = ""
    came_with: str = ""
    promised_on: date | None = None


@journal.locked()
def start_visit(
    engine: Engine, scope: Mapping[str, str], arrival: ArrivalWords, *, who: Person, at: datetime
) -> Job:
    """Take an engine in for the tasks of a scope, each with why it is in it; they become one card.

    A task that a greater one of the scope does as well needs no line of its own. Raises VisitRunningError where the
    engine is in already, and LookupError for a task that this build does not have.
    """
    if running := Job.objects.filter(engine=engine, release=None, closure=None).order_by("number").first():
        raise VisitRunningError(
            running.number, f"{engine.name} is in already: {running.number} is open. Nothing was started."
        )
    version = register.newest_sheet_version(engine.sheet_id)
    sheet = queries.sheet_for(version, engine.build_id)
    tasks = _tasks(sheet, scope)
    _well_said(arrival, at)
    first, *more = tasks
    job = Job(
        number=next_number(Job, at),
        engine=engine,
        sheet=version,
        task_id=first.id,
        card_id=first.card or "",
        opened_by=who,
        opened_at=at,
        engine_h=engine_time.total_time(engine).hours_h,
    )
    journal.record(job, "visit opened", f"job/{job.number}", actor=who.username, at=at, engine=engine.serial)
    for task in more:
        why, card = scope[task.id][:500], task.card or ""
        row = AddedTask(
            job=job, task_id=task.id, card_id=card, occasion=AddedTask.Occasion.SCOPE, why=why, by=who, at=at
        )
        journal.record(row, "task added to visit", f"job/{job.number}", actor=who.username, at=at)
    came = Arrival(
        job=job,
        owner_says=arrival.owner_says.strip(),
        condition=arrival.condition.strip(),
        came_with=arrival.came_with.strip(),
        promised_on=arrival.promised_on,
        scope=[{"task": name, "why": why} for name, why in scope.items()],
        by=who,
        at=at,
    )
    journal.record(
        came, "visit started", f"job/{job.number}", actor=who.username, at=at, engine=engine.serial
    )
    compose(job, who=who, at=at)
    return job


def _tasks(sheet: TypeSheet, scope: Mapping[str, str]) -> list[TaskRow]:
    """The tasks of a scope in the order of the programme, without those that another does as well."""
    if not scope:
        raise VisitError("Tick one task at least. Nothing was started.")
    for name in scope:
        try:
            task = sheet.task(name)
        except UnknownRowError as error:
            raise LookupError(str(error)) from error
        if task.card is None:
            raise VisitError(
                f"The sheet has no work card for “{task.title}” yet. Untick it. Nothing was started."
            )
    within = {lesser for name in scope for lesser in sheet.contained(name)}
    return [task for task in sheet.programme if task.id in scope and task.id not in within]


def _well_said(arrival: ArrivalWords, at: datetime) -> None:
    if max(len(arrival.owner_says), len(arrival.condition)) > LONGEST or len(arrival.came_with) > 500:
        raise VisitError(
            "A text is too long: 2,000 characters at most, 500 for what came with it. Nothing was started."
        )
    if arrival.promised_on and arrival.promised_on < localdate(at):
        raise VisitError(
            f"The promised day, {day(arrival.promised_on)}, is over already. Nothing was started."
        )
