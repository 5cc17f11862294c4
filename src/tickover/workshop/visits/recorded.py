"""What was recorded of some jobs, read in a fixed number of questions however many jobs are asked for."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field, replace
from typing import TypeVar

from django.db.models import QuerySet

from tickover.workshop.people.models import Person
from tickover.workshop.visits import deferred_findings
from tickover.workshop.visits.models import (
    AddedTask,
    Arrival,
    Closure,
    ComposedCard,
    ExceedanceAnswer,
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
)

R = TypeVar("R", AddedTask, Remark, HandOver, ExceedanceAnswer)
Signed = StepMark | Reading | SecondCheck | NotMeasured | Release | Closure


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
    arrivals: dict[int, Arrival] = field(default_factory=dict)
    lots: dict[tuple[int, str], str] = field(default_factory=dict)
    remarks: dict[int, list[Remark]] = field(default_factory=dict)
    hand_overs: dict[int, list[HandOver]] = field(default_factory=dict)
    releases: dict[int, Release] = field(default_factory=dict)
    closures: dict[int, Closure] = field(default_factory=dict)


def rows_of(jobs: list[Job]) -> Rows:
    """What was done, in a fixed number of narrow questions: a wide one costs more to put than to answer."""
    of_these = {"job__in": [job.pk for job in jobs]}
    marks = list(StepMark.objects.filter(**of_these).order_by("id"))
    readings: dict[tuple[int, str], list[Reading]] = defaultdict(list)
    for row in Reading.objects.filter(**of_these).order_by("id"):
        readings[row.job_id, row.step_id].append(row)
    checks = SecondCheck.objects.filter(mark__in=[mark.pk for mark in marks])
    return Rows(
        {(m.job_id, m.step_id): m for m in marks},
        {(m.job_id, m.step_id): m.finding_id for m in marks if m.state == StepMark.State.DONE},
        readings,
        {c.mark_id: c for c in checks},
        {(n.job_id, n.step_id): n for n in NotMeasured.objects.filter(**of_these).order_by("id")},
        _by_job(AddedTask.objects.filter(**of_these, removed=None).select_related("by")),
        {p.job_id: p for p in Pause.objects.filter(**of_these).select_related("by").order_by("id")},
        deferred_findings.of_jobs(of_these["job__in"]),
        _by_job(ExceedanceAnswer.objects.filter(**of_these).select_related("by")),
        {c.job_id: c for c in ComposedCard.objects.filter(**of_these).order_by("id")},
    )


def rows_for_pages(jobs: list[Job]) -> Rows:
    """The same with lots and ends, and everybody who signed something read at once, as a page names them."""
    of_these, done = {"job__in": [job.pk for job in jobs]}, rows_of(jobs)
    rows = replace(
        done,
        lots={(n.job_id, n.card_id): n.lot for n in KitNote.objects.filter(**of_these).order_by("id")},
        remarks=_by_job(Remark.objects.filter(**of_these).select_related("by")),
        hand_overs=_by_job(HandOver.objects.filter(**of_these).select_related("by", "to")),
        arrivals={a.job_id: a for a in Arrival.objects.filter(**of_these)},
        releases={r.job_id: r for r in Release.objects.filter(**of_these)},
        closures={c.job_id: c for c in Closure.objects.filter(**of_these)},
    )
    read = [row for own in rows.readings.values() for row in own]
    ends: list[Release | Closure] = [*rows.releases.values(), *rows.closures.values()]
    _name_signers([*rows.marks.values(), *read, *rows.checks.values(), *rows.skipped.values(), *ends])
    return rows


def _name_signers(rows: list[Signed]) -> None:
    signers = Person.objects.in_bulk({row.by_id for row in rows})
    for row in rows:
        row.by = signers[row.by_id]


def _by_job(rows: QuerySet[R]) -> dict[int, list[R]]:
    """Rows by their job, in the order they were written."""
    found: dict[int, list[R]] = defaultdict(list)
    for row in rows.order_by("id"):
        found[row.job_id].append(row)
    return found
