"""What is usual for one engine: from one, two, three and many runs, and with one among them that was not usual."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from tests.science.run_up.test_run_up import LIMITS, Truth
from tickover.science.run_up import Severity, baseline_of, judge
from tickover.science.run_up.baseline import Baseline

USUAL = (7880.0, 7905.0, 7893.0, 7921.0, 7899.0, 7888.0)


def of(*values: float) -> Baseline:
    return baseline_of([{"static-rpm-20": value} for value in values])["static-rpm-20"]


def test_the_interval_for_one_more_value_is_that_of_a_published_worked_example() -> None:
    # Hahn and Meeker, Statistical Intervals (1991), chapter 4 (from memory; their mean and s come out of the values):
    # voltages of five circuit packs, mean 50.10, s = 1.31, factor 3.04, one more lies from 46.1 to 54.1 V.
    held = of(50.3, 48.3, 49.6, 50.4, 51.9)
    assert (held.mean, held.sd) == (pytest.approx(50.10), pytest.approx(1.31, abs=0.005))
    assert tuple(held.interval(0.0)) == (pytest.approx(46.1, abs=0.05), pytest.approx(54.1, abs=0.05))


@settings(deadline=None)
@given(st.lists(st.floats(7000.0, 8500.0), min_size=3, max_size=4, unique=True))
def test_a_run_at_the_edge_of_the_interval_is_odd_at_5_percent_by_least_squares(values: list[float]) -> None:
    # Another way to the same thing: the new run gets a term of its own in a straight least-squares fit, and the t test
    # of that term (Student, n - 1 degrees) says how odd the run is.
    if np.ptp(values) < 1.0:
        return
    for edge in of(*values).interval(0.0):
        y = np.array([*values, edge])
        x = np.column_stack((np.ones(y.size), np.arange(y.size) == len(values)))
        fitted, *_ = np.linalg.lstsq(x, y, rcond=None)
        variance = ((y - x @ fitted) ** 2).sum() / (len(values) - 1)
        t = fitted[1] / np.sqrt(variance * np.linalg.inv(x.T @ x)[1, 1])
        assert 2.0 * stats.t.sf(abs(t), len(values) - 1) == pytest.approx(0.05, rel=1e-5)


def test_with_one_run_and_with_two_the_distance_is_told_and_nothing_is_judged() -> None:
    run = Truth(full=7600.0).run(3)
    for runs in (USUAL[:1], USUAL[:2]):
        own = baseline_of([{"static-rpm-20": value} for value in runs])
        finding = next(f for f in judge(run, LIMITS, own) if f.id == "static-rpm-20-itself")
        assert (
            finding.weight is Severity.MEASURE_NEXT
            and "Not judged" in finding.sure
            and "rpm under" in finding.seen
        )


def test_three_runs_that_agree_by_chance_do_not_make_the_next_one_agree_better_than_it_can_be_read() -> None:
    own = baseline_of([{"static-rpm-20": 7900.0}] * 3)
    near = Truth(full=7908.0).run(3)
    assert next(f for f in judge(near, LIMITS, own) if f.id == "static-rpm-20-itself").weight is Severity.GOOD


def test_one_run_that_stands_apart_is_set_aside_and_told() -> None:
    held = of(*USUAL, 7100.0)
    assert (held.runs, held.aside) == (6, (7100.0,)) and held.mean == pytest.approx(np.mean(USUAL))
    own = baseline_of([{"static-rpm-20": value} for value in (*USUAL, 7100.0)])
    slower = next(f for f in judge(Truth(full=7600.0).run(3), LIMITS, own) if f.id == "static-rpm-20-itself")
    assert slower.weight is Severity.UNLIKE_ITSELF and "7100 rpm is far off and left out" in slower.against
    assert any("far from the others" in q.name for q in held.working("Static", "rpm", 5.0).inputs)


def test_left_in_it_would_hide_what_the_baseline_is_there_to_show() -> None:
    values = np.array((*USUAL, 7100.0))
    left_in = Baseline(7, float(values.mean()), float(values.std(ddof=1)))
    assert left_in.interval(0.0).lower < 7600.0 < of(*values).interval(0.0).lower


def test_with_few_runs_none_is_set_aside() -> None:
    assert of(*USUAL[:3], 7100.0).aside == ()


def test_runs_that_agree_to_the_digit_are_no_reason_to_set_aside_one_a_little_off() -> None:
    assert of(7900.0, 7900.0, 7900.0, 7900.0, 7900.0, 7960.0).aside == ()


def test_two_that_stand_apart_together_are_both_found() -> None:
    rng = np.random.default_rng(4)
    assert sorted(of(*rng.normal(7900.0, 15.0, 10), 7100.0, 7120.0).aside) == [7100.0, 7120.0]


@pytest.mark.parametrize("n", [3, 5, 8, 12])
def test_one_run_in_twenty_of_an_engine_in_order_falls_outside_however_many_runs(n: int) -> None:
    rng = np.random.default_rng(n)
    outside = 0
    for _ in range(1500):
        *runs, one_more = rng.normal(7900.0, 20.0, n + 1)
        lower, upper = of(*runs).interval(0.0)
        outside += not lower <= one_more <= upper
    # Three standard deviations of a share of 5 % in 1500.
    assert outside / 1500 == pytest.approx(0.05, abs=0.017)
