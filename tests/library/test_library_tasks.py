"""The tasks of the library give what the science below them gives, in the units of the bench, and refuse slips."""

from __future__ import annotations

import math
from datetime import date
from typing import Any

import numpy as np
import pytest
from scipy import stats

import tickover
from tickover.science.core.input_checks import InsufficientDataError, OutOfRangeError
from tickover.science.engine.pressure_decay import leak_from_decay

TODAY = date(2026, 5, 4)
DONE = {"done_h": 100.0, "done_on": date(2026, 1, 31)}


def test_months_end_on_the_last_day_and_hours_on_their_sum() -> None:
    due = tickover.next_due(every_h=25.0, every_months=1, **DONE)
    assert (due.due_h, due.due_on) == (125.0, date(2026, 2, 28))


@pytest.mark.parametrize(
    ("now_h", "state"),
    [(122.0, "not yet"), (122.5, "due soon"), (125.0, "due"), (127.0, "due"), (127.1, "over tolerance")],
)  # fmt: skip
def test_the_state_changes_at_each_limit(now_h: float, state: str) -> None:
    assert tickover.next_due(every_h=25.0, tolerance_h=2.0, **DONE).state(now_h, TODAY) == state


@pytest.mark.parametrize(
    ("now_h", "rate", "on"),
    [
        (120.0, 0.5, date(2026, 5, 14)),
        (120.0, 0.51, date(2026, 5, 13)),
        (120.0, 0.0, None),
        (125.0, 0.0, TODAY),
        (126.0, 0.5, date(2026, 5, 2)),
        (120.0, 1e-9, None),
    ],
)
def test_the_likely_day_is_never_later_than_the_limit(now_h: float, rate: float, on: date | None) -> None:
    due = tickover.next_due(every_h=25.0, **DONE)
    assert due.likely_on(now_h, TODAY, rate) == on
    if on:
        assert due.is_due_by(on, now_h, TODAY, rate)
        assert not due.is_due_by(date.fromordinal(on.toordinal() - 1), now_h, TODAY, rate)


def test_a_task_without_a_limit_never_falls_due() -> None:
    due = tickover.next_due(**DONE)
    assert (due.due_h, due.due_on, due.hours_left(120.0)) == (None, None, None)
    assert due.first(120.0, TODAY, 0.5) == "neither"
    assert not due.is_due_by(date(2099, 1, 1), 120.0, TODAY, 0.5)


def test_an_overrun_is_taken_off_the_next_interval() -> None:
    late = tickover.next_due(every_h=25.0, done_h=102.0, done_on=TODAY, planned_h=100.0)
    assert (late.due_h, late.hours_left(120.0)) == (125.0, 5.0)
    assert "overrun" in late.working(120.0, TODAY, 0.5).formula


# Standard atmosphere by ISO 2533: 15 deg C, 1013.25 hPa at sea level is altitude 0; dry air.
def test_a_standard_day_has_density_altitude_nought() -> None:
    day = tickover.density_altitude(15.0, qnh_hpa=1013.25, elevation_m=0.0, humidity=0.0)
    assert isinstance(day.moist_m, float)
    assert day.moist_m == pytest.approx(0.0, abs=0.01)
    assert not tickover.density_altitude(15.0, qnh_hpa=1013.25, elevation_m=0.0, humidity=None).humidity_known


@pytest.mark.parametrize(
    ("slip", "hint"),
    [
        ({"temperature_c": 288.15}, "take off 273.15"),
        ({"qnh_hpa": 101_325.0}, "pascals divided by 100"),
        ({"qnh_hpa": 29.92}, "33.8639"),
        ({"humidity": 60.0}, "divide percent by 100"),
        ({"elevation_m": 9_000.0}, "feet"),
    ],
)
def test_a_slip_of_unit_in_the_air_is_named_in_the_units_asked_for(slip: dict[str, float], hint: str) -> None:
    good: dict[str, Any] = {"temperature_c": 15.0, "qnh_hpa": 1013.0, "elevation_m": 400.0, "humidity": 0.5}
    with pytest.raises(OutOfRangeError, match=hint):
        tickover.density_altitude(**{**good, **slip})


def test_a_mixture_wants_the_humidity_of_both_days() -> None:
    needle = tickover.Needle(1.2, 10.0, 0.7)
    air, unknown = tickover.Air(20.0, 1013.0, 300.0, 0.5), tickover.Air(20.0, 1013.0, 300.0, None)
    same = {"turns": 1.25, "needle": needle, "fuel": "e5", "oil_ratio": 50.0}
    assert tickover.mixture_for_air(air, set_in=air, **same).step_turns == 0.0
    for now, then in ((air, unknown), (unknown, air)):
        with pytest.raises(OutOfRangeError, match="humidity"):
            tickover.mixture_for_air(now, set_in=then, **same)
    with pytest.raises(OutOfRangeError, match="fuel must be one of"):
        tickover.mixture_for_air(air, set_in=air, **{**same, "fuel": "diesel"})


@pytest.mark.parametrize(
    ("value", "decision"), [(1.55, "inside"), (1.60, "cannot tell"), (1.65, "outside"), (1.2, "cannot tell")]
)
def test_a_reading_is_judged_allowing_for_gauge_error(value: float, decision: str) -> None:
    judged = tickover.judge_reading(value, lower=1.2, upper=1.6, expanded_uncertainty=0.05, resolution=0.01)
    assert judged.decision == decision


def test_a_reading_may_be_taken_as_read() -> None:
    gauge = {"expanded_uncertainty": 0.05, "resolution": 0.01, "as_read": True}
    assert tickover.judge_reading(1.6, upper=1.6, **gauge).decision == "inside"
    assert tickover.judge_reading(1.61, upper=1.6, **gauge).decision == "outside"


# Lever arms by hand: hand to nut over hand to square.
def test_an_extension_asks_for_less_on_the_wrench_and_across_for_the_same() -> None:
    wrench = {"wrench_length_mm": 250.0, "extension_mm": 50.0}
    assert tickover.wrench_setting(12.0, **wrench) == pytest.approx(12.0 * 250.0 / 300.0)
    assert tickover.wrench_setting(12.0, **wrench, angle_deg=90.0) == pytest.approx(12.0)
    with pytest.raises(OutOfRangeError, match="millimetres are wanted"):
        tickover.wrench_setting(12.0, wrench_length_mm=0.25, extension_mm=50.0)


@pytest.mark.parametrize(
    ("thread", "size"), [("M6", (6.0, 1.0)), ("M8x1", (8.0, 1.0)), ("M8 x 1.25", (8.0, 1.25))]
)
def test_a_thread_is_read_with_its_pitch(thread: str, size: tuple[float, float]) -> None:
    screw = tickover.bolt_preload(9.5, thread=thread, bearing_mm=9.0, friction=(0.1, 0.16), tool_share=0.04)
    assert (screw.diameter_mm, screw.pitch_mm) == size
    assert isinstance(screw.middle_n, float)


@pytest.mark.parametrize("thread", ["6", "M", "1/4-28", "M6x", 6, None])
def test_what_is_no_metric_thread_is_refused(thread: Any) -> None:
    with pytest.raises(OutOfRangeError, match="metric thread"):
        tickover.bolt_preload(9.5, thread=thread, bearing_mm=9.0, friction=(0.1, 0.16), tool_share=0.04)


def test_a_set_torque_is_judged_by_the_class_of_its_wrench() -> None:
    wrench = {"lower_nm": 9.0, "upper_nm": 11.0, "tool_class": "II A"}
    assert tickover.judge_set_torque(11.0, largest_nm=25.0, **wrench).conformity == "conforms"
    assert tickover.judge_set_torque(11.1, largest_nm=25.0, **wrench).conformity == "does not conform"
    assert tickover.judge_set_torque(9.0, largest_nm=10.0, **wrench).deviation == 0.06
    with pytest.raises(OutOfRangeError, match="setting of the torque"):
        tickover.judge_set_torque(math.nan, largest_nm=25.0, **wrench)


def test_a_leak_in_bench_units_is_the_leak_in_si() -> None:
    bench = tickover.pressure_decay(
        500.0, 470.0, time_min=1.0, volume_cm3=400.0, start_c=20.0, end_c=22.0, outside_hpa=960.0,
        u_pressure_hpa=2.0, u_temperature_k=0.3, u_volume_cm3=20.0, u_time_min=0.02,
    )  # fmt: skip
    si = leak_from_decay(
        50_000.0, 47_000.0, 1.0, 4e-4, 293.15, 295.15, outside_pa=96_000.0,
        u_pressure_pa=200.0, u_temperature_k=0.3, u_volume_m3=2e-5, u_time_min=0.02,
    )  # fmt: skip
    assert bench.leak_l_min == pytest.approx(si.leak_l_min)
    assert bench.u_leak_l_min == pytest.approx(si.u_leak_l_min)
    with pytest.raises(OutOfRangeError):
        tickover.pressure_decay(
            0.5, 0.47, time_min=1.0, volume_cm3=400.0, start_c=20.0, end_c=20.0, outside_hpa=960.0,
            u_pressure_hpa=2.0, u_temperature_k=0.3, u_volume_cm3=20.0, u_time_min=0.02,
        )  # fmt: skip


# Outside: scipy.stats.weibull_min fitted to the same right-censored ages.
def test_a_weibull_fit_with_suspensions_agrees_with_scipy() -> None:
    hours, failed = np.array([182.0, 240.0, 255.0, 310.0, 320.0, 350.0]), np.array([1, 1, 1, 1, 0, 0])
    life = tickover.fit_weibull(hours, failed=failed)
    data = stats.CensoredData(uncensored=hours[failed == 1], right=hours[failed == 0])
    shape, _, scale = stats.weibull_min.fit(data, floc=0.0)
    assert (life.shape, life.scale_h) == pytest.approx((shape, scale), rel=1e-3)


# Outside: scipy.stats.ecdf of the same right-censored ages.
def test_a_survival_curve_agrees_with_scipy() -> None:
    hours, failed = np.array([182.0, 240.0, 255.0, 310.0, 320.0, 350.0]), np.array([1, 0, 1, 1, 0, 0])
    curve = tickover.kaplan_meier(hours, failed=failed)
    data = stats.CensoredData(uncensored=hours[failed == 1], right=hours[failed == 0])
    assert curve.lasting == pytest.approx(stats.ecdf(data).sf.evaluate(curve.ages_h))


def test_all_parts_have_failed_unless_it_is_said() -> None:
    hours = [182.0, 240.0, 255.0, 310.0]
    assert tickover.fit_weibull(hours).shape == tickover.fit_weibull(hours, failed=[True] * 4).shape
    assert tickover.kaplan_meier(hours).lasting[-1] == pytest.approx(0.0)


def test_ages_and_marks_that_cannot_be_are_refused() -> None:
    for task in (tickover.fit_weibull, tickover.kaplan_meier):
        with pytest.raises(InsufficientDataError, match="nothing has failed"):
            task([100.0, 200.0], failed=[0, 0])
        with pytest.raises(OutOfRangeError, match="1 or 0"):
            task([100.0, 200.0], failed=[0.5, 1])
        with pytest.raises(OutOfRangeError):
            task([100.0, -1.0], failed=[1, 1])


def test_survivors_show_a_longer_interval_the_more_they_have_lived() -> None:
    short, long = (tickover.interval_from_survivors([h] * 5, shape=3.0) for h in (100.0, 200.0))
    assert long.hours_until(0.05) == pytest.approx(2.0 * short.hours_until(0.05))
    assert short.likeliest_h == math.inf
