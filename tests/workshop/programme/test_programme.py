"""The programme: due by hours or by the calendar, whichever comes first, and moved by a release."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tickover.workshop.programme import actions, queries
from tickover.workshop.programme.models import TaskDone
from tickover.workshop.register import queries as register

pytestmark = pytest.mark.usefixtures("verified")

DIAPHRAGM = "diaphragm-service"
# In service since 1 January 2025. Dates below are counted on a calendar by hand.


def state(engine: Any, today: date, task_id: str = DIAPHRAGM) -> str:
    return queries.due_of(engine, task_id, today).state


def test_the_diaphragm_is_due_at_100_h_or_after_12_months(outer: Any, hours: Callable[..., Any]) -> None:
    hours(outer, 0.0, date(2025, 1, 1))
    line = queries.due_of(outer, DIAPHRAGM, date(2025, 1, 2))
    assert (line.due.due_h, line.due_on) == (100.0, date(2026, 1, 1))
    assert line.why == "Due at 100.0 h or on 1 Jan 2026, whichever comes first; now 0.0 h."


@pytest.mark.parametrize(
    ("hours_h", "said"),
    [(50.0, "not yet"), (90.0, "due soon"), (100.0, "due"), (110.0, "due"), (110.1, "over tolerance")],
)
def test_hours_alone_make_it_due(outer: Any, hours: Callable[..., Any], hours_h: float, said: str) -> None:
    hours(outer, hours_h, date(2025, 3, 1))
    assert state(outer, date(2025, 3, 2)) == said


@pytest.mark.parametrize(
    ("today", "said"),
    [
        (date(2025, 11, 1), "not yet"),
        (date(2025, 12, 15), "due soon"),
        (date(2026, 1, 1), "due"),
        (date(2026, 1, 31), "due"),
        (date(2026, 2, 1), "over tolerance"),
    ],
)
def test_the_calendar_alone_makes_it_due(outer: Any, today: date, said: str) -> None:
    assert state(outer, today) == said


def test_what_was_run_before_the_register_moves_the_limit_and_is_no_rate(
    outer: Any, hours: Callable[..., Any]
) -> None:
    hours(outer, 212.0, date(2025, 1, 1))
    line = queries.due_of(outer, DIAPHRAGM, date(2025, 2, 1))
    assert (line.due.due_h, line.now_h, line.left_h) == (312.0, 212.0, 100.0)
    assert line.usage.mean_h_per_day < 0.5


def test_the_first_flange_check_comes_early(outer: Any, hours: Callable[..., Any]) -> None:
    hours(outer, 0.0, date(2025, 1, 1))
    assert queries.due_of(outer, "flange-check", date(2025, 1, 2)).due.due_h == 5.0
    hours(outer, 5.0, date(2025, 1, 10))
    assert state(outer, date(2025, 1, 11), "flange-check") == "due"


def test_done_a_little_late_the_next_is_counted_from_the_plan(
    outer: Any, crew: Any, hours: Callable[..., Any], now: datetime
) -> None:
    hours(outer, 104.0, date(2025, 12, 1))
    actions.record_done(outer, DIAPHRAGM, date(2026, 1, 11), 104.0, "R-1", who=crew.technician, at=now)
    due = queries.due_of(outer, DIAPHRAGM, date(2026, 1, 12)).due
    # 4 h and 10 days late, inside 10 h and 30 days: 100 + 100 h, 1 January 2026 + 12 months.
    assert (due.due_h, date.fromordinal(due.due_day)) == (200.0, date(2027, 1, 1))


def test_an_overrun_beyond_the_tolerance_is_taken_off_the_next_interval(
    outer: Any, crew: Any, hours: Callable[..., Any], now: datetime
) -> None:
    hours(outer, 115.0, date(2025, 12, 1))
    actions.record_done(outer, DIAPHRAGM, date(2026, 3, 1), 115.0, "R-1", who=crew.technician, at=now)
    due = queries.due_of(outer, DIAPHRAGM, date(2026, 3, 2)).due
    assert (due.due_h, date.fromordinal(due.due_day)) == (200.0, date(2027, 1, 1))


def test_a_release_moves_the_next_due(outer: Any, hands: Any, hours: Callable[..., Any]) -> None:
    hours(outer, 5.2, date(2025, 5, 1))
    job = hands.open(outer)
    hands.do_all(job)
    release = hands.release(job)
    done = TaskDone.objects.get()
    assert (done.at_h, done.planned_h, done.reference) == (5.2, 5.0, release.number)
    line = queries.due_of(outer, "flange-check", hands.at.date())
    assert line.state == "not yet"
    assert line.due.due_h == 30.0  # planned at 5 h, done 0.2 h later, which is taken off the next 25 h
    assert queries.history(outer, "flange-check") == [done]


def test_a_log_that_is_withdrawn_gives_the_hours_back(
    outer: Any, crew: Any, hours: Callable[..., Any], now: datetime
) -> None:
    from tickover.workshop.engine_time.actions import withdraw

    entry = hours(outer, 100.0, date(2025, 3, 1))
    assert state(outer, date(2025, 3, 2)) == "due"
    withdraw(entry, "other engine", who=crew.technician, at=now)
    assert state(outer, date(2025, 3, 2)) == "not yet"


def test_the_most_urgent_engine_comes_first(outer: Any, inner: Any, hours: Callable[..., Any]) -> None:
    hours(inner, 130.0, date(2025, 3, 1))
    lines = queries.engine_lines(register.engines(), date(2025, 3, 2))
    assert [line.engine.name for line in lines] == ["Inner", "Outer"]
    assert lines[0].first.state == "over tolerance"


def test_a_busy_engine_is_due_by_hours_and_a_quiet_one_by_the_calendar(
    outer: Any, inner: Any, hours: Callable[..., Any]
) -> None:
    for week in range(12):
        hours(outer, 4.0, date(2025, 1, 5) + timedelta(weeks=week))
        hours(inner, 0.2, date(2025, 1, 5) + timedelta(weeks=week))
    today = date(2025, 4, 1)
    busy, quiet = (queries.due_of(e, DIAPHRAGM, today) for e in (outer, inner))
    assert busy.heading.chance_by_hours > 0.8 > 0.2 > quiet.heading.chance_by_hours
    assert re.fullmatch(r"52\.0 h left, about \d months", busy.sentence)
    assert quiet.sentence == "9 months left, due 1 Jan 2026"
    assert busy.heading.day_10 <= busy.heading.day_50 <= busy.heading.day_90
    assert quiet.heading.day_50 == date(2026, 1, 1)


def test_an_overdue_task_says_how_far(outer: Any, hours: Callable[..., Any]) -> None:
    hours(outer, 103.0, date(2025, 3, 1))
    assert (
        queries.due_of(outer, DIAPHRAGM, date(2025, 3, 2)).sentence == "due now: 3.0 h over, within tolerance"
    )
    hours(outer, 27.0, date(2025, 3, 3))
    assert queries.due_of(outer, DIAPHRAGM, date(2025, 3, 4)).sentence == "overdue 30.0 h: before next run"


def test_on_its_last_day_a_task_is_due_today(outer: Any, hours: Callable[..., Any]) -> None:
    hours(outer, 1.0, date(2025, 3, 1))
    last_day = date(2026, 1, 1)
    says = [queries.due_of(outer, DIAPHRAGM, last_day + timedelta(days=n)).sentence for n in (-1, 0, 1)]
    assert says == ["1 day left, due 1 Jan 2026", "due today", "due now: 1 day over, within tolerance"]


def test_a_task_that_the_programme_does_not_have_is_refused(outer: Any) -> None:
    with pytest.raises(LookupError, match="no task 'varnish'"):
        queries.due_of(outer, "varnish", date(2025, 3, 2))


def test_the_limit_box_holds_what_was_run_since_the_last_time(outer: Any, hours: Callable[..., Any]) -> None:
    hours(outer, 3.0, date(2025, 2, 1))
    hours(outer, 2.0, date(2025, 3, 1))
    box = queries.due_of(outer, DIAPHRAGM, date(2025, 4, 1)).box
    assert [h for _, h in box.track] == [3.0, 5.0]
    assert all(low <= middle <= high for _, low, middle, high in box.fan)


def test_more_engines_cost_no_more_questions_to_the_database(outer: Any, inner: Any) -> None:
    counts = []
    for engines in ([outer], [outer, inner]):
        with CaptureQueriesContext(connection) as asked:
            queries.engine_lines(engines, date(2025, 3, 2))
        counts.append(len(asked))
    assert counts[1] <= counts[0] + 2  # its own type sheet and unknown hours, not its entries one by one


def test_the_bolts_are_due_1_h_and_10_h_after_the_propeller_was_fitted(
    outer: Any, hours: Callable[..., Any], crew: Any, now: datetime
) -> None:
    """Tried 2 h ago, then the propeller was off and on: due again after 1 h, and once more after 10 h."""
    bolts, again = "propeller-bolts-wood", "propeller-torque-again-wood"
    hours(outer, 30.0, date(2025, 3, 1))
    by = {"who": crew.technician, "at": now}
    actions.record_done(outer, bolts, date(2025, 3, 2), 28.0, "book, page 1", **by)
    assert queries.due_of(outer, bolts, date(2025, 3, 3)).due.due_h == 53.0
    assert queries.due_of(outer, again, date(2025, 3, 3)).due.due_h is None
    actions.record_done(outer, "propeller-track-and-balance", date(2025, 3, 3), 30.0, "book, page 2", **by)
    assert queries.due_of(outer, bolts, date(2025, 3, 4)).due.due_h == 31.0
    assert queries.due_of(outer, again, date(2025, 3, 4)).due.due_h == 40.0
