"""Run-ups with stretches that nobody heard or logged: what is not known is not measured, and it says why."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.science.run_up.test_run_up import LIMITS, Truth
from tickover.science.run_up import RunUpJudgement, Severity, analyse, judge, make_trace

HEARD_HZ = 20.0
"""A recording gives a speed every 0.05 s."""
TRUTH = Truth(hz=HEARD_HZ)
SHUT_AT = 25.0


def heard(start_s: float, end_s: float, truth: Truth = TRUTH, **more: Any) -> RunUpJudgement:
    """The run with no sure speed from one time to another."""
    trace = truth.run().trace
    unsure = (trace.t_s >= start_s) & (trace.t_s <= end_s)
    return analyse(make_trace(trace.t_s, np.where(unsure, np.nan, trace.rpm), **more), 8000.0)


def why_not(run: RunUpJudgement, id: str) -> str:
    measure = run.measure(id)
    assert measure.value is None
    return measure.why_not


def test_what_was_heard_throughout_is_measured() -> None:
    run = heard(-2.0, -1.0)
    assert run.measure("drop-back").value is not None and run.measure("opening").value is not None


@pytest.mark.parametrize("id", ["opening", "bog", "flat-spots"])
@pytest.mark.parametrize(("start_s", "end_s"), [(0.2, 1.1), (0.5, 1.4), (-0.4, 0.5), (-1.0, 4.0)])
def test_an_opening_that_was_not_heard_throughout_is_not_timed(start_s: float, end_s: float, id: str) -> None:
    run = heard(TRUTH.opens_at + start_s, TRUTH.opens_at + end_s)
    assert "while it opened there is no sure speed" in why_not(run, id)


@pytest.mark.parametrize("start_s", [SHUT_AT - 0.2, SHUT_AT + 0.3, SHUT_AT + 0.7])
def test_a_fall_that_was_not_heard_throughout_is_not_timed(start_s: float) -> None:
    run = heard(start_s, start_s + 0.9)
    assert "as it fell back there is no sure speed" in why_not(run, "drop-back")
    finding = next(f for f in judge(run, LIMITS) if f.id == "drop-back-next")
    assert finding.weight is Severity.MEASURE_NEXT and finding.do


def test_a_few_samples_missing_only_widen_the_uncertainty() -> None:
    whole, thin = heard(-2.0, -1.0), heard(SHUT_AT + 0.4, SHUT_AT + 0.6)
    assert thin.measure("drop-back").value == pytest.approx(whole.measure("drop-back").value, abs=0.2)


def test_a_crossing_between_samples_far_apart_is_less_sure() -> None:
    # A time that lies anywhere between two samples d apart counts as d / sqrt(12): JCGM 100:2008, 4.3.7.
    whole, thin = (
        heard(-2.0, -1.0).measure("drop-back"),
        heard(SHUT_AT + 0.82, SHUT_AT + 1.13).measure("drop-back"),
    )
    assert whole.standard_uncertainty == pytest.approx(0.05 * np.sqrt(2.0 / 12.0), rel=0.01)
    assert thin.standard_uncertainty == pytest.approx(np.hypot(0.05, 0.40) / np.sqrt(12.0), rel=0.15)


def test_a_speed_listened_to_over_a_third_of_a_second_blurs_what_is_quick() -> None:
    blurred = heard(-2.0, -1.0, blur_s=0.32)
    assert blurred.measure("opening").standard_uncertainty == pytest.approx(
        0.32 * np.sqrt(2.0 / 12.0), rel=0.01
    )
    assert "0.64 s or more" in blurred.measure("flat-spots").how


def test_a_run_that_ends_soon_after_the_burst_does_not_say_that_it_hangs_up() -> None:
    trace = TRUTH.run().trace
    keep = trace.t_s < SHUT_AT + 0.5
    run = analyse(make_trace(trace.t_s[keep], trace.rpm[keep]), 8000.0)
    assert "the run ends" in why_not(run, "drop-back")
    assert not any(f.weight is Severity.OUTSIDE for f in judge(run, LIMITS))


def test_a_level_that_changed_while_nobody_heard_is_no_step_within_a_second() -> None:
    # A slow sag of 15 rpm a second, of which twenty seconds were not heard.
    truth = Truth(hz=HEARD_HZ, change_in_a_minute=-900.0)
    run = heard(truth.full_from + 20.0, truth.full_from + 40.0, truth)
    assert not any(f.id == "steps-at-full" for f in judge(run, LIMITS))


def test_a_step_that_was_heard_says_stop_beside_a_hole_too() -> None:
    truth = Truth(hz=HEARD_HZ, step_at_s=45.0, step_rpm=-700.0)
    run = heard(truth.full_from + 10.0, truth.full_from + 20.0, truth)
    assert judge(run, LIMITS)[0].id == "steps-at-full"


def test_a_static_speed_that_was_not_heard_is_not_told() -> None:
    run = heard(TRUTH.full_from + 15.0, TRUTH.full_from + 25.0)
    assert "no sure speed" in why_not(run, "static-rpm-20") and run.measure("static-rpm-60").value is not None


@settings(max_examples=40, deadline=None)
@given(st.floats(0.0, 130.0), st.floats(0.0, 60.0))
def test_what_is_still_measured_is_what_it_was(start_s: float, length_s: float) -> None:
    run = heard(start_s, start_s + length_s)
    for id, true in (("drop-back", 1.0 - 205.0 / 4450.0), ("opening", 0.9), ("static-rpm-20", TRUTH.full)):
        measured = run.measure(id).value
        assert measured is None or measured == pytest.approx(true, rel=0.25)
    assert not any(finding.danger for finding in judge(run, LIMITS))


@pytest.mark.parametrize(
    ("wild", "told"),
    [
        ({700: 1372.0}, "1 samples of the CHT lie outside -40 to 450 °C"),
        ({700: 280.0}, "1 single wild samples of the CHT"),
    ],
)  # fmt: skip
def test_a_probe_that_fails_is_told_and_is_no_hot_head(wild: dict[int, float], told: str) -> None:
    run = TRUTH.run()
    assert run.trace.cht_c is not None
    cht = run.trace.cht_c.copy()
    for at, value in wild.items():
        cht[at] = value
    again = analyse(make_trace(run.trace.t_s, run.trace.rpm, cht_c=cht), 8000.0)
    assert any(told in remark for remark in again.trace.remarks)
    assert not any(finding.danger for finding in judge(again, LIMITS))


def test_a_head_temperature_only_where_no_speed_was_heard_is_none() -> None:
    run = TRUTH.run()
    speed, cht = run.trace.rpm.copy(), np.full(run.trace.t_s.size, np.nan)
    speed[:5], cht[:5] = np.nan, 90.0
    assert "the run has no CHT" in why_not(
        analyse(make_trace(run.trace.t_s, speed, cht_c=cht), 8000.0), "cht-full"
    )


def test_a_head_that_stays_hot_is_no_failing_probe() -> None:
    assert judge(Truth(cht=262.0).run(), LIMITS)[0].id == "cht-stop"
