"""Reads of the programme: every task's limits, how far each engine is, and where it is heading."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from tickover.science.limits import Done, Due, Interval, next_due
from tickover.science.usage import Usage, chance_hours_bite, due_day_quantiles, gain_quantiles, learn
from tickover.science.working import Working
from tickover.sheets import TaskRow
from tickover.workshop.pictures.limit_box import LimitBox
from tickover.workshop.programme import wording
from tickover.workshop.programme.models import TaskDone
from tickover.workshop.register import queries as register
from tickover.workshop.register.models import Engine

FAN_POINTS = 24
FAR_DAYS = 36500.0
FAR_H = 1e6
URGENCY = {"over tolerance": 0, "due": 1, "due soon": 2, "not yet": 3}
DayHours = tuple[date, float, float]


@dataclass(frozen=True)
class Heading:
    """Where the engine is heading: dates by which the task is due with 10, 50 and 90 % probability."""

    day_10: date
    day_50: date
    day_90: date
    chance_by_hours: float


@dataclass(frozen=True)
class DueLine:
    """One task of one engine: its limits, its state and where it is heading."""

    engine: Engine
    task: TaskRow
    due: Due
    now_h: float
    sd_h: float
    today: date
    state: str
    heading: Heading
    usage: Usage
    entries: tuple[DayHours, ...]

    @property
    def sentence(self) -> str:
        return wording.due_sentence(self)

    @property
    def why(self) -> str:
        return wording.limits_sentence(self)

    @property
    def due_on(self) -> date | None:
        return date.fromordinal(self.due.due_day) if self.due.due_day else None

    @property
    def last_on(self) -> date:
        return date.fromordinal(self.due.last_day)

    @property
    def left_h(self) -> float | None:
        return None if self.due.due_h is None else self.due.due_h - self.now_h

    @property
    def working(self) -> Working:
        return self.due.working(self.now_h, self.today.toordinal(), self.usage.mean_h_per_day)

    @property
    def box(self) -> LimitBox:
        return _limit_box(self)


@dataclass(frozen=True)
class EngineLine:
    """One engine of the list: how long it has run and its most urgent task."""

    engine: Engine
    title: str
    build_title: str
    now_h: float
    sd_h: float
    lines: tuple[DueLine, ...]

    @property
    def first(self) -> DueLine | None:
        return self.lines[0] if self.lines else None


def engine_lines(engines: Iterable[Engine], today: date) -> list[EngineLine]:
    """Every engine with its tasks, the most urgent task first, the most urgent engine first."""
    engines = list(engines)
    entries = register.entries_by_engine(e.pk for e in engines)
    done = _last_done([e.pk for e in engines])
    lines = [_engine_line(e, entries[e.pk], done[e.pk], today) for e in engines]
    return sorted(lines, key=lambda line: _urgency(line.first) if line.first else (9, today))


def due_lines(engine: Engine, today: date) -> list[DueLine]:
    return list(engine_lines([engine], today)[0].lines)


def due_of(engine: Engine, task_id: str, today: date) -> DueLine:
    """One task of one engine. Raises LookupError where this build has no such task."""
    for line in due_lines(engine, today):
        if line.task.id == task_id:
            return line
    raise LookupError(f"{engine.name} has no task {task_id!r} in its programme")


def history(engine: Engine, task_id: str) -> list[TaskDone]:
    return list(TaskDone.objects.filter(engine=engine, task_id=task_id).order_by("-done_on", "-id"))


def due_after(engine: Engine, task_id: str, reference: str) -> Due:
    """The due point that follows from the time the task was done under that reference, whatever came later."""
    row = TaskDone.objects.get(engine=engine, task_id=task_id, reference=reference)
    task = register.build_of(engine).task(task_id)
    return next_due(interval_of(task), _done(row), engine.in_service_on.toordinal(), 0.0)


def interval_of(task: TaskRow) -> Interval:
    return Interval(
        hours=task.interval_h,
        months=task.interval_months,
        first_after_h=task.first_after_h,
        tolerance_h=task.tolerance_h,
        tolerance_days=task.tolerance_days,
        anchor=task.anchor,
    )


def _engine_line(
    engine: Engine, entries: Sequence[DayHours], done: dict[str, TaskDone], today: date
) -> EngineLine:
    sheet = register.build_of(engine)
    now_h = sum(hours for _, hours, _ in entries)
    sd_h = math.sqrt(sum(sd**2 for _, _, sd in entries))
    # What an engine had run before it came into the register is not a rate of use.
    flown = [(d, h) for d, h, _ in entries if d > engine.in_service_on]
    usage = learn(
        np.array([d.toordinal() for d, _ in flown], dtype=np.int64),
        np.array([h for _, h in flown]),
        today.toordinal(),
    )
    lines = []
    for task in sheet.programme:
        row = done.get(task.id)
        due = next_due(
            interval_of(task), _done(row), engine.in_service_on.toordinal(), _initial_h(engine, entries)
        )
        heading = _heading(due, now_h, today, usage)
        state = str(due.state(now_h, today.toordinal()))
        lines.append(DueLine(engine, task, due, now_h, sd_h, today, state, heading, usage, tuple(entries)))
    build = sheet.build(engine.build_id)
    return EngineLine(engine, sheet.title, build.title, now_h, sd_h, tuple(sorted(lines, key=_urgency)))


def _initial_h(engine: Engine, entries: Sequence[DayHours]) -> float:
    return sum(h for d, h, _ in entries if d <= engine.in_service_on)


def _urgency(line: DueLine) -> tuple[int, date]:
    return URGENCY[line.state], line.heading.day_50


def _last_done(engine_ids: list[int]) -> dict[int, dict[str, TaskDone]]:
    last: dict[int, dict[str, TaskDone]] = defaultdict(dict)
    for row in TaskDone.objects.filter(engine_id__in=engine_ids).order_by("done_on", "id"):
        last[row.engine_id][row.task_id] = row
    return last


def _done(row: TaskDone | None) -> Done | None:
    if row is None:
        return None
    planned_day = row.planned_on.toordinal() if row.planned_on else None
    return Done(row.at_h, row.done_on.toordinal(), row.planned_h, planned_day)


def _heading(due: Due, now_h: float, today: date, usage: Usage) -> Heading:
    """The sooner of the calendar limit and the day the hours are reached."""
    calendar = float(due.due_day - today.toordinal()) if due.due_day is not None else FAR_DAYS
    left_h = due.due_h - now_h if due.due_h is not None else FAR_H
    days = due_day_quantiles(usage, left_h, calendar)[:, 0]
    chance = float(chance_hours_bite(usage, left_h, calendar)[0])
    day_10, day_50, day_90 = (today + timedelta(days=int(min(d, FAR_DAYS))) for d in days)
    return Heading(day_10, day_50, day_90, chance)


def _limit_box(line: DueLine) -> LimitBox:
    due, today = line.due, line.today.toordinal()
    total, track = 0.0, []
    for day, hours, _ in line.entries:
        total += hours
        if day.toordinal() >= due.last_day:
            track.append((day.toordinal(), total))
    end = max(due.due_day or today + 365, today) + due.tolerance_days + 1
    ahead = np.linspace(0, max(end - today, 1), FAN_POINTS)
    low, middle, high = line.now_h + gain_quantiles(line.usage, ahead, (0.1, 0.5, 0.9))
    fan = tuple(
        (today + round(float(d)), float(a), float(b), float(c))
        for d, a, b, c in zip(ahead, low, middle, high, strict=True)
    )
    return wording.labelled_box(line, tuple(track), fan)
