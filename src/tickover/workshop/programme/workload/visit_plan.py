"""Which tasks of the weeks ahead go into one visit, and which visit goes into which week.

The sums are those of `science.visits` and `science.benchweeks`; here they get the fleet's due lines, and
their answers get engines and words.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache
from urllib.parse import urlencode

from tickover.language.amounts import day
from tickover.science.planning.due_date_cost import DueTask, EngineNow, due_task
from tickover.science.planning.visits import Outlook, Visit, plan_visits
from tickover.science.planning.workload import BenchWeek, WeekPlan, spread
from tickover.sheets import AccessGroup
from tickover.workshop.programme import decisions
from tickover.workshop.programme.models import AgreedDay
from tickover.workshop.programme.queries import DueLine, EngineLine, interval_of
from tickover.workshop.programme.workload.weeks import WEEKS
from tickover.workshop.register import queries as register
from tickover.workshop.register.models import Engine

VISIT_MIN = 30.0
"""Fetching an engine, running it up and writing it up, whatever is done to it: our supposition."""
EFFORT = 1.0


@dataclass(frozen=True)
class PlannedVisit:
    """A visit of one engine, and the week it is given, where bench hours were named."""

    engine: Engine
    visit: Visit
    monday: date | None
    today: date
    not_known: frozenset[str] = frozenset()
    agreed: date | None = None
    """The day that was agreed for it, which goes before the best one."""

    @property
    def week(self) -> date:
        """Monday of the week it is planned for."""
        planned = self.agreed or self.monday or self.day
        return planned - timedelta(days=planned.weekday())

    @property
    def too_late(self) -> str:
        """That the agreed day is after the latest one; "" where it is not."""
        late = self.agreed is not None and self.agreed > self.latest
        return f"Agreed for a day after its latest, {day(self.latest)}" if late else ""

    @property
    def titles(self) -> str:
        return ", ".join(task.title for task in self.visit.tasks)

    @property
    def asked(self) -> str:
        """Its tasks as the scope page is asked for them."""
        return urlencode([("task", task.id) for task in self.visit.tasks])

    @property
    def day(self) -> date:
        return date.fromordinal(self.visit.day)

    @property
    def latest(self) -> date:
        """The last day it may be done on; today, where that is past."""
        return max(self.day, date.fromordinal(self.visit.window[1]))

    @property
    def when(self) -> str:
        """When to do it: the agreed day, today, or the best day and the latest."""
        if self.agreed is not None:
            return f"Agreed for {day(self.agreed)}, latest {day(self.latest)}"
        if self.latest <= self.today:
            return "Do today"
        if self.day == self.latest:
            return f"Do on {day(self.day)}"
        return f"Best on {day(self.day)}, latest {day(self.latest)}"

    @property
    def bench_words(self) -> str:
        return in_words(self.visit.total_min)

    @property
    def week_words(self) -> str:
        return "" if self.monday is None else f"In the week of {day(self.monday)}"

    @property
    def saves(self) -> list[str]:
        return [shared.in_words() for shared in self.visit.minutes.shared]

    @property
    def late(self) -> list[str]:
        late = (task for task in self.visit.over_tolerance if task.id not in self.not_known)
        return [f"{task.title}: overdue, before next run" for task in late]

    @property
    def inspected(self) -> list[str]:
        """Titles of its tasks of which the last time is not known."""
        return [task.title for task in self.visit.tasks if task.id in self.not_known]


@dataclass(frozen=True)
class Plan:
    """All visits, what they save, and what does not fit the weeks."""

    visits: tuple[PlannedVisit, ...]
    saved_min: float
    not_fitting: tuple[str, ...]
    weeks: WeekPlan | None
    visit_min: float = VISIT_MIN

    @property
    def saved_words(self) -> str:
        return in_words(self.saved_min)


def plan(engines: Iterable[EngineLine], today: date, bench_h: float | None = None) -> Plan:
    """The visits until the end of the weeks ahead; spread over the weeks where bench hours are named."""
    until = today + timedelta(weeks=WEEKS)
    outlook = Outlook(today.toordinal(), until.toordinal(), VISIT_MIN, EFFORT)
    anchors = decisions.anchors()
    visits: dict[str, tuple[EngineLine, Visit]] = {}
    for line in engines:
        tasks = [_due_task(t, anchors) for t in line.lines if _planned(t, until)]
        if not tasks:
            continue
        access = register.build_of(line.engine).access
        for n, visit in enumerate(_visits(tuple(tasks), access, outlook)):
            visits[f"{line.engine.name}, visit {n + 1}"] = (line, visit)
    # Alone, each task would cost its openings and a visit of its own.
    saved = sum(v.minutes.saved_min + (len(v.tasks) - 1) * VISIT_MIN for _, v in visits.values())
    booked = _booked(visits, today, bench_h) if bench_h and visits else None
    return Plan(_in_order(visits, booked, today), saved, booked.in_words() if booked else (), booked)


@lru_cache(maxsize=256)
def _visits(
    tasks: tuple[DueTask, ...], access: tuple[AccessGroup, ...], outlook: Outlook
) -> tuple[Visit, ...]:
    """The visits of one engine: the same tasks on the same day come to the same, and a search takes its time."""
    return tuple(plan_visits(tasks, access, outlook).visits)


def agreed_days(engines: Iterable[Engine], today: date) -> dict[int, date]:
    """The day agreed for the next visit of each engine, where one is, and is not over."""
    rows = AgreedDay.objects.filter(engine__in=list(engines)).order_by("id")
    newest = {row.engine_id: row.on_day for row in rows}
    return {engine: on for engine, on in newest.items() if on is not None and on >= today}


def in_words(minutes: float) -> str:
    """Bench time as people say it."""
    return f"{minutes:.0f} min" if minutes < 90 else f"{minutes / 60:.1f} h"


def _planned(line: DueLine, until: date) -> bool:
    """Only what may be due by then; the baseline inspection has no minutes to plan with."""
    bounded = line.due.due_h is not None or line.due.due_day is not None
    if line.left_to_choose or line.task.id == decisions.BASELINE.id:
        return False
    return bounded and line.heading.day_50 <= until


def _due_task(line: DueLine, anchors: dict[str, str]) -> DueTask:
    interval = interval_of(line.task, anchors.get(line.engine.sheet_id, ""))
    now = EngineNow(line.now_h, line.today.toordinal(), line.usage, line.left_sd_h)
    return due_task(line.task, interval, line.due, now)


def _booked(visits: dict[str, tuple[EngineLine, Visit]], today: date, bench_h: float) -> WeekPlan:
    """Whole weeks from this one on; the first counts in full, whatever day it is."""
    monday = today - timedelta(days=today.weekday())
    weeks = [BenchWeek((monday + timedelta(weeks=n)).toordinal(), 60.0 * bench_h) for n in range(WEEKS + 2)]
    return spread({name: visit for name, (_, visit) in visits.items()}, weeks, EFFORT)


def _in_order(
    visits: dict[str, tuple[EngineLine, Visit]], booked: WeekPlan | None, today: date
) -> tuple[PlannedVisit, ...]:
    loads = booked.loads if booked else ()
    mondays = {b.visit_id: date.fromordinal(load.week.monday) for load in loads for b in load.bookings}
    agreed = agreed_days([line.engine for line, _ in visits.values()], today)
    found = []
    for name, (line, visit) in visits.items():
        # The next visit of an engine is the one that was agreed: it is the first of them.
        on = agreed.pop(line.engine.pk, None)
        found.append(PlannedVisit(line.engine, visit, mondays.get(name), today, line.not_known, on))
    return tuple(sorted(found, key=lambda v: (v.week, v.agreed or v.day, v.engine.name)))
