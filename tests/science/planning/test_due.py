"""Due by hours or by the calendar, whichever comes first."""

import datetime
import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tickover.science.core.calendar_days import add_months
from tickover.science.planning.due import (
    ROUNDING_TOLERANCE,
    Due,
    DueState,
    GoverningLimit,
    Interval,
    LastDone,
    first_again,
    next_due,
)
from tickover.science.planning.life_left import share_left


def day(iso: str) -> int:
    return datetime.date.fromisoformat(iso).toordinal()


CARBURETTOR = Interval(hours=100.0, months=12, tolerance_h=10.0, tolerance_days=30)
IN_SERVICE = day("2024-05-01")
HOURS = st.floats(0, 5000, allow_nan=False)
DAYS = st.integers(day("1990-01-01"), day("2090-01-01"))


def carburettor_due(interval: Interval = CARBURETTOR) -> Due:
    return next_due(interval, LastDone(212.4, day("2025-05-01")), IN_SERVICE, 0.0)


def test_both_limits_are_counted_from_the_last_time() -> None:
    due = carburettor_due()
    assert due.due_h == pytest.approx(312.4)
    assert due.due_day == day("2026-05-01")
    assert (due.last_h, due.last_day) == (212.4, day("2025-05-01"))


def test_a_task_never_done_is_due_after_its_first_run() -> None:
    bolts = Interval(hours=25.0, months=6, first_after_h=1.0, tolerance_h=2.5)
    due = next_due(bolts, None, IN_SERVICE, 40.0)
    assert due.due_h == 41.0
    assert due.due_day == day("2024-11-01")
    assert due.tolerance_h == pytest.approx(0.1)


def test_once_done_the_first_run_counts_no_more() -> None:
    bolts = Interval(hours=25.0, months=6, first_after_h=1.0)
    assert next_due(bolts, LastDone(41.2, day("2024-06-01")), IN_SERVICE, 40.0).due_h == pytest.approx(66.2)


def test_a_task_without_a_first_run_is_due_after_its_ordinary_interval() -> None:
    assert next_due(CARBURETTOR, None, IN_SERVICE, 40.0).due_h == 140.0


@pytest.mark.parametrize(
    ("now_h", "today", "state"),
    [
        (250.0, "2025-10-01", DueState.NOT_YET),
        (302.4, "2025-10-01", DueState.DUE_SOON),
        (312.4, "2025-10-01", DueState.DUE),
        (322.4, "2025-10-01", DueState.DUE),
        (322.5, "2025-10-01", DueState.OVER_TOLERANCE),
        (250.0, "2026-03-31", DueState.NOT_YET),
        (250.0, "2026-04-01", DueState.DUE_SOON),
        (250.0, "2026-05-01", DueState.DUE),
        (250.0, "2026-05-31", DueState.DUE),
        (250.0, "2026-06-01", DueState.OVER_TOLERANCE),
        (313.0, "2026-06-01", DueState.OVER_TOLERANCE),
    ],
)
def test_the_more_urgent_of_the_two_limits_is_the_state(now_h: float, today: str, state: DueState) -> None:
    assert carburettor_due().state(now_h, day(today)) == state


def test_a_short_calendar_interval_is_not_due_soon_for_a_third_of_its_time() -> None:
    plug = next_due(Interval(hours=10.0, months=3), LastDone(0.0, day("2025-01-01")), IN_SERVICE, 0.0)
    assert plug.state(0.0, day("2025-03-20")) is DueState.NOT_YET
    assert plug.state(0.0, day("2025-03-24")) is DueState.DUE_SOON
    assert plug.state(0.0, day("2025-03-20"), soon_fraction=0.5) is DueState.DUE_SOON


def test_due_soon_is_never_later_than_one_tolerance_before() -> None:
    # A tenth of 100 h and of a year are 10 h and 36 days; of the days at most 30 count.
    wide = Interval(hours=100.0, months=12, tolerance_h=25.0, tolerance_days=60)
    due = next_due(wide, LastDone(0.0, day("2025-05-01")), IN_SERVICE, 0.0)
    assert due.state(74.9, day("2025-06-01")) is DueState.NOT_YET
    assert due.state(75.0, day("2025-06-01")) is DueState.DUE_SOON
    assert due.state(0.0, day("2026-03-01")) is DueState.NOT_YET
    assert due.state(0.0, day("2026-03-02")) is DueState.DUE_SOON


def test_due_soon_is_a_share_of_the_interval_and_at_most_so_many_days() -> None:
    due = next_due(Interval(hours=100.0, months=12), LastDone(0.0, day("2025-05-01")), IN_SERVICE, 0.0)
    assert due.state(0.0, day("2026-03-31")) is DueState.NOT_YET
    assert due.state(0.0, day("2026-04-01")) is DueState.DUE_SOON
    assert due.state(0.0, day("2026-04-20"), soon_days=10) is DueState.NOT_YET
    assert due.state(0.0, day("2026-04-21"), soon_days=10) is DueState.DUE_SOON
    assert due.state(79.9, day("2025-06-01"), soon_fraction=0.2) is DueState.NOT_YET
    assert due.state(80.0, day("2025-06-01"), soon_fraction=0.2) is DueState.DUE_SOON


def test_by_default_a_tenth_of_the_interval_is_due_soon_and_no_overrun_is_allowed() -> None:
    due = next_due(Interval(hours=100.0, months=None), LastDone(0.0, IN_SERVICE), IN_SERVICE, 0.0)
    assert due.state(89.9, IN_SERVICE) is DueState.NOT_YET
    assert due.state(90.0, IN_SERVICE) is DueState.DUE_SOON
    monthly = next_due(Interval(hours=None, months=1), LastDone(0.0, day("2025-05-01")), IN_SERVICE, 0.0)
    assert monthly.state(0.0, day("2025-06-01")) is DueState.DUE
    assert monthly.state(0.0, day("2025-06-02")) is DueState.OVER_TOLERANCE


def test_a_few_milliseconds_short_of_a_whole_interval_late_the_plan_has_lapsed() -> None:
    lapsed_h = 312.4 + 100.0 - ROUNDING_TOLERANCE
    for at_h, due_h in ((lapsed_h, lapsed_h + 100.0), (lapsed_h - ROUNDING_TOLERANCE, 412.4)):
        late = LastDone(at_h, IN_SERVICE, planned_h=312.4)
        assert next_due(CARBURETTOR, late, IN_SERVICE, 0.0).due_h == pytest.approx(due_h)


def test_a_few_milliseconds_are_no_overrun() -> None:
    due = next_due(Interval(hours=10.0, months=None), LastDone(0.0, IN_SERVICE), IN_SERVICE, 0.0)
    assert due.state(10.0 - 0.95e-6, IN_SERVICE) is DueState.DUE
    assert due.state(10.0 - 1.05e-6, IN_SERVICE) is DueState.DUE_SOON
    assert due.state(10.0 + 0.95e-6, IN_SERVICE) is DueState.DUE
    assert due.state(10.0 + 1.05e-6, IN_SERVICE) is DueState.OVER_TOLERANCE


def test_the_very_edges_count_as_in_time() -> None:
    due = Due(due_h=10.0, due_day=None, last_h=0.0, last_day=IN_SERVICE, tolerance_h=0.0, tolerance_days=0)
    assert due.state(10.0 - ROUNDING_TOLERANCE, IN_SERVICE) is DueState.DUE
    assert due.state(10.0 + ROUNDING_TOLERANCE, IN_SERVICE) is DueState.DUE


def test_a_day_past_its_tolerance_is_over() -> None:
    due = Due(due_h=None, due_day=1000, last_h=0.0, last_day=900, tolerance_h=0.0, tolerance_days=3)
    assert [due.state(0.0, today) for today in (999, 1000, 1003, 1004)] == [
        DueState.DUE_SOON, DueState.DUE, DueState.DUE, DueState.OVER_TOLERANCE
    ]  # fmt: skip


def test_a_limit_that_is_no_number_is_not_taken_for_not_yet() -> None:
    for due_h, now_h in ((math.nan, 1.0), (1.0, math.nan)):
        due = Due(due_h, None, 0.0, IN_SERVICE, 0.0, 0)
        with pytest.raises(ValueError, match="cannot be judged"):
            due.state(now_h, IN_SERVICE)


@pytest.mark.parametrize(("first_h", "tolerance_h"), [(5.0, 2.0), (10.0, 4.0), (25.0, 10.0), (50.0, 10.0)])
def test_the_first_time_has_the_tolerance_in_proportion_and_never_more(
    first_h: float, tolerance_h: float
) -> None:
    bolts = Interval(hours=25.0, months=None, first_after_h=first_h, tolerance_h=10.0)
    assert bolts.first_tolerance_h == tolerance_h
    assert next_due(bolts, None, IN_SERVICE, 0.0).tolerance_h == tolerance_h
    assert next_due(bolts, LastDone(first_h, IN_SERVICE), IN_SERVICE, 0.0).tolerance_h == 10.0


def test_a_first_time_alone_has_the_whole_tolerance() -> None:
    assert Interval(hours=None, months=None, first_after_h=5.0, tolerance_h=2.0).first_tolerance_h == 2.0


def test_without_tolerance_the_first_tenth_of_an_hour_over_is_over() -> None:
    due = next_due(Interval(hours=10.0, months=None), LastDone(0.0, IN_SERVICE), IN_SERVICE, 0.0)
    assert due.state(10.0, IN_SERVICE) is DueState.DUE
    assert due.state(10.1, IN_SERVICE) is DueState.OVER_TOLERANCE


def test_hours_summed_from_tenths_are_not_over_for_a_rounding() -> None:
    due = next_due(Interval(hours=0.3, months=None), LastDone(0.0, IN_SERVICE), IN_SERVICE, 0.0)
    assert 0.1 + 0.2 > 0.3
    assert due.state(0.1 + 0.2, IN_SERVICE) is DueState.DUE


def test_engine_time_that_is_no_number_is_not_taken_for_not_yet() -> None:
    with pytest.raises(ValueError, match="cannot be judged"):
        carburettor_due().state(math.nan, IN_SERVICE)


def test_on_condition_never_falls_due() -> None:
    due = next_due(Interval(hours=None, months=None), None, IN_SERVICE, 0.0)
    assert due.state(9999.0, day("2090-01-01")) is DueState.NOT_YET
    assert due.bites(9999.0, day("2090-01-01"), 1.0) is GoverningLimit.NEITHER
    assert due.days_left(0.0, IN_SERVICE, 1.0) == math.inf


# 14 CFR 91.409(b): "The 100-hour limitation may be exceeded by not more than 10 hours while en route to reach a place
# where the inspection can be done. The excess time used to reach a place where the inspection can be done must be
# included in computing the next 100 hours of time in service."
@pytest.mark.parametrize(("late_h", "late_days"), [(5.6, 19), (10.0, 30), (27.6, 92), (99.9, 364)])
def test_an_overrun_is_taken_off_the_next_interval(late_h: float, late_days: int) -> None:
    late = LastDone(
        312.4 + late_h, day("2026-05-01") + late_days, planned_h=312.4, planned_day=day("2026-05-01")
    )
    due = next_due(CARBURETTOR, late, IN_SERVICE, 0.0)
    assert due.due_h == pytest.approx(412.4)
    assert due.due_day == day("2027-05-01")


@pytest.mark.parametrize(("early_h", "early_days"), [(0.1, 1), (9.0, 29), (10.1, 31), (62.4, 200)])
def test_early_work_does_not_stretch_the_interval(early_h: float, early_days: int) -> None:
    early_day = day("2026-05-01") - early_days
    early = LastDone(312.4 - early_h, early_day, planned_h=312.4, planned_day=day("2026-05-01"))
    due = next_due(CARBURETTOR, early, IN_SERVICE, 0.0)
    assert due.due_h == pytest.approx(412.4 - early_h)
    assert due.due_day == add_months(early_day, 12)


def test_done_29_days_early_a_task_of_12_months_is_due_12_months_later() -> None:
    early = LastDone(250.0, day("2026-04-02"), planned_h=312.4, planned_day=day("2026-05-01"))
    assert next_due(CARBURETTOR, early, IN_SERVICE, 0.0).due_day == day("2027-04-02")


def test_done_on_the_day_and_hour_it_was_planned_for_it_is_one_interval_on() -> None:
    done = LastDone(312.4, day("2026-05-01"), planned_h=312.4, planned_day=day("2026-05-01"))
    due = next_due(CARBURETTOR, done, IN_SERVICE, 0.0)
    assert (due.due_h, due.due_day) == (412.4, day("2027-05-01"))


def test_hours_and_days_are_counted_each_by_itself() -> None:
    annual = LastDone(250.0, day("2026-05-20"), planned_h=312.4, planned_day=day("2026-05-01"))
    due = next_due(CARBURETTOR, annual, IN_SERVICE, 0.0)
    assert due.due_h == 350.0
    assert due.due_day == day("2027-05-01")


@pytest.mark.parametrize(
    ("at_h", "on", "due_h", "due_on"),
    [
        (412.3, "2027-04-30", 412.4, "2027-05-01"),
        (412.4, "2027-05-01", 512.4, "2028-05-01"),
        (500.0, "2029-01-01", 600.0, "2030-01-01"),
    ],
)
def test_late_by_a_whole_interval_the_plan_has_lapsed(
    at_h: float, on: str, due_h: float, due_on: str
) -> None:
    late = LastDone(at_h, day(on), planned_h=312.4, planned_day=day("2026-05-01"))
    due = next_due(CARBURETTOR, late, IN_SERVICE, 0.0)
    assert (due.due_h, due.due_day) == (pytest.approx(due_h), day(due_on))


def test_the_working_says_what_was_taken_off() -> None:
    late = LastDone(318.0, day("2026-05-20"), planned_h=312.4, planned_day=day("2026-05-01"))
    working = next_due(CARBURETTOR, late, IN_SERVICE, 0.0).working(320.0, day("2026-06-01"), 0.1)
    assert working.formula == (
        "100 h after 312.4 h (planned; overrun of 5.6 h taken off) = 412.4 h; "
        "12 months after 2026-05-01 (planned; overrun of 19 days taken off) = 2027-05-01"
    )


def test_anchored_to_what_was_done_every_delay_moves_the_next() -> None:
    actual = Interval(100.0, 12, tolerance_h=10.0, tolerance_days=30, anchor="actual")
    late = LastDone(318.0, day("2026-05-20"), planned_h=312.4, planned_day=day("2026-05-01"))
    due = next_due(actual, late, IN_SERVICE, 0.0)
    assert (due.due_h, due.due_day) == (418.0, day("2027-05-20"))


def test_hours_bite_when_they_run_out_before_the_calendar() -> None:
    due = Due(due_h=312.4, due_day=1080, last_h=212.4, last_day=700, tolerance_h=0.0, tolerance_days=0)
    # 37.5 h left at 0.5 h a day are 75 days; 80 days are left by the calendar
    assert due.days_left(274.9, 1000, 0.5) == pytest.approx(75.0)
    assert due.bites(274.9, 1000, 0.5) is GoverningLimit.HOURS
    assert due.bites(274.9, 1000, 0.4) is GoverningLimit.CALENDAR
    assert due.bites(274.9, 1000, 0.0) is GoverningLimit.CALENDAR


def test_hours_already_used_up_bite_even_in_an_engine_that_stands() -> None:
    due = Due(due_h=300.0, due_day=1080, last_h=200.0, last_day=700, tolerance_h=0.0, tolerance_days=0)
    assert due.bites(301.0, 1000, 0.0) is GoverningLimit.HOURS


def test_the_working_says_where_each_limit_comes_from() -> None:
    working = carburettor_due().working(250.0, day("2025-10-01"), 0.1)
    assert working.formula == ("100 h after 212.4 h = 312.4 h; 12 months after 2025-05-01 = 2026-05-01")
    assert working.result.name == "first to come: calendar"
    assert working.result.value == "2026-05-01"
    assert working.authority == "common practice, no source"
    assert carburettor_due().working(250.0, day("2025-10-01"), 2.0).result.value == "312.4 h"


def test_the_working_of_an_on_condition_task_says_so() -> None:
    working = next_due(Interval(None, None), None, IN_SERVICE, 0.0).working(1.0, IN_SERVICE, 0.1)
    assert (working.formula, working.result.value) == ("no limit", "on condition")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ({"hours": 0.0}, "hours must be above 0"),
        ({"hours": math.nan}, "hours must be above 0"),
        ({"months": -1}, "months must be above 0"),
        ({"first_after_h": 0.0}, "first_after_h must be above 0"),
        ({"tolerance_h": -1.0}, "tolerance must be 0 or more"),
        ({"tolerance_h": 100.0}, "not below the interval"),
        ({"months": 1, "tolerance_days": 30}, "as long as 1 months"),
        ({"tolerance_days": -1}, "tolerance must be 0 or more"),
        ({"tolerance_h": math.nan}, "tolerance must be 0 or more"),
        ({"months": 1, "tolerance_days": 28}, "as long as 1 months"),
        ({"hours": math.inf}, "hours must be above 0"),
        ({"anchor": "floating"}, 'anchor must be "planned" or "actual"'),
    ],
)
def test_an_impossible_interval_is_refused_in_words(arguments: dict[str, float], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        Interval(**({"hours": 100.0, "months": 12} | arguments))  # type: ignore[arg-type]


def test_the_widest_tolerances_that_make_sense_are_taken() -> None:
    assert Interval(hours=10.0, months=1, tolerance_h=9.99, tolerance_days=27).tolerance_days == 27
    assert Interval(hours=0.1, months=1, first_after_h=0.1).hours == 0.1


@pytest.mark.parametrize(
    ("now_h", "rate", "left"),
    [
        (300.0, 1.0, 12.4),
        (300.0, 0.5, 24.8),
        (300.0, 0.0, math.inf),
        (311.9, 0.0, math.inf),
        (312.4, 0.0, -math.inf),
        (312.9, 0.0, -math.inf),
    ],
)
def test_days_left_by_hours(now_h: float, rate: float, left: float) -> None:
    due = Due(312.4, None, 212.4, IN_SERVICE, 0.0, 0)
    assert due.days_left(now_h, IN_SERVICE, rate) == pytest.approx(left)


def test_hours_bite_where_both_fall_together() -> None:
    due = Due(due_h=110.0, due_day=1010, last_h=0.0, last_day=0, tolerance_h=0.0, tolerance_days=0)
    assert due.bites(100.0, 1000, 1.0) is GoverningLimit.HOURS
    assert due.bites(100.0, 1000, 0.9) is GoverningLimit.CALENDAR
    assert due.days_left(100.0, 1000, 1.0) == 10.0
    assert due.days_left(100.0, 1000, 0.5) == 10.0


@st.composite
def intervals(draw: st.DrawFn) -> Interval:
    hours = draw(st.none() | st.floats(1, 500))
    months = draw(st.none() | st.integers(1, 60))
    return Interval(
        hours=hours,
        months=months,
        first_after_h=draw(st.none() | st.floats(0.5, 50)),
        tolerance_h=0.0 if hours is None else draw(st.floats(0, 0.5)) * hours,
        tolerance_days=0 if months is None else draw(st.integers(0, 27 * months)),
        anchor=draw(st.sampled_from(["planned", "actual"])),
    )


@given(intervals(), HOURS, DAYS, HOURS, DAYS)
def test_a_task_is_never_due_before_it_was_done(
    interval: Interval, at_h: float, on_day: int, planned_h: float, planned_day: int
) -> None:
    due = next_due(interval, LastDone(at_h, on_day, planned_h, planned_day), IN_SERVICE, 0.0)
    assert due.due_h is None or due.due_h > at_h
    assert due.due_day is None or due.due_day > on_day


@given(intervals(), HOURS, DAYS, HOURS, DAYS, st.floats(0, 200), st.integers(0, 400))
def test_more_hours_or_more_days_never_make_a_task_less_urgent(
    interval: Interval, at_h: float, on_day: int, now_h: float, today: int, more_h: float, more_days: int
) -> None:
    due = next_due(interval, LastDone(at_h, on_day), IN_SERVICE, 0.0)
    urgency = list(DueState).index
    now = urgency(due.state(now_h, today))
    assert urgency(due.state(now_h + more_h, today)) >= now
    assert urgency(due.state(now_h, today + more_days)) >= now


@given(st.lists(st.tuples(st.floats(0, 1), st.floats(0, 1)), min_size=1, max_size=20))
def test_a_plan_overrun_within_its_tolerance_never_drifts(delays: list[tuple[float, float]]) -> None:
    due = carburettor_due()
    for late_h, late_days in delays:
        assert due.due_h is not None
        assert due.due_day is not None
        done = LastDone(
            due.due_h + late_h * CARBURETTOR.tolerance_h,
            due.due_day + round(late_days * CARBURETTOR.tolerance_days),
            planned_h=due.due_h,
            planned_day=due.due_day,
        )
        due = next_due(CARBURETTOR, done, IN_SERVICE, 0.0)
    assert due.due_h == pytest.approx(312.4 + 100.0 * len(delays))
    assert due.due_day == day(f"{2026 + len(delays)}-05-01")


@given(intervals(), HOURS, DAYS, st.floats(-600, 600), st.integers(-2000, 2000))
def test_the_next_limit_is_never_later_than_one_interval_after_the_work(
    interval: Interval, at_h: float, on_day: int, late_h: float, late_days: int
) -> None:
    due = next_due(interval, LastDone(at_h, on_day, at_h - late_h, on_day - late_days), IN_SERVICE, 0.0)
    assert due.due_h is None or interval.hours is None or due.due_h <= at_h + interval.hours
    assert (
        due.due_day is None or interval.months is None or due.due_day <= add_months(on_day, interval.months)
    )


@given(intervals(), HOURS, DAYS, st.floats(0, 5))
def test_what_bites_is_a_limit_the_task_has(
    interval: Interval, now_h: float, today: int, rate_h_per_day: float
) -> None:
    due = next_due(interval, None, IN_SERVICE, 0.0)
    assume(due.due_h is not None or due.due_day is not None)
    bites = due.bites(now_h, today, rate_h_per_day)
    if bites is GoverningLimit.HOURS:
        assert due.due_h is not None
    if bites is GoverningLimit.CALENDAR:
        assert due.due_day is not None


# What is fitted settles, and is tried again after its first hours: common practice, no source.

BOLTS = Interval(hours=25.0, months=6, first_after_h=1.0)


def tried_again(done_h: float | None, begun_h: float | None) -> float | None:
    """When the bolts are due that were tried at `done_h`, where the propeller was fitted at `begun_h`. [h]"""
    done, begun = (None if h is None else LastDone(h, day("2025-05-01")) for h in (done_h, begun_h))
    return first_again(BOLTS, next_due(BOLTS, done, IN_SERVICE, 0.0), done, begun).due_h


@pytest.mark.parametrize(
    ("done_h", "begun_h", "due_h"),
    [
        (10.0, None, 35.0),
        (10.0, 9.9, 35.0),  # tried after the fitting
        (10.0, 10.0, 11.0),  # tried at the fitting itself: not run since
        (10.0, 20.0, 21.0),
        (10.0, 34.0, 35.0),
        (10.0, 34.5, 35.0),  # its own 25 h come first
        (None, 0.4, 1.0),  # new, due after its first hour as it is
    ],
)
def test_bolts_are_tried_again_an_hour_after_the_propeller_was_fitted(
    done_h: float | None, begun_h: float | None, due_h: float
) -> None:
    assert tried_again(done_h, begun_h) == due_h


def test_a_task_on_condition_falls_due_by_the_fitting_alone_and_once() -> None:
    again = Interval(hours=None, months=None, first_after_h=10.0)
    blank = Interval(hours=None, months=None)
    fitted, tried = LastDone(40.0, day("2025-05-01")), LastDone(50.0, day("2025-06-01"))
    assert first_again(again, next_due(blank, None, IN_SERVICE, 0.0), None, None).due_h is None
    due = first_again(again, next_due(blank, None, IN_SERVICE, 0.0), None, fitted)
    assert (due.due_h, due.due_day, due.last_h) == (50.0, None, 40.0)
    assert first_again(again, next_due(blank, tried, IN_SERVICE, 0.0), tried, fitted).due_h is None


@pytest.mark.parametrize(
    ("now_h", "today", "left"),
    [
        (100.0, 1000, 1.0),  # just done
        (125.0, 1000, 0.5),  # half of the hours
        (100.0, 1090, 0.1),  # nine tenths of the days: the calendar leaves less
        (150.0, 1000, 0.0),  # at the limit by hours
        (149.9, 1000, 0.002),
        (100.0, 1100, 0.0),  # at the limit by date
        (160.0, 1200, 0.0),  # beyond both
        (90.0, 990, 1.0),  # before it was done: no more than the whole
    ],
)
def test_the_share_left_is_that_of_the_limit_that_leaves_less(now_h: float, today: int, left: float) -> None:
    """Worked out by hand: 50 h and 100 days from 100 h and day 1000."""
    due = Due(150.0, 1100, 100.0, 1000, 0.0, 0)
    assert share_left(due, now_h, today) == pytest.approx(left, abs=1e-9)


def test_without_a_limit_all_of_it_is_left() -> None:
    assert share_left(Due(None, None, 100.0, 1000, 0.0, 0), 1e4, 10_000) == 1.0
