"""When each task of an engine was done in the demo, worked out before any of it is acted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from tickover.sheets import TaskRow

MONTH_DAYS = 30.4
EARLY_DAYS = 21
"""A careful workshop does a task when its engine is in, up to this long before its date. [d]"""
AHEAD_WEEKS = 2
"""It asks how much will be flown until the engine is in again, and does what would come due by then."""


@dataclass(frozen=True)
class DemoTurn:
    """One time a task was done: week of the demo, engine time [h], and how long before that Sunday [d]."""

    week: int
    task: TaskRow
    at_h: float
    days_before: int = 0


@dataclass
class DemoCourse:
    """An engine's way through the demo: what it ran, and when each task was last done."""

    tasks: Sequence[TaskRow]
    came_with_h: float
    joined_week: int
    turns: list[DemoTurn] = field(default_factory=list)

    def brought_forward(self, rng: np.random.Generator) -> None:
        """What the paper log says of the time before: each task somewhere within its interval."""
        for task in (task for task in self.tasks if not task.on_condition):
            part = float(rng.uniform(0.05, 0.6))
            back_h = min(part * (task.interval_h or 0.0), self.came_with_h)
            days = round(part * MONTH_DAYS * (task.interval_months or 12))
            if self.came_with_h > (task.first_after_h or 5.0):
                at_h = round(self.came_with_h - back_h, 1)
                self.turns.append(DemoTurn(self.joined_week, task, at_h, days))

    def flown(self, hours_h: NDArray[np.float64], last_week: int) -> None:
        """Fly these hours, week by week [h], and do what comes due until a week."""
        now_h, last = self.came_with_h, {turn.task.id: turn for turn in self.turns}
        for week in range(self.joined_week + 1, last_week):
            now_h += round(float(hours_h[week]), 1)
            soon_h = now_h + float(np.sum(hours_h[week + 1 : week + 1 + AHEAD_WEEKS]))
            for task in self.tasks:
                if self._is_due(task, last.get(task.id), soon_h, week) or self._begun(task, last, soon_h):
                    last[task.id] = DemoTurn(week, task, round(now_h, 1))
                    self.turns.append(last[task.id])

    def _begun(self, task: TaskRow, last: dict[str, DemoTurn], now_h: float) -> bool:
        """Whether work done since the task's own last time begins it again, and its first hours are flown."""
        own_h = last[task.id].at_h if task.id in last else self.came_with_h
        work_h = [last[one.id].at_h for one in self.tasks if task.id in one.begins_again and one.id in last]
        first_h = task.first_after_h
        return first_h is not None and bool(work_h) and own_h <= max(work_h) <= now_h - first_h

    def _is_due(self, task: TaskRow, last: DemoTurn | None, now_h: float, week: int) -> bool:
        if task.on_condition:
            return False
        interval_h = task.interval_h if last else task.first_after_h or task.interval_h
        since_h = now_h - (last.at_h if last else self.came_with_h)
        since_days = 7 * (week - (last.week if last else self.joined_week)) + (
            last.days_before if last else 0
        )
        early_h = min(3.0, 0.15 * (interval_h or 0.0))
        by_hours = interval_h is not None and since_h >= interval_h - early_h
        months = task.interval_months
        return by_hours or (months is not None and since_days > MONTH_DAYS * months - EARLY_DAYS)

    def last_of_each(self) -> set[DemoTurn]:
        """The newest time of every task: the only one that a programme goes on from."""
        return set({turn.task.id: turn for turn in self.turns}.values())
