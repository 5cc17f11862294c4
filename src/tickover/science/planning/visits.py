"""Which tasks of one engine are best done in one visit, and when?

Doing a task early loses what was left of its life; doing it late, within its tolerance, is a risk; going each
time for one task opens the same things again and again. The cheapest visits weigh the three in minutes.

Notes
-----
- The cost of a task on a day (see duedays) is made of straight lines and is convex. So is the sum over a
  visit, which is therefore cheapest on a day where one of its tasks has a corner: no other day is looked at.
- A task due again within the outlook comes back after each interval, as if done when due: the plan is made
  anew after every visit, so that only its first visits are ever kept.
- Past its latest day already: today, and the visit says so.
- Where all tasks share one opening and their costs have one shape, up to size, visits of neighbours in due
  order are enough. With different openings, or with tasks of which some bear lateness better, they are not;
  therefore all groupings are searched.

References
----------
R.E. Wildeman, R. Dekker, A.C.J.M. Smit, "A dynamic policy for grouping maintenance activities", European
Journal of Operational Research 99 (1997) 530-551: penalty for moving a task, one set-up for a group,
neighbours in due order (from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import count

from tickover.science.core.calendar_days import written
from tickover.science.core.input_checks import checked_whole
from tickover.science.core.kinds import checked_fields, kinds_checked
from tickover.science.core.plausible import VISIT_MIN
from tickover.science.core.working import Quantity, Working
from tickover.science.planning.access import (
    Opening,
    VisitMinutes,
    checked_openings,
    opened_for,
    visit_minutes,
)
from tickover.science.planning.due_date_cost import DueTask
from tickover.science.planning.schedule_solver import EFFORT, Item, cheapest_days

LONGEST_DAYS = 3_660
"""Ten years. [days]"""
FOR_THE_VISIT = "the visit itself"


@dataclass(frozen=True)
class Outlook:
    """How far to plan and what a visit costs.

    `until_day`: a task that is due later (50 %) is not planned. `visit_min`: what any visit costs beside
    tasks and openings: fetching, run-up, writing up. [day ordinal], [min]
    """

    today: int
    until_day: int
    visit_min: float = 0.0
    effort: float = EFFORT

    def __post_init__(self) -> None:
        checked_fields(self)
        ahead = f"days {LONGEST_DAYS} ahead at most: no plan holds longer"
        checked_whole(
            "last day of the outlook", self.until_day, self.today, self.today + LONGEST_DAYS, "", ahead
        )
        VISIT_MIN.checked(self.visit_min)


@dataclass(frozen=True)
class Visit:
    """Tasks done together on one day; `visit_min` is what it costs beside them. [day ordinal], [min]"""

    day: int
    tasks: tuple[DueTask, ...]
    minutes: VisitMinutes
    visit_min: float = 0.0

    @property
    def total_min(self) -> float:
        """Work, openings and the visit itself. [min]"""
        return self.minutes.total_min + self.visit_min

    @kinds_checked
    def cost_min_on(self, day: int) -> float:
        """Cost of moving it to that day: life lost and risk of being late, of all its tasks. [min]"""
        return sum(task.cost_min(day) for task in self.tasks)

    @property
    def cost_min(self) -> float:
        """Life lost and risk of being late on its own day. [min]"""
        return self.cost_min_on(self.day)

    @property
    def window(self) -> tuple[int, int]:
        """First and last day that suit all its tasks. [day ordinal]"""
        return max(t.earliest_day for t in self.tasks), min(t.latest_day for t in self.tasks)

    @property
    def over_tolerance(self) -> tuple[DueTask, ...]:
        """Tasks past limit and tolerance already; not to be flown on."""
        return tuple(task for task in self.tasks if task.latest_day < self.day)

    def in_words(self) -> tuple[str, ...]:
        """What is done when, what opening once saves, and what is late."""
        titles = ", ".join(task.title for task in self.tasks)
        late = (
            f"{t.title}: past its limit and tolerance, not to be flown before it is done"
            for t in self.over_tolerance
        )
        head = f"{written(self.day)}: {titles}; {self.total_min:g} min"
        return (head, *(shared.in_words() for shared in self.minutes.shared), *late)


@dataclass(frozen=True)
class VisitPlan:
    """The cheapest visits found. Every total counts work, openings, visits, life lost and lateness. [min]

    `separate_min`: each task by itself on its own best day. No plan costs less than `bound_min`.
    """

    visits: tuple[Visit, ...]
    total_min: float
    separate_min: float
    bound_min: float
    proven: bool

    @property
    def gap(self) -> float:
        """How far from the cheapest it may be, as a share of the total. [-]"""
        return (self.total_min - self.bound_min) / self.total_min if self.total_min else 0.0

    def working(self) -> Working:
        """What the visits cost, and against what."""
        lost = sum(visit.cost_min for visit in self.visits)
        proof = "proven the cheapest" if self.proven else f"at most {self.gap:.1%} from the cheapest"
        return Working(
            title="visits that share openings",
            formula="work + openings, once a visit + visits + life lost + risk of being late",
            inputs=(
                Quantity("visits", len(self.visits), ""),
                Quantity("work, openings and visits", sum(visit.total_min for visit in self.visits), "min"),
                Quantity("life lost and risk of being late", lost, "min"),
                Quantity("each task by itself", self.separate_min, "min"),
            ),
            result=Quantity("all visits", self.total_min, "min"),
            validity=f"{proof}; to be made anew after each visit",
            source="minutes of the type sheet, due days by this engine's use",
            authority="common practice, no source",
        )


@kinds_checked
def plan_visits(tasks: Iterable[DueTask], access: Iterable[Opening], outlook: Outlook) -> VisitPlan:
    """The visits that cost least until the end of the outlook.

    Returns
    -------
    VisitPlan

    Raises
    ------
    OutOfRangeError
        For an opening that is not in `access` or requires itself, and for an effort that is not above 0.
    """
    known = checked_openings(access)
    times = [time for task in sorted(tasks, key=lambda t: t.id) for time in _times(task, outlook)]
    prices = {opening.id: opening.minutes for opening in known} | {FOR_THE_VISIT: outlook.visit_min}
    corners = {day for time in times for day in (*time.due_days, time.earliest_day, time.latest_day)}
    things = [_thing(time, known, corners | {outlook.today}, outlook.today) for time in times]
    choice = cheapest_days(things, prices, outlook.effort)
    work = sum(time.minutes for time in times)
    alone = sum(min(t.costs.values()) + sum(prices[name] for name in t.opens) for t in things)
    return VisitPlan(
        visits=_by_day(times, choice.days, known, outlook.visit_min),
        total_min=work + choice.cost,
        separate_min=work + alone,
        bound_min=work + choice.bound,
        proven=choice.proven,
    )


def _times(task: DueTask, outlook: Outlook) -> Iterator[DueTask]:
    """The task each time it is due within the outlook; one that is late now is next due from today."""
    if task.due_days[1] <= outlook.until_day:
        yield task
    first = max(0, outlook.today - task.due_days[0])
    for n in count(1):
        later = first + round(n * task.interval_days)
        if task.due_days[1] + later > outlook.until_day:
            return
        q10, q50, q90 = (day + later for day in task.due_days)
        yield replace(task, due_days=(q10, q50, q90), latest_day=task.latest_day + later)


def _thing(task: DueTask, access: Sequence[Opening], corners: Iterable[int], today: int) -> Item:
    latest = max(today, task.latest_day)
    days = [day for day in sorted(corners) if max(today, task.earliest_day) <= day <= latest]
    opens = {opening.id for opening in opened_for(task.access, access)}
    return Item(task.id, {day: task.cost_min(day) for day in days}, frozenset(opens | {FOR_THE_VISIT}))


def _by_day(
    times: Sequence[DueTask], days: Sequence[int], access: Sequence[Opening], visit_min: float
) -> tuple[Visit, ...]:
    together: dict[int, list[DueTask]] = {}
    for day, task in sorted(zip(days, times, strict=True), key=lambda pair: (pair[0], pair[1].id)):
        together.setdefault(day, []).append(task)
    return tuple(Visit(day, tuple(on), visit_minutes(on, access), visit_min) for day, on in together.items())
