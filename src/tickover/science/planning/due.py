"""When is a task due next: by hours or by the calendar, whichever comes first?

Hours are engine hours, days are ordinals (see calendar_days). Tolerances and what is counted from differ between
countries and makers, so both are settings of each task.

Notes
-----
Where the next interval begins, for hours and days each by itself:

- *planned*: done early or in time, where it was done: the next limit is never later than one interval after the work.
  Done late, where it was planned: the overrun is taken off the next interval, within the tolerance and beyond it.
  Done late by a whole interval or more, the plan has lapsed, and it is counted from where it was done.
- *actual*: always counted from where it was done.

References
----------
14 CFR 91.409(b): the 100 hours may be exceeded by not more than 10 on the way to the inspection, and "the excess time
used [...] must be included in computing the next 100 hours of time in service". That a lapsed plan begins anew:
common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TypeVar

from tickover.science.core.calendar_days import add_months, written
from tickover.science.core.input_checks import OutOfRangeError, checked_one
from tickover.science.core.kinds import checked_fields, kinds_checked
from tickover.science.core.working import Quantity, Working

SHORTEST_MONTH_DAYS = 28
HOURS = (-1e6, 1e6)
"""More than a century without a pause; below 0 where a meter was changed. [h]"""
ROUNDING_TOLERANCE = 1e-6
"""Hours are sums of tenths, and a tenth is not exact in binary: a few milliseconds are no overrun."""

Point = TypeVar("Point", int, float)
HoursAndDay = tuple[float, int]


class DueState(StrEnum):
    """How urgent a task is, least first."""

    NOT_YET = "not yet"
    DUE_SOON = "due soon"
    DUE = "due"
    OVER_TOLERANCE = "over tolerance"


class GoverningLimit(StrEnum):
    """Which limit comes first."""

    HOURS = "hours"
    CALENDAR = "calendar"
    NEITHER = "neither"


@dataclass(frozen=True)
class Interval:
    """How often a task is done; without hours and months it is on condition and never falls due.

    Parameters
    ----------
    hours : float or None
        Engine time between two times. [h]
    months : int or None
        Calendar time between two times. [months]
    first_after_h : float or None
        Engine time to the very first time, where it differs. [h]
    tolerance_h, tolerance_days : float, int
        Allowed overrun. [h], [days]
    anchor : str
        "planned" or "actual": what the next time is counted from.

    Raises
    ------
    OutOfRangeError
        For an interval that is not above 0, a negative tolerance, a tolerance as long as the interval, or
        an anchor that is neither of the two.
    """

    hours: float | None
    months: int | None
    first_after_h: float | None = None
    tolerance_h: float = 0.0
    tolerance_days: int = 0
    anchor: str = "planned"

    def __post_init__(self) -> None:
        checked_fields(self)
        for name in ("hours", "months", "first_after_h"):
            value = getattr(self, name)
            if value is not None and not 0 < value < math.inf:
                raise OutOfRangeError(f"{name} must be above 0 or left out, not {value}")
        if not self.tolerance_h >= 0.0 or not self.tolerance_days >= 0:
            raise OutOfRangeError("a tolerance must be 0 or more")
        if self.hours is not None and self.tolerance_h >= self.hours:
            raise OutOfRangeError(
                f"tolerance of {self.tolerance_h} h is not below the interval of {self.hours} h"
            )
        if self.months is not None and self.tolerance_days >= self.months * SHORTEST_MONTH_DAYS:
            raise OutOfRangeError(
                f"tolerance of {self.tolerance_days} days is as long as {self.months} months"
            )
        if self.anchor not in ("planned", "actual"):
            raise OutOfRangeError(f'anchor must be "planned" or "actual", not "{self.anchor}"')

    @property
    def first_tolerance_h(self) -> float:
        """Tolerance on the very first time: the ordinary one in proportion. [h]"""
        if self.hours is None or self.first_after_h is None:
            return self.tolerance_h
        return self.tolerance_h * min(1.0, self.first_after_h / self.hours)


@dataclass(frozen=True)
class LastDone:
    """When a task was last done, and when it had been planned. [h], [day ordinal]"""

    at_h: float
    on_day: int
    planned_h: float | None = None
    planned_day: int | None = None

    def __post_init__(self) -> None:
        checked_fields(self)
        for name in ("at_h", "planned_h"):
            if getattr(self, name) is not None:
                checked_one("hours at which it was done or planned", getattr(self, name), *HOURS, "h")


@dataclass(frozen=True)
class Due:
    """The limits of the next time, and where they are counted from.

    `last_h`, `last_day`: where it was last done, or where the engine came into service. `hours_from`,
    `days_from`: how the limits came about, in words, for the working.
    """

    due_h: float | None
    due_day: int | None
    last_h: float
    last_day: int
    tolerance_h: float
    tolerance_days: int
    hours_from: str = ""
    days_from: str = ""

    @kinds_checked
    def state(self, now_h: float, today: int, *, soon_fraction: float = 0.1, soon_days: int = 30) -> DueState:
        """How urgent it is.

        "Due soon" begins `soon_fraction` of the interval before a limit, in days at most `soon_days`, and
        never later than one tolerance before it. At the limit it is due; beyond the tolerance it is over.

        Returns
        -------
        DueState
        """
        hours = _urgency(now_h, self.last_h, self.due_h, self.tolerance_h, soon_fraction, math.inf)
        days = _urgency(today, self.last_day, self.due_day, self.tolerance_days, soon_fraction, soon_days)
        return list(DueState)[max(hours, days)]

    @kinds_checked
    def days_left(self, now_h: float, today: int, rate_h_per_day: float) -> float:
        """Days to the first limit at a steady rate; below 0 when passed, infinite without one. [days]

        Parameters
        ----------
        now_h, today, rate_h_per_day : float, int, float
            Engine time, day, and engine time a day, 0 or more. [h], [day ordinal], [h/day]

        Returns
        -------
        float
            [days]

        Raises
        ------
        OutOfRangeError

        Examples
        --------
        >>> due = next_due(Interval(25.0, None), LastDone(100.0, 739_000), 738_000, 0.0)
        >>> due.days_left(now_h=120.0, today=739_100, rate_h_per_day=0.5)
        10.0
        """
        return min(self._days_by_hours(now_h, rate_h_per_day), self._days_by_calendar(today))

    @kinds_checked
    def bites(self, now_h: float, today: int, rate_h_per_day: float) -> GoverningLimit:
        """Which limit comes first at a steady rate; the hours when both fall together.

        Parameters
        ----------
        now_h, today, rate_h_per_day : float, int, float
            Engine time, day, and engine time a day, 0 or more. [h], [day ordinal], [h/day]

        Returns
        -------
        GoverningLimit

        Raises
        ------
        OutOfRangeError

        Examples
        --------
        >>> due = next_due(Interval(25.0, 12), LastDone(100.0, 739_000), 738_000, 0.0)
        >>> str(due.bites(now_h=120.0, today=739_100, rate_h_per_day=0.5))
        'hours'
        """
        by_hours, by_calendar = self._days_by_hours(now_h, rate_h_per_day), self._days_by_calendar(today)
        if by_hours == by_calendar == math.inf:
            return GoverningLimit.NEITHER
        return GoverningLimit.HOURS if by_hours <= by_calendar else GoverningLimit.CALENDAR

    def working(self, now_h: float, today: int, rate_h_per_day: float) -> Working:
        """How the limits came about and which comes first."""
        first = self.bites(now_h, today, rate_h_per_day)
        points = {
            GoverningLimit.HOURS: "" if self.due_h is None else f"{self.due_h:.1f} h",
            GoverningLimit.CALENDAR: "" if self.due_day is None else written(self.due_day),
            GoverningLimit.NEITHER: "on condition",
        }
        return Working(
            title="next due, whichever comes first",
            formula="; ".join(part for part in (self.hours_from, self.days_from) if part) or "no limit",
            inputs=(
                Quantity("engine time now", now_h, "h"),
                Quantity("today", written(today), ""),
                Quantity("rate", rate_h_per_day, "h/day"),
                Quantity("tolerance", self.tolerance_h, "h"),
                Quantity("tolerance", self.tolerance_days, "days"),
            ),
            result=Quantity(f"first to come: {first}", points[first], ""),
            validity="at a steady rate; the forecast says how sure that is",
            source="14 CFR 91.409(b) for the overrun",
            authority="common practice, no source",
        )

    def _days_by_hours(self, now_h: float, rate_h_per_day: float) -> float:
        if self.due_h is None:
            return math.inf
        left_h = self.due_h - now_h
        if rate_h_per_day > 0.0:
            return left_h / rate_h_per_day
        return math.inf if left_h > 0.0 else -math.inf

    def _days_by_calendar(self, today: int) -> float:
        return math.inf if self.due_day is None else float(self.due_day - today)


@kinds_checked
def next_due(interval: Interval, done: LastDone | None, in_service_day: int, in_service_h: float) -> Due:
    """The limits of the next time a task is due.

    Parameters
    ----------
    interval : Interval
    done : Done or None
        The last time; None when never done since the engine or part came into service.
    in_service_day : int
        Day it came into service. [day ordinal]
    in_service_h : float
        Engine time at which it came into service. [h]

    Returns
    -------
    Due

    Raises
    ------
    OutOfRangeError
        For hours or a day that are no numbers.

    Examples
    --------
    >>> every_25_h_or_a_year = Interval(hours=25.0, months=12, tolerance_h=2.0)
    >>> due = next_due(every_25_h_or_a_year, LastDone(at_h=103.2, on_day=739_000), 738_000, 0.0)
    >>> print(due.due_h, written(due.due_day), due.state(now_h=128.0, today=739_100))
    128.2 2025-04-24 due soon
    """
    if done is None:
        new = (in_service_h, in_service_day)
        hours = interval.first_after_h or interval.hours
        return _due(interval, new, new, hours, interval.first_tolerance_h)
    last = (done.at_h, done.on_day)
    return _due(interval, _counted_from(interval, done), last, interval.hours, interval.tolerance_h)


@kinds_checked
def first_again(interval: Interval, due: Due, done: LastDone | None, begun: LastDone | None) -> Due:
    """The limits where other work begins the task anew: not later than `first_after_h` after that work.

    A part that was fitted settles, so that its bolts are tried again after the first hours, however lately they had
    been tried before. What was done at no more engine time than that work does not count as the first time after it.

    Parameters
    ----------
    interval, due : Interval, Due
        How often, and the limits without that work.
    done, begun : LastDone or None
        The last time of the task itself, and of the work that begins it anew.

    Returns
    -------
    Due

    Raises
    ------
    OutOfRangeError

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> check, done = Interval(hours=25.0, months=None, first_after_h=2.0), LastDone(100.0, 739_000)
    >>> first_again(check, next_due(check, done, 738_000, 0.0), done, LastDone(110.0, 739_030)).due_h
    112.0
    """
    first_h = interval.first_after_h
    if begun is None or first_h is None or (done is not None and done.at_h > begun.at_h):
        return due
    if due.due_h is not None and due.due_h <= begun.at_h + first_h:
        return due
    return replace(
        due,
        due_h=begun.at_h + first_h,
        last_h=begun.at_h,
        tolerance_h=interval.first_tolerance_h,
        hours_from=f"{first_h:g} h after the work at {begun.at_h:.1f} h",
    )


def _counted_from(interval: Interval, done: LastDone) -> HoursAndDay:
    """Where the next interval begins. [h], [day ordinal]"""
    if interval.anchor == "actual":
        return done.at_h, done.on_day
    start_h, start_day = done.at_h, done.on_day
    if interval.hours is not None and done.planned_h is not None:
        start_h = _overrun_off(done.at_h, done.planned_h, done.planned_h + interval.hours)
    if interval.months is not None and done.planned_day is not None:
        lapsed_day = add_months(done.planned_day, interval.months)
        start_day = _overrun_off(done.on_day, done.planned_day, lapsed_day)
    return start_h, start_day


def _overrun_off(actual: Point, planned: Point, lapsed: Point) -> Point:
    """The planned point after an overrun; the actual one where there was none, or where the plan has lapsed."""
    return planned if planned < actual < lapsed - ROUNDING_TOLERANCE else actual


def _due(
    interval: Interval, start: HoursAndDay, last: HoursAndDay, hours: float | None, tolerance_h: float
) -> Due:
    """The limits counted from a start; hours and tolerance apart, since the first time has its own."""
    due_h = None if hours is None else start[0] + hours
    due_day = None if interval.months is None else add_months(start[1], interval.months)
    months = f"{interval.months} month{'' if interval.months == 1 else 's'}"
    return Due(
        due_h=due_h,
        due_day=due_day,
        last_h=last[0],
        last_day=last[1],
        tolerance_h=tolerance_h,
        tolerance_days=interval.tolerance_days,
        hours_from=""
        if due_h is None
        else f"{hours:g} h after {start[0]:.1f} h{_taken_off(last[0] - start[0], 'h')} = {due_h:.1f} h",
        days_from=""
        if due_day is None
        else f"{months} after {written(start[1])}{_taken_off(last[1] - start[1], 'days')} = {written(due_day)}",
    )


def _taken_off(overrun: float, unit: str) -> str:
    """What was taken off for an overrun, in words."""
    return f" (planned; overrun of {overrun:.3g} {unit} taken off)" if overrun > ROUNDING_TOLERANCE else ""


def _urgency(
    now: float, last: float, due: float | None, tolerance: float, soon_fraction: float, soon_at_most: float
) -> int:
    """Place in State of one limit by itself."""
    if due is None:
        return 0
    if math.isnan(now) or math.isnan(due):
        raise OutOfRangeError(f"a limit of {due} at {now} cannot be judged: both must be numbers")
    window = max(tolerance, min(soon_at_most, soon_fraction * (due - last)))
    return sum(now >= point - ROUNDING_TOLERANCE for point in (due - window, due)) + (
        now > due + tolerance + ROUNDING_TOLERANCE
    )
