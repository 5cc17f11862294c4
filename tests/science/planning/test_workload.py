"""Visits in bench weeks: against every way to book them, and never late without saying so."""

from collections.abc import Mapping, Sequence
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tickover.science.core.calendar_days import day_of
from tickover.science.planning.access import visit_minutes
from tickover.science.planning.due_date_cost import DueTask
from tickover.science.planning.visits import Visit
from tickover.science.planning.workload import BenchWeek, WeekPlan, spread

MONDAY = day_of(2026, 5, 4)


def visit(due: int, minutes: float = 120.0, *, tolerance: int = 0, worth: float = 100.0) -> Visit:
    """A visit with one task, due for certain so many days from the first Monday, every 100 days."""
    day = MONDAY + due
    task = DueTask("kit", "Kit", minutes, (), (day, day, day), day + tolerance, 100.0, worth)
    return Visit(day, (task,), visit_minutes([task], ()))


def weeks(*bench_min: float) -> list[BenchWeek]:
    return [BenchWeek(MONDAY + 7 * n, minutes) for n, minutes in enumerate(bench_min)]


def booked(plan: WeekPlan) -> list[str]:
    return [" ".join(b.visit_id for b in load.bookings) for load in plan.loads]


def over_and_cost(chosen: Sequence[int], visits: Sequence[Visit], open_weeks: Sequence[BenchWeek]) -> tuple:
    work = [
        sum(v.total_min for v, w in zip(visits, chosen, strict=True) if w == n)
        for n in range(len(open_weeks))
    ]
    over = sum(max(0.0, load - week.bench_min) for load, week in zip(work, open_weeks, strict=True))
    return over, sum(
        v.cost_min_on(min(open_weeks[w].friday, max(open_weeks[w].monday, v.window[1])))
        for v, w in zip(visits, chosen, strict=True)
    )


def in_time(v: Visit, open_weeks: Sequence[BenchWeek]) -> list[int]:
    first, last = v.window
    ends = [n for n, week in enumerate(open_weeks) if week.friday <= last]
    return [n for n in ends if open_weeks[n].friday >= first] or ends[-1:] or [0]


VISITS = st.builds(
    visit, st.integers(-5, 35), st.integers(10, 300), tolerance=st.integers(0, 20), worth=st.integers(0, 500)
)


@settings(deadline=None, max_examples=60)
@given(st.lists(VISITS, min_size=1, max_size=5), st.lists(st.integers(0, 400), min_size=4, max_size=5))
def test_no_other_booking_is_less_over_or_cheaper(visits: list[Visit], bench: list[int]) -> None:
    open_weeks = weeks(*bench)
    named = {f"v{n}": v for n, v in enumerate(visits)}
    plan = spread(named, open_weeks)
    every = product(*(in_time(v, open_weeks) for v in visits))
    over, cost = min((over_and_cost(chosen, visits, open_weeks) for chosen in every), key=lambda found: found)
    assert plan.proven
    assert plan.over_min == pytest.approx(over)
    assert plan.least_over_min == pytest.approx(over)
    assert plan.cost_min == pytest.approx(cost, abs=0.01)


@settings(deadline=None, max_examples=60)
@given(st.lists(VISITS, max_size=12), st.lists(st.integers(0, 600), min_size=5, max_size=8))
def test_each_visit_is_booked_once_and_late_only_aloud(visits: list[Visit], bench: list[int]) -> None:
    named = {f"v{n:02}": v for n, v in enumerate(visits)}
    plan = spread(named, weeks(*bench))
    bookings = {b.visit_id: b for load in plan.loads for b in load.bookings}
    assert bookings.keys() == named.keys()
    assert sum(len(load.bookings) for load in plan.loads) == len(named)
    for name, booking in bookings.items():
        assert booking.by_day <= named[name].window[1] or booking.late_days > 0
    told = " ".join(plan.in_words())
    assert all((name in told) == (b.late_days > 0) for name, b in bookings.items())
    assert ("min over" in told) == (plan.over_min > 0)


def test_visits_move_to_earlier_weeks_when_theirs_is_full() -> None:
    plan = spread({"a": visit(11, worth=900.0), "b": visit(11, worth=50.0)}, weeks(120, 120))
    assert booked(plan) == ["b", "a"]
    assert (plan.over_min, plan.in_words()) == (0.0, ())
    assert plan.cost_min == pytest.approx(7 * 50.0 / 100)


def test_a_week_too_small_says_by_how_much() -> None:
    plan = spread({"a": visit(4), "b": visit(4), "c": visit(11)}, weeks(200, 120))
    assert booked(plan) == ["a b", "c"]
    assert plan.in_words() == ("week of 2026-05-04: 240 min of work for 200 min of bench, 40 min over",)
    assert plan.least_over_min == 40.0


def test_a_limit_is_not_passed_even_if_the_week_after_is_empty() -> None:
    plan = spread({"straps": visit(6), "hose": visit(6)}, weeks(120, 1000))
    assert booked(plan) == ["hose straps", ""]
    assert plan.over_min == 120.0


def test_a_tolerance_is_used_when_the_bench_is_full() -> None:
    plan = spread({"straps": visit(6), "kit": visit(6, tolerance=10)}, weeks(120, 1000))
    assert booked(plan) == ["straps", "kit"]
    assert plan.over_min == 0.0


def test_a_limit_in_the_middle_of_the_first_week_names_the_day() -> None:
    (load,) = spread({"hose": visit(2)}, weeks(300)).loads
    assert [(b.by_day - MONDAY, b.late_days) for b in load.bookings] == [(2, 0)]


def test_a_limit_in_the_middle_of_a_later_week_is_met_the_week_before() -> None:
    assert booked(spread({"hose": visit(9)}, weeks(300, 300))) == ["hose", ""]


def test_what_is_late_already_comes_first_and_is_said() -> None:
    plan = spread({"hose": visit(-3)}, weeks(300, 300))
    assert plan.in_words() == ("week of 2026-05-04: hose comes 3 days after its latest day",)


def test_a_closed_week_is_worked_around() -> None:
    assert booked(spread({"kit": visit(11)}, weeks(300, 0))) == ["kit", ""]


def test_an_empty_book_is_no_work() -> None:
    plan = spread({}, weeks(300, 300))
    assert (booked(plan), plan.cost_min, plan.proven) == (["", ""], 0.0, True)


def test_the_order_of_the_visits_does_not_matter() -> None:
    named: Mapping[str, Visit] = {f"v{n}": visit(7 * n % 40, tolerance=7) for n in range(12)}
    turned = dict(reversed(named.items()))
    assert spread(named, weeks(*[300] * 8)) == spread(turned, weeks(*[300] * 8))


def test_a_visit_beyond_the_last_week_asks_for_more_weeks() -> None:
    with pytest.raises(ValueError, match="kit: not before 2026-06-13, after the last week; give more weeks"):
        spread({"kit": visit(90)}, weeks(300, 300))


@pytest.mark.parametrize("wrong", [[], weeks(300, 300)[::-1], weeks(300) * 2])
def test_weeks_out_of_order_are_refused(wrong: list[BenchWeek]) -> None:
    with pytest.raises(ValueError, match="give the weeks in order"):
        spread({}, wrong)


def test_a_week_begins_on_monday_and_its_bench_time_is_a_number() -> None:
    with pytest.raises(ValueError, match="2026-05-05 is not a Monday"):
        BenchWeek(MONDAY + 1, 300.0)
    with pytest.raises(ValueError, match="must be 0 or more"):
        BenchWeek(MONDAY, float("nan"))
