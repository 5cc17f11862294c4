"""In which week does each visit come to the bench, when a week has only so many bench hours?

A visit is done in one week, and its tasks' limits hold: it is never moved past its latest day to fit. Where
the weeks do not hold all the work, the fewest minutes over are found first, then the least life lost and risk
of being late; which week is over, and by how much, is said.

Notes
-----
A week suits a visit when its Friday does, so that it does not matter on which day the work is done. A visit
that must be done before the first Friday of all goes into the first week, with the day it must be done by.
Both steps are integer programs: one thread, fixed seed, a limit on the work done and not on the clock.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from tickover.science.core.calendar_days import written
from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.core.kinds import checked_fields, kinds_checked
from tickover.science.core.working import Quantity, Working
from tickover.science.planning.schedule_solver import EFFORT, THOUSANDTHS, best
from tickover.science.planning.visits import Visit

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

FRIDAY = 4
Flags = Mapping[int, "cp_model.IntVar"]


@dataclass(frozen=True)
class BenchWeek:
    """A week, by its Monday, and the bench time in it; 0 when closed. [day ordinal], [min]"""

    monday: int
    bench_min: float

    def __post_init__(self) -> None:
        checked_fields(self)
        if self.monday % 7 != 1:
            raise OutOfRangeError(f"{written(self.monday)} is not a Monday")
        if not 0.0 <= self.bench_min < math.inf:
            raise OutOfRangeError(
                f"week of {written(self.monday)}: {self.bench_min} min of bench must be 0 or more"
            )

    @property
    def friday(self) -> int:
        """Its last working day. [day ordinal]"""
        return self.monday + FRIDAY


@dataclass(frozen=True)
class Booking:
    """A visit in its week. `by_day`: the last day it may be done on within that week. [day ordinal], [min]

    `late_days`: days between its latest day and that week's Monday, 0 when it is in time. [days]
    """

    visit_id: str
    minutes: float
    by_day: int
    late_days: int


@dataclass(frozen=True)
class WeekLoad:
    """What is booked in a week."""

    week: BenchWeek
    bookings: tuple[Booking, ...]

    @property
    def work_min(self) -> float:
        """Work booked. [min]"""
        return sum(booking.minutes for booking in self.bookings)

    @property
    def over_min(self) -> float:
        """Work for which there is no bench time. [min]"""
        return max(0.0, self.work_min - self.week.bench_min)

    def in_words(self) -> tuple[str, ...]:
        """What is wrong with this week; nothing when all fits in time."""
        name = f"week of {written(self.week.monday)}"
        late = tuple(
            f"{name}: {b.visit_id} comes {b.late_days} days after its latest day"
            for b in self.bookings
            if b.late_days
        )
        if self.over_min <= 0.0:
            return late
        booked = f"{self.work_min:g} min of work for {self.week.bench_min:g} min of bench"
        return (f"{name}: {booked}, {self.over_min:g} min over", *late)


@dataclass(frozen=True)
class WeekPlan:
    """Every visit in its week.

    No plan has less than `least_over_min` over; with no more over than here, none costs less than
    `bound_min`.
    """

    loads: tuple[WeekLoad, ...]
    cost_min: float
    bound_min: float
    least_over_min: float
    proven: bool

    @property
    def over_min(self) -> float:
        """Work for which there is no bench time, in all weeks. [min]"""
        return sum(load.over_min for load in self.loads)

    @property
    def gap_min(self) -> float:
        """How far from the cheapest it may be. [min]"""
        return self.cost_min - self.bound_min

    def in_words(self) -> tuple[str, ...]:
        """Which weeks are over, by how much, and what comes late; nothing when all fits in time."""
        return tuple(line for load in self.loads for line in load.in_words())

    def working(self) -> Working:
        """What the plan weighs."""
        proof = "proven the best" if self.proven else f"at most {self.gap_min:.0f} min from the cheapest"
        return Working(
            title="visits in bench weeks",
            formula="fewest minutes over, then least life lost and risk of being late",
            inputs=(
                Quantity("bench time", sum(load.week.bench_min for load in self.loads), "min"),
                Quantity("work", sum(load.work_min for load in self.loads), "min"),
                Quantity("over, at least", self.least_over_min, "min"),
            ),
            result=Quantity("life lost and risk of being late", self.cost_min, "min"),
            validity=f"{proof}; each visit within one week",
            source="visits of the fleet, bench hours of the workshop",
            authority="own data",
        )


@kinds_checked
def spread(visits: Mapping[str, Visit], weeks: Sequence[BenchWeek], effort: float = EFFORT) -> WeekPlan:
    """Give each visit its week.

    Parameters
    ----------
    visits : mapping from str to Visit
        By a name that tells the engine and the visit.
    weeks : sequence of BenchWeek
        In order; weeks that are left out are closed.
    effort : float
        Work before the solver stops without a proof, for each of the two steps.

    Returns
    -------
    WeekPlan

    Raises
    ------
    OutOfRangeError
        For weeks out of order or none, a visit that cannot be begun before the last week is over, or an
        effort that is not above 0.
    """
    from ortools.sat.python import cp_model  # here, since every start would pay for it

    if not weeks or any(later.monday <= week.monday for week, later in pairwise(weeks)):
        raise OutOfRangeError("give the weeks in order, at least one")
    costs = {
        name: {w: visit.cost_min_on(_by_day(visit, weeks[w])) for w in _suits(name, visit, weeks)}
        for name, visit in sorted(visits.items())
    }
    model = cp_model.CpModel()
    booked = {name: {w: model.new_bool_var(f"{name} {w}") for w in on} for name, on in costs.items()}
    falls = list(booked.values())
    for flags in falls:
        model.add_exactly_one(flags.values())
    over = [_over(model, w, week, visits, booked) for w, week in enumerate(weeks)]
    model.minimize(sum(over))
    first = best(model, falls, _first_guess(visits, weeks, costs), effort)
    loads = _loads(visits, weeks, dict(zip(costs, first.days, strict=True)))
    model.add(sum(over) <= sum(_thousandths_over(load) for load in loads))
    moves = [(costs[name][w], flag) for name, on in booked.items() for w, flag in on.items()]
    model.minimize(sum(round(THOUSANDTHS * cost) * flag for cost, flag in moves))
    second = best(model, falls, first.days, effort)
    weeks_of = dict(zip(costs, second.days, strict=True))
    cost = sum(costs[name][w] for name, w in weeks_of.items())
    bound = cost if second.proven else min(cost, second.bound)
    proven = first.proven and second.proven
    return WeekPlan(_loads(visits, weeks, weeks_of), cost, bound, first.bound, proven)


def _thousandths_over(load: WeekLoad) -> int:
    work = sum(round(THOUSANDTHS * booking.minutes) for booking in load.bookings)
    return max(0, work - round(THOUSANDTHS * load.week.bench_min))


def _first_guess(
    visits: Mapping[str, Visit], weeks: Sequence[BenchWeek], costs: Mapping[str, Mapping[int, float]]
) -> list[int]:
    """What can wait least, and of that the longest, comes first; each where it is least over, then cheapest."""
    free = [week.bench_min for week in weeks]
    guess = {}
    for name in sorted(costs, key=lambda name: (visits[name].window[1], -visits[name].total_min)):
        minutes, on = visits[name].total_min, costs[name]
        guess[name] = min(on, key=lambda w: (max(0.0, minutes - max(0.0, free[w])), on[w]))
        free[guess[name]] -= minutes
    return [guess[name] for name in costs]


def _suits(name: str, visit: Visit, weeks: Sequence[BenchWeek]) -> tuple[int, ...]:
    """Which weeks a visit may come in: never one that ends after its latest day, if there is another."""
    first, last = visit.window
    if first > weeks[-1].friday:
        raise OutOfRangeError(f"{name}: not before {written(first)}, after the last week; give more weeks")
    in_time = [w for w, week in enumerate(weeks) if week.friday <= last]
    return tuple(w for w in in_time if weeks[w].friday >= first) or (in_time[-1] if in_time else 0,)


def _by_day(visit: Visit, week: BenchWeek) -> int:
    """Last day in that week: its Friday, or the visit's latest day before it, or its Monday when late."""
    return min(week.friday, max(week.monday, visit.window[1]))


def _over(
    model: cp_model.CpModel, w: int, week: BenchWeek, visits: Mapping[str, Visit], booked: Mapping[str, Flags]
) -> cp_model.IntVar:
    """Minutes over in a week, in thousandths."""
    loads = [
        (round(THOUSANDTHS * visits[name].total_min), flags[w])
        for name, flags in booked.items()
        if w in flags
    ]
    over = model.new_int_var(0, sum(load for load, _ in loads), f"over {w}")
    bench = round(THOUSANDTHS * week.bench_min)
    model.add(sum(load * flag for load, flag in loads) - bench <= over)
    return over


def _loads(
    visits: Mapping[str, Visit], weeks: Sequence[BenchWeek], weeks_of: Mapping[str, int]
) -> tuple[WeekLoad, ...]:
    def booking(name: str, week: BenchWeek) -> Booking:
        visit = visits[name]
        late_days = max(0, week.monday - visit.window[1])
        return Booking(name, visit.total_min, _by_day(visit, week), late_days)

    return tuple(
        WeekLoad(week, tuple(booking(name, week) for name in weeks_of if weeks_of[name] == w))
        for w, week in enumerate(weeks)
    )
