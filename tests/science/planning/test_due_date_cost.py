"""The days a task may be due on, and what another day costs."""

from dataclasses import replace
from typing import NamedTuple

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.planning.due import Interval, LastDone, next_due
from tickover.science.planning.due_date_cost import DueTask, EngineNow, due_task
from tickover.science.planning.usage import Usage

TODAY = 739_000
CLUB_ENGINE = Usage(mean_h_per_day=0.5, variance_h2_per_day=1.0, days_seen=364, known=float("inf"))
ENGINE = EngineNow(now_h=110.0, today=TODAY, usage=CLUB_ENGINE, u_h=0.0)


class Row(NamedTuple):
    id: str = "plug"
    title: str = "Plug"
    minutes: float = 5.0
    access: tuple[str, ...] = ("plug-out",)


def planned(interval: Interval, engine: EngineNow = ENGINE) -> DueTask:
    return due_task(Row(), interval, next_due(interval, LastDone(100.0, TODAY - 20), 0, 0.0), engine)


def plug(**changed: object) -> DueTask:
    given: dict[str, object] = {
        "due_days": (TODAY + 10, TODAY + 20, TODAY + 40),
        "latest_day": TODAY + 15,
        "interval_days": 100.0,
        "worth_min": 60.0,
    }
    return DueTask("plug", "Plug", 5.0, ("plug-out",), **(given | changed))  # type: ignore[arg-type]


def test_a_calendar_limit_is_certain() -> None:
    task = planned(Interval(hours=None, months=6, tolerance_days=15))
    assert len(set(task.due_days)) == 1
    assert task.latest_day == task.due_days[0] + 15
    assert task.interval_days == pytest.approx(6 * 30.44, abs=0.1)


def test_hours_are_due_on_a_fan_of_days() -> None:
    task = planned(Interval(hours=25.0, months=None))
    early, middle, late = (day - TODAY for day in task.due_days)
    assert early < middle < late
    assert 20 < middle < 40  # 15 h left at half an hour a day
    assert task.interval_days == pytest.approx(50.0)


def test_without_tolerance_the_latest_day_is_the_first_it_may_be_due_on() -> None:
    task = planned(Interval(hours=25.0, months=None))
    assert task.latest_day == task.due_days[0]
    assert planned(Interval(hours=25.0, months=None, tolerance_h=2.5)).latest_day > task.latest_day


def test_the_calendar_cuts_the_fan_off() -> None:
    task = planned(Interval(hours=25.0, months=2))
    calendar_day = next_due(Interval(25.0, 2), LastDone(100.0, TODAY - 20), 0, 0.0).due_day
    assert calendar_day is not None
    assert task.due_days[2] == calendar_day


def test_hours_beyond_the_tolerance_were_to_be_done_before_today() -> None:
    interval = Interval(hours=25.0, months=None, tolerance_h=2.5)
    assert planned(interval, EngineNow(127.4, TODAY, CLUB_ENGINE, u_h=0.0)).latest_day == TODAY
    assert planned(interval, EngineNow(127.6, TODAY, CLUB_ENGINE, u_h=0.0)).latest_day < TODAY


def test_a_task_on_condition_cannot_be_planned() -> None:
    with pytest.raises(ValueError, match="on condition is never due"):
        planned(Interval(hours=None, months=None))


# 0.3 x 10 + 0.4 x 20 + 0.3 x 40 = 23 days early; at a hundred days and 60 min, 0.6 min a day.
def test_done_today_it_loses_the_mean_of_its_days() -> None:
    assert plug().cost_min(TODAY) == pytest.approx(23 * 0.6)


def test_a_day_late_counts_three_times() -> None:
    task = plug(due_days=(TODAY, TODAY, TODAY))
    assert task.cost_min(TODAY + 5) == pytest.approx(3 * task.cost_min(TODAY - 5))


def test_no_more_than_half_its_life_is_given_away() -> None:
    assert plug().earliest_day == TODAY + 10 - 50


@given(st.integers(-100, 100), st.integers(1, 50))
def test_the_cost_of_a_day_is_convex(day: int, step: int) -> None:
    before, on, after = (plug().cost_min(TODAY + d) for d in (day - step, day, day + step))
    assert on <= (before + after) / 2 + 1e-9


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"due_days": (TODAY + 9, TODAY + 3, TODAY + 12)}, "must come in order"),
        ({"latest_day": TODAY}, "must not come before the first"),
        ({"interval_days": 0.5}, "interval must be a day or more"),
        ({"interval_days": float("nan")}, "interval must be a day or more"),
        ({"worth_min": -1.0}, "worth_min must be 0 or more"),
        ({"late_weight": float("inf")}, "late_weight must be 0 or more"),
    ],
)
def test_nonsense_is_refused_with_the_task_named(changed: dict[str, object], message: str) -> None:
    with pytest.raises(ValueError, match=f"^Plug: .*{message}"):
        plug(**changed)


def test_hours_that_are_not_sure_bring_the_first_day_it_may_be_due_on_nearer() -> None:
    unsure = replace(ENGINE, u_h=4.0)
    interval = Interval(hours=25.0, months=None, tolerance_h=2.5)
    sure, doubtful = planned(interval), planned(interval, unsure)
    assert doubtful.due_days[0] < sure.due_days[0] and doubtful.latest_day < sure.latest_day
    assert doubtful.due_days[2] > sure.due_days[2]
    with pytest.raises(OutOfRangeError, match="uncertainty of the engine time"):
        replace(ENGINE, u_h=-1.0)
