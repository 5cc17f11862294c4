"""When is a task due, by engine hours or by date, whichever comes first? Days are dates here."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass

from tickover.science.core.working import Working
from tickover.science.planning.due import Due, Interval, LastDone
from tickover.science.planning.due import next_due as limits_of_next

__all__ = ["TaskDue", "next_due"]


@dataclass(frozen=True)
class TaskDue:
    """The next time a task is due: at `due_h` engine hours [h] or on `due_on`, None where it has no such limit."""

    due_h: float | None
    due_on: dt.date | None
    _limits: Due

    def state(self, now_h: float, today: dt.date) -> str:
        """How urgent it is: "not yet", "due soon", "due" or "over tolerance"."""
        return str(self._limits.state(now_h, today.toordinal()))

    def hours_left(self, now_h: float) -> float | None:
        """Engine hours to the limit, below 0 when passed. [h]"""
        return None if self.due_h is None else self.due_h - now_h

    def first(self, now_h: float, today: dt.date, h_per_day: float) -> str:
        """Which limit comes first at so many engine hours a day: "hours", "calendar" or "neither"."""
        return str(self._limits.bites(now_h, today.toordinal(), h_per_day))

    def likely_on(self, now_h: float, today: dt.date, h_per_day: float) -> dt.date | None:
        """The day on which it falls due at so many engine hours a day; None where it never does.

        A limit that is passed by hours, with no more use, is due today.
        """
        days = self._limits.days_left(now_h, today.toordinal(), h_per_day)
        if days == -math.inf:
            return today
        ordinal = today.toordinal() + (math.floor(days) if math.isfinite(days) else math.inf)
        return dt.date.fromordinal(int(ordinal)) if 1 <= ordinal <= dt.date.max.toordinal() else None

    def is_due_by(self, day: dt.date, now_h: float, today: dt.date, h_per_day: float) -> bool:
        """Whether it has fallen due by the end of a day, at so many engine hours a day."""
        likely = self.likely_on(now_h, today, h_per_day)
        return likely is not None and likely <= day

    def working(self, now_h: float, today: dt.date, h_per_day: float) -> Working:
        """How the limits came about and which comes first."""
        return self._limits.working(now_h, today.toordinal(), h_per_day)


def next_due(
    *,
    done_h: float,
    done_on: dt.date,
    every_h: float | None = None,
    every_months: int | None = None,
    planned_h: float | None = None,
    planned_on: dt.date | None = None,
    tolerance_h: float = 0.0,
    tolerance_days: int = 0,
    anchor: str = "planned",
) -> TaskDue:
    """The next time a task is due.

    Parameters
    ----------
    done_h, done_on : float, datetime.date
        Engine time and day on which it was last done; never done: on which the engine came into service. [h]
    every_h : float, optional
        Engine time between two times, above 0. [h]
    every_months : int, optional
        Calendar months between two times, above 0. [months]
    planned_h, planned_on : float, datetime.date, optional
        When the last time had been due: done late, the overrun is taken off the next interval. [h]
    tolerance_h, tolerance_days : float, int
        Allowed overrun, 0 or more, below the interval. [h], [days]
    anchor : str
        "planned" as above, or "actual": always counted from where it was done.

    Returns
    -------
    TaskDue

    Raises
    ------
    OutOfRangeError
        For an interval that is not above 0, a tolerance as long as the interval, or no number.

    References
    ----------
    14 CFR 91.409(b) for the overrun.

    Examples
    --------
    >>> due = next_due(every_h=25, every_months=12, done_h=103.2, done_on=dt.date(2026, 1, 10))
    >>> due.due_h, due.due_on
    (128.2, datetime.date(2027, 1, 10))
    >>> due.likely_on(now_h=120.0, today=dt.date(2026, 5, 4), h_per_day=0.4)
    datetime.date(2026, 5, 24)
    """
    interval = Interval(
        every_h, every_months, tolerance_h=tolerance_h, tolerance_days=tolerance_days, anchor=anchor
    )
    planned_day = None if planned_on is None else planned_on.toordinal()
    done = LastDone(done_h, done_on.toordinal(), planned_h, planned_day)
    due = limits_of_next(interval, done, done_on.toordinal(), done_h)
    return TaskDue(due.due_h, None if due.due_day is None else dt.date.fromordinal(due.due_day), due)
