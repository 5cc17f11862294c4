"""Visits of one engine: against every grouping that there is, and in the words of the trade."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tickover.science.core.calendar_days import day_of
from tickover.science.planning.access import visit_minutes
from tickover.science.planning.due_date_cost import DueTask
from tickover.science.planning.visits import Outlook, VisitPlan, plan_visits

TODAY = day_of(2026, 5, 4)


class Group(NamedTuple):
    id: str
    title: str
    minutes: float
    requires: tuple[str, ...] = ()


CARBURETTOR = Group("carburettor", "Carburettor off", 18, ("air-box",))
OPENINGS = (
    Group("air-box", "Air box off", 6),
    CARBURETTOR,
    Group("reeds", "Reed block out", 10, ("carburettor",)),
    Group("plug", "Plug out", 3),
    Group("propeller", "Propeller off", 20),
    Group("belt", "Belt cover off", 10, ("propeller",)),
)


def task(
    name: str, due: int, *, access: str = "carburettor", tolerance: int = 0, worth: float = 30.0
) -> DueTask:
    """A task due for certain so many days from today, every 100 days."""
    day = TODAY + due
    return DueTask(name, name, 20.0, (access,), (day, day, day), day + tolerance, 100.0, worth)


def outlook(days: int = 60, visit_min: float = 0.0) -> Outlook:
    return Outlook(TODAY, TODAY + days, visit_min)


def days_of(plan: VisitPlan) -> list[tuple[int, str]]:
    return [(v.day - TODAY, " ".join(t.id for t in v.tasks)) for v in plan.visits]


def partitions(items: Sequence[int]) -> Iterator[list[list[int]]]:
    """Every way to put things into groups."""
    if not items:
        yield []
        return
    first, *rest = items
    for groups in partitions(rest):
        yield [[first], *groups]
        for n in range(len(groups)):
            yield [*groups[:n], [first, *groups[n]], *groups[n + 1 :]]


def cost_of_group(tasks: Sequence[DueTask], visit_min: float) -> float:
    """Cheapest day of all for these tasks in one visit, every day looked at; infinite when none suits all."""
    first = max(TODAY, *(t.earliest_day for t in tasks)) if tasks else TODAY
    last = min(max(TODAY, t.latest_day) for t in tasks)
    moved = min((sum(t.cost_min(day) for t in tasks) for day in range(first, last + 1)), default=float("inf"))
    return visit_min + visit_minutes(tasks, OPENINGS).total_min + moved


def cheapest_grouping(tasks: Sequence[DueTask], visit_min: float, *, neighbours_only: bool = False) -> float:
    """The cheapest of all groupings, or of those whose groups are neighbours in due order."""
    order = sorted(range(len(tasks)), key=lambda n: tasks[n].due_days)
    costs: dict[frozenset[int], float] = {}

    def cost(group: list[int]) -> float:
        key = frozenset(group)
        if key not in costs:
            costs[key] = cost_of_group([tasks[order[n]] for n in group], visit_min)
        return costs[key]

    return min(
        sum(map(cost, groups))
        for groups in partitions(range(len(tasks)))
        if not neighbours_only or all(max(g) - min(g) == len(g) - 1 for g in groups)
    )


@st.composite
def due_tasks(draw: st.DrawFn, name: str) -> DueTask:
    first = TODAY + draw(st.integers(-5, 20))
    fan = sorted(draw(st.tuples(st.integers(0, 12), st.integers(0, 12))))
    return DueTask(
        id=name,
        title=name,
        minutes=draw(st.integers(0, 60)),
        access=tuple(draw(st.sets(st.sampled_from([o.id for o in OPENINGS]), max_size=2))),
        due_days=(first, first + fan[0], first + fan[1]),
        latest_day=first + draw(st.integers(0, 10)),
        interval_days=draw(st.integers(20, 120)),
        worth_min=draw(st.integers(0, 200)),
        late_weight=draw(st.sampled_from([0.0, 1.0, 3.0])),
    )


@st.composite
def programmes(draw: st.DrawFn) -> list[DueTask]:
    return [draw(due_tasks(f"t{n}")) for n in range(draw(st.integers(1, 7)))]


@settings(deadline=None, max_examples=60)
@given(programmes(), st.sampled_from([0.0, 15.0]))
def test_no_grouping_of_up_to_seven_tasks_is_cheaper(tasks: list[DueTask], visit_min: float) -> None:
    once = [replace(t, interval_days=1000.0, worth_min=t.worth_min * 1000 / t.interval_days) for t in tasks]
    plan = plan_visits(once, OPENINGS, outlook(visit_min=visit_min))
    assert plan.proven
    assert plan.total_min == pytest.approx(cheapest_grouping(once, visit_min), abs=0.01)
    assert plan.total_min <= plan.separate_min + 0.01


@settings(deadline=None, max_examples=100)
@given(programmes(), st.integers(10, 200))
def test_a_limit_is_never_passed_and_the_sums_agree(tasks: list[DueTask], days: int) -> None:
    plan = plan_visits(tasks, OPENINGS, outlook(days))
    for visit in plan.visits:
        assert visit.day >= TODAY
        assert all(t.latest_day >= visit.day for t in visit.tasks) or visit.day == TODAY
        assert len({t.id for t in visit.tasks}) == len(visit.tasks)
    assert plan.total_min == pytest.approx(sum(v.total_min + v.cost_min for v in plan.visits))
    assert plan.bound_min <= plan.total_min


@settings(deadline=None, max_examples=30)
@given(st.lists(st.tuples(st.integers(0, 25), st.integers(1, 150)), min_size=2, max_size=6))
def test_with_one_opening_and_costs_of_one_shape_neighbours_are_enough(drawn: list[tuple[int, int]]) -> None:
    tasks = [task(f"t{n}", due, tolerance=6, worth=worth) for n, (due, worth) in enumerate(drawn)]
    neighbours = cheapest_grouping(tasks, 0.0, neighbours_only=True)
    assert plan_visits(tasks, OPENINGS, outlook()).total_min == pytest.approx(neighbours, abs=0.01)


def test_with_two_openings_neighbours_are_not_enough() -> None:
    tasks = [
        task("a", 10, access="carburettor"),
        task("b", 12, access="propeller"),
        task("c", 14, access="carburettor"),
        task("d", 16, access="propeller"),
    ]
    tasks = [replace(t, worth_min=150.0) for t in tasks]
    plan = plan_visits(tasks, OPENINGS, outlook())
    assert days_of(plan) == [(10, "a c"), (12, "b d")]
    assert plan.total_min < cheapest_grouping(tasks, 0.0, neighbours_only=True)


def test_with_a_task_that_bears_lateness_badly_neighbours_are_not_enough() -> None:
    fixed = [replace(task(n, due, worth=3000.0), late_weight=1.0) for n, due in (("a", 10), ("z", 20))]
    waits = replace(task("b", 14, tolerance=20, worth=300.0), late_weight=0.1)
    cannot_wait = task("c", 15, worth=100.0)
    plan = plan_visits([*fixed, waits, cannot_wait], OPENINGS, outlook())
    assert days_of(plan) == [(10, "a c"), (20, "b z")]


def test_the_reed_block_is_looked_at_while_the_carburettor_is_off() -> None:
    plan = plan_visits([task("kit", 10), task("reed", 20, access="reeds")], OPENINGS, outlook())
    assert days_of(plan) == [(10, "kit reed")]
    assert plan.visits[0].in_words() == (
        "2026-05-14: kit, reed; 74 min",
        "Air box off; Carburettor off: opened once for kit and reed, 24 min saved",
    )
    # Ten of a hundred days of what is worth 30 min.
    assert plan.visits[0].cost_min == pytest.approx(3.0)
    assert plan.separate_min - plan.total_min == pytest.approx(24.0 - 3.0)


def test_an_expensive_part_is_not_thrown_away_early_for_an_opening() -> None:
    plan = plan_visits([task("kit", 10), task("piston", 40, worth=900.0)], OPENINGS, outlook())
    assert days_of(plan) == [(10, "kit"), (40, "piston")]


def test_a_tolerance_lets_a_visit_wait_and_zero_tolerance_does_not() -> None:
    straps = task("straps", 14, worth=2000.0)
    waits = task("kit", 12, tolerance=5)
    assert days_of(plan_visits([waits, straps], OPENINGS, outlook())) == [(14, "kit straps")]
    hard = replace(waits, latest_day=TODAY + 12)
    assert days_of(plan_visits([hard, straps], OPENINGS, outlook())) == [(12, "kit"), (14, "straps")]


def test_what_is_past_its_limit_comes_today_and_is_said() -> None:
    plan = plan_visits([task("hose", -8)], OPENINGS, outlook())
    assert days_of(plan) == [(0, "hose")]
    assert plan.visits[0].in_words()[-1] == (
        "hose: past its limit and tolerance, not to be flown before it is done"
    )


def test_a_short_task_comes_back_within_the_outlook() -> None:
    plug = replace(task("plug", 20, access="plug"), interval_days=30.0)
    assert days_of(plan_visits([plug], OPENINGS, outlook(90))) == [(20, "plug"), (50, "plug"), (80, "plug")]


def test_a_neglected_task_is_done_once_now_and_then_after_its_interval() -> None:
    plug = replace(task("plug", -75, access="plug"), interval_days=30.0)
    assert days_of(plan_visits([plug], OPENINGS, outlook(70))) == [(0, "plug"), (30, "plug"), (60, "plug")]


def test_a_task_due_after_the_outlook_is_not_planned() -> None:
    plan = plan_visits([task("kit", 61)], OPENINGS, outlook(60))
    assert (plan.visits, plan.total_min, plan.gap) == ((), 0.0, 0.0)


def test_the_order_of_the_tasks_does_not_matter() -> None:
    tasks = [task(f"t{n}", 7 * n % 30, tolerance=3, worth=40.0) for n in range(10)]
    assert plan_visits(tasks, OPENINGS, outlook(200)) == plan_visits(tasks[::-1], OPENINGS, outlook(200))


@pytest.mark.parametrize("effort", [0.01, 0.5])
def test_a_search_that_stops_early_says_how_far_it_may_be_off(effort: float) -> None:
    tasks = [
        replace(task(f"t{n:02}", 3 * n, access=OPENINGS[n % 6].id, tolerance=5), interval_days=40.0)
        for n in range(20)
    ]
    plan = plan_visits(tasks, OPENINGS, Outlook(TODAY, TODAY + 400, 10.0, effort))
    assert not plan.proven
    assert 0.0 < plan.gap < 1.0
    assert plan.total_min < plan.separate_min
    assert "from the cheapest" in plan.working().validity


def test_an_opening_that_is_not_there_is_named() -> None:
    with pytest.raises(ValueError, match='no opening is called "head"'):
        plan_visits([task("decarbonise", 5, access="head")], OPENINGS, outlook())


def test_an_effort_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="effort must be above 0"):
        plan_visits([task("kit", 5)], OPENINGS, Outlook(TODAY, TODAY + 60, effort=0.0))


@pytest.mark.parametrize("visit_min", [-1.0, float("nan"), float("inf")])
def test_a_visit_that_costs_less_than_nothing_is_refused(visit_min: float) -> None:
    with pytest.raises(ValueError, match="minutes of a visit must be between 0 and 480 min"):
        outlook(visit_min=visit_min)
