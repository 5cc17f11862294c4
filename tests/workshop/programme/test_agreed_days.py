"""A visit is moved to a day that was agreed; a week that is too full says so."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

import pytest

from tickover.workshop.kernel.models import Entry
from tickover.workshop.programme import queries
from tickover.workshop.programme.workload import visit_chart, visit_plan
from tickover.workshop.programme.workload.agreed_day import FURTHEST, AgreedDayError, agree

pytestmark = pytest.mark.usefixtures("verified")


@pytest.fixture
def flown(outer: Any, hours: Any, now: datetime) -> Any:
    for week in range(16):
        hours(outer, 4.0, now.date() - timedelta(weeks=16 - week))
    return outer


@pytest.fixture
def by(crew: Any, now: datetime) -> dict[str, Any]:
    return {"who": crew.technician, "at": now}


def first(engine: Any, today: date) -> visit_plan.PlannedVisit:
    plan = visit_plan.plan(queries.engine_lines([engine], today), today)
    return min((v for v in plan.visits), key=lambda v: v.visit.day)


def test_an_agreed_day_goes_before_the_best_one(flown: Any, now: datetime, by: dict[str, Any]) -> None:
    today = now.date()
    assert first(flown, today).agreed is None
    on = today + timedelta(days=10)
    agree(flown, on, **by)
    visit = first(flown, today)
    assert visit.agreed == on and visit.week == on - timedelta(days=on.weekday())
    assert "Agreed for" in visit.when
    agree(flown, None, **by)
    assert first(flown, today).agreed is None


def test_a_day_after_the_latest_one_says_so(flown: Any, now: datetime, by: dict[str, Any]) -> None:
    today = now.date()
    latest = first(flown, today).latest
    agree(flown, latest, **by)
    assert first(flown, today).too_late == ""
    agree(flown, latest + timedelta(days=1), **by)
    assert "after its latest" in first(flown, today).too_late


def test_a_day_that_is_over_is_forgotten(flown: Any, now: datetime, by: dict[str, Any]) -> None:
    on = now.date() + timedelta(days=2)
    agree(flown, on, **by)
    assert visit_plan.agreed_days([flown], on) == {flown.pk: on}
    assert visit_plan.agreed_days([flown], on + timedelta(days=1)) == {}


@pytest.mark.parametrize(
    ("days", "allowed"), [(-1, False), (0, True), (FURTHEST.days, True), (FURTHEST.days + 1, False)]
)
def test_a_day_is_from_today_to_a_year_ahead(
    outer: Any, now: datetime, by: dict[str, Any], days: int, allowed: bool
) -> None:
    before = Entry.objects.count()
    if allowed:
        assert agree(outer, now.date() + timedelta(days=days), **by)
        return
    with pytest.raises(AgreedDayError, match="Choose a day from today on"):
        agree(outer, now.date() + timedelta(days=days), **by)
    assert Entry.objects.count() == before


def test_a_week_is_too_full_from_one_minute_over(flown: Any, now: datetime) -> None:
    today = now.date()
    plan = visit_plan.plan(queries.engine_lines([flown], today), today)
    week = next(w for w in visit_chart.loaded_weeks(plan, today, None) if w.visits)
    assert week.over_words == "", "nobody said how many hours there are"
    for bench_h, full in ((week.hours_h, False), (week.hours_h - 0.1, True), (week.hours_h + 0.1, False)):
        there = next(w for w in visit_chart.loaded_weeks(plan, today, bench_h) if w.visits)
        assert bool(there.over_words) == full


def test_every_visit_of_the_weeks_is_in_the_drawing(flown: Any, now: datetime) -> None:
    today = now.date()
    plan = visit_plan.plan(queries.engine_lines([flown], today), today)
    loaded = visit_chart.loaded_weeks(plan, today, 5.0)
    end = today + timedelta(weeks=12)
    assert sum(len(w.visits) for w in loaded) == sum(
        v.week < end - timedelta(days=end.weekday()) for v in plan.visits
    )
    drawn = visit_chart.picture(loaded)
    assert flown.name in drawn and 'class="pic-dash"' in drawn
    assert 'class="pic-dash"' not in visit_chart.picture(visit_chart.loaded_weeks(plan, today, None))


def test_the_page_moves_a_visit(flown: Any, crew: Any, signed_in: Any) -> None:
    browser = signed_in(crew.technician)
    on = date.today() + timedelta(days=5)
    sent = browser.post(f"/engines/{flown.serial}/agreed-day/", {"on_day": on.isoformat()}, follow=True)
    assert f'value="{on.isoformat()}"' in sent.content.decode()
    wrong = browser.post(f"/engines/{flown.serial}/agreed-day/", {"on_day": "soon"}, follow=True)
    assert "Choose a day such as" in wrong.content.decode()
    assert browser.post("/engines/none/agreed-day/", {}).status_code == 404
