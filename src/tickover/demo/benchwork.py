"""The demo's technicians at work: jobs opened, readings taken, steps confirmed, engines released."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

import numpy as np

from tickover.sheets import Step, TaskRow
from tickover.workshop.bench import actions as bench
from tickover.workshop.bench import queries
from tickover.workshop.bench.models import Job
from tickover.workshop.people.models import Person
from tickover.workshop.register import queries as register
from tickover.workshop.register.models import Engine

DIAPHRAGMS = "diaphragm-service"


@dataclass
class Bench:
    """One engine's course through the demo: what it ran, and when each task was last done."""

    engine: Engine
    crew: dict[str, Person]
    rng: np.random.Generator
    now_h: float = 0.0
    last: dict[str, tuple[float, datetime]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.now_h = register.total_time(self.engine).hours_h
        self.tasks = {t.id: t for t in register.build_of(self.engine).programme if t.card}
        born = datetime.combine(self.engine.in_service_on, datetime.min.time(), UTC)
        self.last = dict.fromkeys(self.tasks, (self.now_h, born))

    def left_h(self, task_id: str) -> float:
        return (self.tasks[task_id].interval_h or 1e9) - (self.now_h - self.last[task_id][0])

    def do_what_is_due(self, clock: datetime) -> datetime:
        """Do the tasks that are due, one after the other; returns when the bench is free again."""
        for task in self.tasks.values():
            if self._is_due(task, clock):
                self._do(task, clock)
                self.last[task.id] = (self.now_h, clock)
                clock += timedelta(hours=2)
        return clock

    def _is_due(self, task: TaskRow, at: datetime) -> bool:
        last_h, last_at = self.last[task.id]
        by_hours = task.interval_h is not None and self.now_h - last_h >= task.interval_h - (
            3.0 if task.interval_h > 50 else 1.0
        )
        by_date = task.interval_months is not None and (at - last_at).days > 30.4 * task.interval_months - 9
        return by_hours or by_date

    def _do(self, task: TaskRow, at: datetime) -> None:
        doer, other = self.crew["mara"], self.crew["ivo"]
        job = bench.open_job(self.engine, task.id, who=doer, at=at)
        sheet = queries.job_sheet(job)
        if sheet.card.kit:
            bench.note_kit(job, f"DK-{at:%y%m}-{self.rng.integers(10, 99)}", who=doer, at=at)
        for number, line in enumerate(sheet.steps):
            moment = at + timedelta(minutes=3 * number + 1)
            self._step(job, line.step, doer, other, moment)
        bench.release(job, bench.ReleaseWords(), who=doer, at=at + timedelta(minutes=3 * len(sheet.steps)))

    def _step(self, job: Job, step: Step, doer: Person, other: Person, at: datetime) -> None:
        typed = self._typed(job, step)
        if typed:
            bench.take_reading(job, step.id, typed, who=doer, at=at)
        bench.mark_done(job, step.id, finding_id=self._finding(step), who=doer, at=at)
        if step.second_check:
            bench.second_check(job, step.id, who=other, at=at + timedelta(minutes=1), typed=typed)

    def _typed(self, job: Job, step: Step) -> str:
        """A reading near the middle of its limits, rounded as the instrument reads."""
        if not step.reading:
            return ""
        limit = register.sheet_of(job.sheet).limit(step.reading)
        ends = [x for x in (limit.lower, limit.nominal, limit.upper) if x is not None]
        middle = limit.nominal if limit.nominal is not None else (min(ends) + max(ends)) / 2
        spread = 0.06 * (max(ends) - min(ends))
        value = middle + spread * float(np.clip(self.rng.standard_normal(), -2, 2))
        if limit.rule == "simple" and limit.upper is not None:
            value = min(value, limit.upper)
        return f"{round(value / limit.resolution) * limit.resolution:.6g}"

    def _finding(self, step: Step) -> str:
        """Mostly sound, now and then something to replace; never a finding that forbids the release."""
        good = [f.id for f in step.findings if f.action == "continue"]
        worn = [f.id for f in step.findings if f.action == "replace"]
        if worn and (not good or self.rng.random() < 0.2):
            return str(self.rng.choice(worn))
        return good[0] if good else ""
