"""What was recorded of some jobs, read in a fixed number of questions however many jobs are asked for."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any, TypeVar

from django.db import connection
from django.db.models import Model

from tickover.workshop.people.models import Person
from tickover.workshop.visits import deferred_findings
from tickover.workshop.visits.models import (
    AddedTask,
    Arrival,
    Closure,
    ComposedCard,
    ExceedanceAnswer,
    FirstTaskDropped,
    HandOver,
    Job,
    KitNote,
    NotMeasured,
    Pause,
    Reading,
    Release,
    Remark,
    SecondCheck,
    StepMark,
    TaskRemoved,
)

R = TypeVar("R", AddedTask, Remark, HandOver, ExceedanceAnswer)
M = TypeVar("M", bound=Model)
TABLES: tuple[type[Model], ...] = (
    StepMark,
    Reading,
    NotMeasured,
    AddedTask,
    Pause,
    ExceedanceAnswer,
    ComposedCard,
    FirstTaskDropped,
    KitNote,
    Remark,
    HandOver,
    Arrival,
    Release,
    Closure,
)
"""Those whose rows are of a job."""
Signed = (
    StepMark
    | Reading
    | SecondCheck
    | NotMeasured
    | AddedTask
    | Pause
    | ExceedanceAnswer
    | Remark
    | HandOver
    | Release
    | Closure
)


@dataclass(frozen=True)
class Rows:
    """What was recorded of some jobs, by job and step."""

    marks: dict[tuple[int, str], StepMark]
    last_found: dict[tuple[int, str], str]
    """The finding of the last time each step was done, also where it was opened again since."""
    readings: dict[tuple[int, str], list[Reading]]
    checks: dict[int, SecondCheck]
    skipped: dict[tuple[int, str], NotMeasured]
    added: dict[int, list[AddedTask]]
    pauses: dict[int, Pause]
    deferred: set[tuple[int, str, str]]
    answers: dict[int, list[ExceedanceAnswer]] = field(default_factory=dict)
    composed: dict[int, ComposedCard] = field(default_factory=dict)
    """The newest of each."""
    first_dropped: frozenset[int] = frozenset()
    """Jobs of which the task they were opened for was dropped."""
    arrivals: dict[int, Arrival] = field(default_factory=dict)
    lots: dict[tuple[int, str], str] = field(default_factory=dict)
    remarks: dict[int, list[Remark]] = field(default_factory=dict)
    hand_overs: dict[int, list[HandOver]] = field(default_factory=dict)
    releases: dict[int, Release] = field(default_factory=dict)
    closures: dict[int, Closure] = field(default_factory=dict)


def rows_of(jobs: list[Job]) -> Rows:
    """What was done, in a fixed number of narrow questions: a wide one costs more to put than to answer."""
    return _done(_OfJobs(jobs))


def rows_for_pages(jobs: list[Job]) -> Rows:
    """The same with lots and ends, and everybody who signed something read at once, as a page names them."""
    return _for_pages(_OfJobs(jobs))


def rows_for_a_write(job: Job) -> Rows:
    """What was done in an open job; of one that has ended all, since a refusal names who ended it."""
    of_this = _OfJobs([job])
    return _for_pages(of_this) if of_this.some_of(Release, Closure) else _done(of_this)


class _OfJobs:
    """The rows of some jobs, table by table.

    Every write on the bench reads its job first. So of one job a short question says which tables have any of its
    rows, and rows are asked for in plain SQL: making it anew from a query costs four times as much as the answer.
    """

    def __init__(self, jobs: list[Job]) -> None:
        self.keys = [job.pk for job in jobs]
        tables = (*TABLES, *deferred_findings.tables())
        self._tables = _tables_of(self.keys[0], tables) if len(jobs) == 1 else frozenset(tables)

    def some_of(self, *tables: type[Model]) -> bool:
        """Whether one of these tables may have rows of the jobs."""
        return not self._tables.isdisjoint(tables)

    def rows(self, table: type[M]) -> Iterable[M]:
        """In the order they were written."""
        if not self.keys or not self.some_of(table):
            return ()
        return table._default_manager.raw(f"SELECT * FROM {self._own(table)} ORDER BY id", self.keys)

    def about(self, rows: type[Model], column: str, table: type[M]) -> Iterable[M]:
        """Those of a table that name one of the rows of another in a column."""
        if not self.keys or not self.some_of(rows):
            return ()
        own = f"SELECT id FROM {self._own(rows)}"
        return table._default_manager.raw(
            f"SELECT * FROM {_name(table)} WHERE {column} IN ({own})", self.keys
        )

    def deferred(self) -> set[tuple[int, str, str]]:
        """(job, step, finding) that were put off."""
        return deferred_findings.of_jobs(self.keys) if self.some_of(*deferred_findings.tables()) else set()

    def _own(self, table: type[Model]) -> str:
        return f"{_name(table)} WHERE job_id IN ({', '.join(['%s'] * len(self.keys))})"


def _tables_of(job_pk: int, tables: tuple[type[Model], ...]) -> frozenset[type[Model]]:
    """Those of some tables that have rows of a job."""
    with connection.cursor() as cursor:
        cursor.execute(_which_of(tables), [job_pk] * len(tables))
        (found,) = cursor.fetchall()
    return frozenset(table for table, there in zip(tables, found, strict=True) if there)


@cache
def _which_of(tables: tuple[type[Model], ...]) -> str:
    asked = (f"EXISTS (SELECT 1 FROM {_name(table)} WHERE job_id = %s)" for table in tables)
    return f"SELECT {', '.join(asked)}"


def _name(table: type[Model]) -> str:
    return connection.ops.quote_name(table._meta.db_table)


def _done(of_these: _OfJobs) -> Rows:
    marks = list(of_these.rows(StepMark))
    readings: dict[tuple[int, str], list[Reading]] = defaultdict(list)
    for row in of_these.rows(Reading):
        readings[row.job_id, row.step_id].append(row)
    removed = {row.added_id for row in of_these.about(AddedTask, "added_id", TaskRemoved)}
    return Rows(
        {(m.job_id, m.step_id): m for m in marks},
        {(m.job_id, m.step_id): m.finding_id for m in marks if m.state == StepMark.State.DONE},
        readings,
        {c.mark_id: c for c in of_these.about(StepMark, "mark_id", SecondCheck)},
        {(n.job_id, n.step_id): n for n in of_these.rows(NotMeasured)},
        _by_job(row for row in of_these.rows(AddedTask) if row.pk not in removed),
        {p.job_id: p for p in of_these.rows(Pause)},
        of_these.deferred(),
        _by_job(of_these.rows(ExceedanceAnswer)),
        {c.job_id: c for c in of_these.rows(ComposedCard)},
        frozenset(row.job_id for row in of_these.rows(FirstTaskDropped)),
    )


def _for_pages(of_these: _OfJobs) -> Rows:
    rows = replace(
        _done(of_these),
        lots={(n.job_id, n.card_id): n.lot for n in of_these.rows(KitNote)},
        remarks=_by_job(of_these.rows(Remark)),
        hand_overs=_by_job(of_these.rows(HandOver)),
        arrivals={a.job_id: a for a in of_these.rows(Arrival)},
        releases={r.job_id: r for r in of_these.rows(Release)},
        closures={c.job_id: c for c in of_these.rows(Closure)},
    )
    _name_signers(rows)
    return rows


def _name_signers(rows: Rows) -> None:
    by_step: tuple[Mapping[Any, Signed], ...] = (rows.marks, rows.checks, rows.skipped)
    by_job: tuple[Mapping[int, Signed], ...] = (rows.pauses, rows.releases, rows.closures)
    several: tuple[Mapping[Any, Sequence[Signed]], ...] = (
        rows.readings,
        rows.added,
        rows.answers,
        rows.remarks,
    )
    given = [row for own in rows.hand_overs.values() for row in own]
    signed = [row for table in (*by_step, *by_job) for row in table.values()]
    signed += [row for table in several for own in table.values() for row in own]
    people = Person.objects.in_bulk({row.by_id for row in (*signed, *given)} | {row.to_id for row in given})
    for row in (*signed, *given):
        row.by = people[row.by_id]
    for row in given:
        row.to = people[row.to_id]


def _by_job(rows: Iterable[R]) -> dict[int, list[R]]:
    """Rows by their job, in the order they were written."""
    found: dict[int, list[R]] = defaultdict(list)
    for row in rows:
        found[row.job_id].append(row)
    return found
