"""On which days may a task be due, and what does it cost to do it on another day?

Notes
-----
- Cost of a day: days early x worth / interval, days late x the same x `late_weight`, in the mean over the 10,
  50 and 90 % due days, weighted 0.3, 0.4, 0.3 (Swanson's rule).
- Never later than `latest_day`, whatever it costs.
- Not earlier than half an interval before it may be due: more of its life is not thrown away for an opening.

Worth and weight are the workshop's own judgement: common practice, no source.

References
----------
A. Hurst, G.C. Brown, R.I. Swanson, "Swanson's 30-40-30 rule", AAPG Bulletin 84 (2000) 1883 (from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from tickover.science.core.calendar_days import DAYS_IN_400_YEARS
from tickover.science.core.input_checks import OutOfRangeError, checked_one
from tickover.science.core.kinds import checked_fields, kinds_checked
from tickover.science.planning.access import Task
from tickover.science.planning.due import ROUNDING_TOLERANCE, Due, Interval
from tickover.science.planning.forecast import MOST_HOURS
from tickover.science.planning.usage import Usage, day_reached_quantiles

DUE_WEIGHTS = (0.3, 0.4, 0.3)
LATE_WEIGHT = 3.0
"""A day late within the tolerance counts as three early ones: our choice."""
MOST_LIFE_LOST = 0.5
MONTH_DAYS = DAYS_IN_400_YEARS / 4800


@dataclass(frozen=True)
class DueTask:
    """A task with the days it may be due on.

    Parameters
    ----------
    id, title : str
    minutes : float
        Work alone, without opening. [min]
    access : tuple of str
        What has to be open.
    due_days : tuple of three int
        Days it is due by with 10, 50 and 90 % probability; three times the same where it is certain.
        [day ordinal]
    latest_day : int
        Last day it may be done on: limit and tolerance. [day ordinal]
    interval_days : float
        Days from one time to the next, at least 1. [days]
    worth_min : float
        What doing it once costs, parts included, as minutes of work. [min]
    late_weight : float
        What a day late costs, in days early. [-]

    Raises
    ------
    OutOfRangeError
        For due days out of order, a latest day before the first due day, an interval below a day, or a
        negative cost.
    """

    id: str
    title: str
    minutes: float
    access: tuple[str, ...]
    due_days: tuple[int, int, int]
    latest_day: int
    interval_days: float
    worth_min: float
    late_weight: float = LATE_WEIGHT

    def __post_init__(self) -> None:
        checked_fields(self)
        if sorted(self.due_days) != list(self.due_days):
            raise OutOfRangeError(f"{self.title}: the due days {self.due_days} must come in order")
        if self.latest_day < self.due_days[0]:
            raise OutOfRangeError(
                f"{self.title}: the latest day must not come before the first it may be due on"
            )
        if not 1.0 <= self.interval_days < math.inf:
            raise OutOfRangeError(
                f"{self.title}: the interval must be a day or more, not {self.interval_days}"
            )
        for name in ("minutes", "worth_min", "late_weight"):
            if not 0.0 <= getattr(self, name) < math.inf:
                raise OutOfRangeError(f"{self.title}: {name} must be 0 or more, not {getattr(self, name)}")

    @property
    def earliest_day(self) -> int:
        """First day it is worth doing. [day ordinal]"""
        return math.ceil(self.due_days[0] - MOST_LIFE_LOST * self.interval_days)

    @kinds_checked
    def cost_min(self, day: int) -> float:
        """Expected cost of doing it on that day, beside the work: life lost, and risk of being late. [min]"""
        gaps = [due - day for due in self.due_days]
        days = sum(
            weight * (gap if gap > 0 else -gap * self.late_weight)
            for weight, gap in zip(DUE_WEIGHTS, gaps, strict=True)
        )
        return days * self.worth_min / self.interval_days


@dataclass(frozen=True)
class EngineNow:
    """How far an engine is, how sure that is (one standard uncertainty), and how fast it is used. [h], [day ordinal]"""

    now_h: float
    today: int
    usage: Usage
    u_h: float

    def __post_init__(self) -> None:
        checked_fields(self)
        checked_one("engine time now", self.now_h, -MOST_HOURS, MOST_HOURS, "h")
        checked_one("uncertainty of the engine time", self.u_h, 0.0, MOST_HOURS, "h")


@kinds_checked
def due_task(task: Task, interval: Interval, due: Due, engine: EngineNow) -> DueTask:
    """A task with the days it may be due on, by hours or calendar, whichever comes first.

    The latest day is the one on which limit and tolerance are reached with 10 % probability: who flies more
    than that has to come sooner. Worth its work alone; `dataclasses.replace` gives it that of its parts.

    Raises OutOfRangeError for a task on condition, which is never due.

    Returns
    -------
    DueTask

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.
    """
    due_days = [_first_day(due, engine, q, tolerance=0) for q in (0.1, 0.5, 0.9)]
    return DueTask(
        id=task.id,
        title=task.title,
        minutes=task.minutes,
        access=task.access,
        due_days=(due_days[0], due_days[1], due_days[2]),
        latest_day=_first_day(due, engine, 0.1, tolerance=1),
        interval_days=_interval_days(interval, engine.usage),
        worth_min=task.minutes,
    )


def _first_day(due: Due, engine: EngineNow, q: float, *, tolerance: int) -> int:
    """Day on which the first limit is reached with probability q, 1 or 0 tolerances on."""
    days = []
    if due.due_day is not None:
        days.append(due.due_day + tolerance * due.tolerance_days)
    if due.due_h is not None:
        left_h = due.due_h + tolerance * due.tolerance_h - engine.now_h
        ahead = math.floor(day_reached_quantiles(engine.usage, left_h, q, u_h=engine.u_h).item())
        days.append(engine.today + (ahead if left_h >= -ROUNDING_TOLERANCE else -1))
    if not days:
        raise OutOfRangeError("a task on condition is never due: it cannot be planned")
    return min(days)


def _interval_days(interval: Interval, usage: Usage) -> float:
    by_hours = math.inf if interval.hours is None else interval.hours / usage.mean_h_per_day
    by_months = math.inf if interval.months is None else interval.months * MONTH_DAYS
    return max(1.0, min(by_hours, by_months))
