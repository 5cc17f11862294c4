"""Bench hours of the weeks ahead, as a distribution, and the visits that share openings."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from itertools import product
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from django.test import Client
from scipy.stats import binom

from tickover.science.planning.season import EVEN, Season
from tickover.workshop.programme import queries
from tickover.workshop.programme.workload import visit_plan, weeks

pytestmark = pytest.mark.usefixtures("verified")

TODAY = date(2025, 5, 7)  # a Wednesday, by the calendar


@pytest.fixture
def flown(outer: Any, hours: Callable[..., Any]) -> Any:
    hours(outer, 0.0, date(2025, 1, 1))
    for week in range(16):
        hours(outer, 4.0, date(2025, 1, 5) + timedelta(weeks=week))
    return outer


# Reference: the binomial distribution of SciPy.
def test_tasks_of_equal_length_and_chance_make_a_binomial() -> None:
    spread, step = weeks.sums(np.full((12, 1), 0.3), np.full(12, 20.0))
    assert step == 1.0
    assert spread[0, ::20] == pytest.approx(binom.pmf(np.arange(13), 12, 0.3), abs=1e-12)


def test_unlike_tasks_are_summed_over_every_case() -> None:
    chances, minutes = np.array([[0.1, 0.9], [0.5, 0.2], [0.75, 0.4]]), np.array([5.0, 7.0, 12.0])
    spread, _ = weeks.sums(chances, minutes)
    expected = np.zeros_like(spread)
    for case in product((0, 1), repeat=3):
        place = int(np.dot(case, minutes))
        expected[:, place] += np.prod(np.where(np.array(case)[:, None], chances, 1 - chances), axis=0)
    assert spread == pytest.approx(expected, abs=1e-12)


def test_a_large_fleet_is_counted_on_a_coarser_grid() -> None:
    rng = np.random.default_rng(3)
    chances, minutes = rng.uniform(0, 0.2, (2000, 12)), rng.uniform(5, 90, 2000)
    spread, step = weeks.sums(chances, minutes)
    mean = spread @ (step * np.arange(spread.shape[1]))
    assert spread.sum(axis=1) == pytest.approx(np.ones(12))
    assert mean == pytest.approx(minutes @ chances, rel=0.01)


def test_no_engine_asks_for_nothing() -> None:
    empty = weeks.ahead([], TODAY)
    assert [week.expected_h for week in empty.weeks] == [0.0] * 12


def test_the_weeks_begin_today_and_then_on_mondays() -> None:
    firsts = weeks.week_starts(TODAY)
    assert firsts[:3] == [TODAY, date(2025, 5, 12), date(2025, 5, 19)]
    assert len(firsts) == weeks.WEEKS + 1


def test_what_is_overdue_is_counted_in_the_first_week(flown: Any, hours: Callable[..., Any]) -> None:
    hours(flown, 60.0, date(2025, 5, 6))
    first = weeks.ahead(queries.engine_lines([flown], TODAY), TODAY).weeks[0]
    certain = {a.line.task.id: a.minutes for a in first.asked if a.chance == 1.0}
    assert "diaphragm-service" in certain
    # 75 min of work, and the openings it needs: more than the work alone, by the type sheet.
    assert certain["diaphragm-service"] > 75.0
    assert first.expected_h * 60 >= certain["diaphragm-service"]


def test_a_calendar_limit_falls_into_its_own_week(outer: Any) -> None:
    # Without hours the calendar is certain: the flange check, 6 months after 1 January, is due on 1 July.
    found = weeks.ahead(queries.engine_lines([outer], TODAY), TODAY)
    holding = [w for w in found.weeks for a in w.asked if a.line.task.id == "flange-check"]
    assert [(w.first, w.last) for w in holding] == [(date(2025, 6, 30), date(2025, 7, 6))]
    assert holding[0].low_h == holding[0].high_h == pytest.approx(holding[0].expected_h, abs=0.01)


def test_the_chances_of_all_weeks_are_the_chance_of_the_whole(flown: Any) -> None:
    lines = queries.engine_lines([flown], TODAY)
    found = weeks.ahead(lines, TODAY)
    for line in lines[0].lines:
        whole = queries.chance_due_within(line, np.array([(found.weeks[-1].last - TODAY).days], dtype=float))
        named = sum(a.chance for w in found.weeks for a in w.asked if a.line.task.id == line.task.id)
        assert named <= whole[0] + 1e-9
        assert named == pytest.approx(whole[0], abs=weeks.WORTH_NAMING * weeks.WEEKS)


def test_bench_hours_that_do_not_hold_it_are_told(flown: Any, hours: Callable[..., Any]) -> None:
    hours(flown, 60.0, date(2025, 5, 6))
    lines = queries.engine_lines([flown], TODAY)
    tight, ample = (weeks.ahead(lines, TODAY, h).weeks[0].chance_over for h in (0.5, 80.0))
    assert (tight, ample) == (pytest.approx(1.0), pytest.approx(0.0, abs=1e-9))


def test_a_visit_does_together_what_is_due_together(flown: Any, hours: Callable[..., Any]) -> None:
    hours(flown, 40.0, date(2025, 5, 6))
    plan = visit_plan.plan(queries.engine_lines([flown], TODAY), TODAY, 6.0)
    first = plan.visits[0]
    assert len(first.visit.tasks) > 1
    assert plan.saved_min >= visit_plan.VISIT_MIN * (len(first.visit.tasks) - 1)
    assert first.day >= TODAY and first.monday is not None


def test_the_baseline_inspection_waits_outside_the_plan(outer: Any) -> None:
    plan = visit_plan.plan(queries.engine_lines([outer], TODAY), TODAY)
    assert "Baseline inspection" not in " ".join(v.titles for v in plan.visits)


@pytest.mark.parametrize(
    ("typed", "says"),
    [("", "bench hours in the next 12 weeks."), ("12", "Over 12 h"), ("7,5", "Over 7.5 h"),
     ("many", "is not a number"), ("nan", "is not a number"), ("-3", "must be 0.1 or more"),
     ("0", "must be 0.1 or more"), ("1001", "must be 1000 or less"), ("<b>", "is not a number"),
     ("1,234", "can mean 1234 or 1.234")],
)  # fmt: skip
def test_the_page_takes_bench_hours_as_people_write_them(
    flown: Any, crew: Any, signed_in: Callable[..., Client], typed: str, says: str
) -> None:
    answer = signed_in(crew.technician).get("/weeks/", {"hours": typed})
    page = answer.content.decode()
    assert answer.status_code == 200 and says in page and "<b>" not in page


def test_the_page_opens_without_any_engine(sheet: Any, crew: Any, signed_in: Callable[..., Client]) -> None:
    answer = signed_in(crew.technician).get("/weeks/?hours=3")
    page = answer.content.decode()
    assert answer.status_code == 200 and "No visit needed" in page
    assert "Bench hours of the visits" not in page, "a drawing of nothing"


def test_the_season_is_told_month_by_month_and_averages_out() -> None:
    usage = SimpleNamespace(season=Season((0.5, 0.0), 0.0))
    fleet = [SimpleNamespace(lines=[SimpleNamespace(usage=usage)])]
    months = weeks.season(fleet, date(2026, 11, 25))
    assert [m.first for m in months][:3] == [date(2026, 11, 1), date(2026, 12, 1), date(2027, 1, 1)]
    assert sum(m.busyness for m in months) / 12 == pytest.approx(1.0, abs=0.02)
    assert all("<svg" in m.picture for m in months)


def test_no_season_is_drawn_while_none_is_known() -> None:
    fleet = [SimpleNamespace(lines=[SimpleNamespace(usage=SimpleNamespace(season=EVEN))])]
    assert weeks.season(fleet, date(2026, 11, 25)) == () == weeks.season([], date(2026, 11, 25))
