"""What the records make likelier before any look: what the last work touched, what work overdue keeps away.

Each ground multiplies the odds of the causes it touches. The factors are a rule of thumb; a session writes down those
it began with, and each can be altered there.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime

from django.utils import timezone

from tickover.language.amounts import hours, per_cent
from tickover.science.planning.access import opened_for
from tickover.sheets import TaskRow
from tickover.workshop.fault_finding import queries
from tickover.workshop.fault_finding.models import Session
from tickover.workshop.fault_finding.session_state import SessionSheet, ended_at
from tickover.workshop.programme import queries as programme
from tickover.workshop.visits import queries as visits
from tickover.workshop.visits.models import Job

AUTHORITY = "common practice, no source"
RECENT_H, RECENT_DAYS = 25.0, 90
CAME_BACK, JUST_DONE, OVERDUE = 3.0, 2.0, 2.0
FACTORS = (0.5, 1.0, 1.5, 2.0, 3.0, 5.0)
LATE = "over tolerance"
NEAR, NEAR_TOLD = 0.75, 3
"""Share of a task's hours gone from which they are told [-], and of how many tasks."""


@dataclass(frozen=True)
class PriorAdjustment:
    """A record, the causes it touches, and how many times as likely it makes them. [-]"""

    key: str
    causes: tuple[str, ...]
    factor: float
    words: str


def prior_adjustments(sheet: SessionSheet, at: datetime) -> list[PriorAdjustment]:
    """The last work done, and tasks overdue, where a cause is touched by them."""
    found = [*_last_work(sheet, at), *_programme(sheet, at)]
    return [ground for ground in found if ground.causes]


def _last_work(sheet: SessionSheet, at: datetime) -> Iterator[PriorAdjustment]:
    session = sheet.session
    followed = _followed(session)
    job = followed or _newest_ended(session, at)
    if job is None:
        return
    tasks = [t.task for t in visits.job_sheet(job).tasks]
    ran_h, days = session.engine_h - _ended_h(job), (at - (ended_at(job) or at)).days
    how = "and the complaint is said to have come back after it" if followed else "before the complaint"
    words = (
        f"{' and '.join(t.title for t in tasks)}: done in visit {job.number}, {hours(ran_h)} h and {days} days "
        f"ago, {how}. What was opened or fitted then can have gone wrong then"
    )
    factor = CAME_BACK if followed else JUST_DONE
    yield PriorAdjustment(f"{queries.LAST_WORK}/{job.number}", touched_by(sheet, tasks), factor, words)


def _followed(session: Session) -> Job | None:
    """The job that it came back after, by what was said."""
    if session.follows_job:
        return session.follows_job
    ends = session.follows.outcomes.exclude(job=None).order_by("-id") if session.follows else []
    return next((end.job for end in ends), None)


def _newest_ended(session: Session, at: datetime) -> Job | None:
    """The last job ended, where it was not long ago."""
    done = [job for job in visits.jobs_of(session.engine) if (ended_at(job) or at) < at]
    newest = max(done, key=lambda job: ended_at(job) or at, default=None)
    if newest is None or session.engine_h - _ended_h(newest) > RECENT_H:
        return None
    return newest if (at - (ended_at(newest) or at)).days <= RECENT_DAYS else None


def _ended_h(job: Job) -> float:
    return float(job.release.engine_h if hasattr(job, "release") else job.engine_h)


def touched_by(sheet: SessionSheet, tasks: Iterable[TaskRow]) -> tuple[str, ...]:
    """Causes that one of these tasks puts right, or whose cure lies behind an opening that they opened."""
    done = list(tasks)
    opened = _opened(sheet, done)
    cures = {task.id: task for task in sheet.sheet.programme}
    return tuple(
        cause.id
        for cause in sheet.faults.causes
        if cause.task in cures
        and (cause.task in {t.id for t in done} or _closed(sheet, cures[cause.task]) & opened)
    )


def _opened(sheet: SessionSheet, tasks: list[TaskRow]) -> set[str]:
    """All that had to be opened; what takes no time to open, as the outside, opens nothing."""
    names = [name for task in tasks for name in task.access]
    return {o.id for o in opened_for(names, sheet.sheet.access) if o.minutes > 0}


def _closed(sheet: SessionSheet, task: TaskRow) -> set[str]:
    """Openings at which a task itself works, without those before them."""
    return {name for name in task.access if sheet.sheet.access_group(name).minutes > 0}


def _programme(sheet: SessionSheet, at: datetime) -> Iterator[PriorAdjustment]:
    """Tasks beyond their tolerance, and those most used up: these count for nothing until somebody says so."""
    near: list[tuple[float, PriorAdjustment]] = []
    for line in programme.due_lines(sheet.session.engine, timezone.localdate(at)):
        causes = tuple(cause.id for cause in sheet.faults.causes if cause.task == line.task.id)
        if line.state == LATE:
            yield PriorAdjustment(
                f"overdue/{line.task.id}", causes, OVERDUE, f"{line.task.title}: {line.sentence}"
            )
        elif causes and (used := _used(line)) >= NEAR:
            ran = hours(line.now_h - line.due.last_h)
            words = f"{line.task.title}: {ran} h since it was done, {per_cent(used)} of its interval"
            near.append((used, PriorAdjustment(f"hours-on/{line.task.id}", causes, 1.0, words)))
    near.sort(key=lambda one: -one[0])
    yield from (ground for _, ground in near[:NEAR_TOLD])


def _used(line: programme.DueLine) -> float:
    """Share of the hours between two times that are gone. [-]"""
    due = line.due
    if due.due_h is None or due.due_h <= due.last_h:
        return 0.0
    return (line.now_h - due.last_h) / (due.due_h - due.last_h)
