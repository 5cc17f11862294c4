"""Failures of one thing that is mended each time, against published examples."""

import numpy as np
import pytest

from tickover.science.core.input_checks import InsufficientDataError, OutOfRangeError
from tickover.science.reliability.failure_trend import failure_trend

# NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.2.2: ten failures in a test of 1500 h.
NIST_H = (5, 40, 43, 175, 389, 712, 747, 795, 1299, 1478)
# MIL-HDBK-189 (1981), appendix C: 27 failures in a test of 300 h.
TANK_H = (
    *(2.6, 16.5, 16.5, 17.0, 21.4, 29.1, 33.3, 56.5, 63.1, 70.6, 73.0, 77.7, 93.9, 95.5, 98.1, 101.1, 132.0),
    *(142.2, 147.7, 149.0, 167.2, 190.7, 193.0, 198.7, 251.9, 282.5, 286.1),
)


# The handbook prints a slope 1 − β of 0.5165 by β = (r − 1)/Σ ln(T/t), and 310.234 h between failures at the end by it.
# The 80 % ends of the shape are β χ²/(2n), chi-squared of 20 degrees: 12.4426 and 28.4120 (any table).
def test_the_handbook_of_nist() -> None:
    trend = failure_trend(NIST_H, 1500.0)
    assert trend.shape_unbiased == pytest.approx(0.483506, abs=2e-6)
    assert 1500.0 / (10 * trend.shape_unbiased) == pytest.approx(310.234, abs=2e-3)
    assert tuple(trend.shape_between(0.8)) == pytest.approx(
        (trend.shape * 12.4426 / 20, trend.shape * 28.4120 / 20), rel=1e-5
    )
    assert (trend.laplace, trend.chi_squared) == pytest.approx((-1.326949, 37.228081), abs=1e-5)


def test_the_appendix_of_the_growth_handbook() -> None:
    trend = failure_trend(TANK_H[::-1], 300.0)
    assert (trend.shape, trend.scale, trend.rate_now_per_h) == pytest.approx(
        (0.7163392624, 0.4538418614, 0.0644705336), abs=2e-6
    )
    assert trend.laplace == pytest.approx(-2.318, abs=1e-4)
    assert trend.chance_without[0] == pytest.approx(0.0204, abs=1e-4)  # the normal table at 2.318
    assert trend.working().result.value == pytest.approx(0.7163, abs=1e-4)


# Steady failures at 100, 200, 300 and 400 h: by hand, the last only ends the watch; their mean is the middle of 400 h.
def test_a_watch_that_ends_with_a_failure() -> None:
    trend = failure_trend([100.0, 200.0, 300.0, 400.0])
    assert trend.laplace == pytest.approx(0.0)
    assert trend.shape == pytest.approx(4.0 / np.log(4.0 * 2.0 * 4.0 / 3.0))
    assert trend.shape_unbiased == pytest.approx(trend.shape / 2.0)


def test_the_exact_ends_hold_as_often_as_they_say() -> None:
    random, held = np.random.default_rng(3), 0
    for _ in range(2_000):
        lower, upper = failure_trend(300.0 * random.random(8) ** (1.0 / 1.6), 300.0).shape_between(0.9)
        held += lower <= 1.6 <= upper
    assert held / 2_000 == pytest.approx(0.9, abs=0.025)


def test_what_cannot_be_is_refused() -> None:
    for bad in ([], [0.0, 1.0, 2.0], [np.nan, 1.0, 2.0], None, "often"):
        with pytest.raises(OutOfRangeError):
            failure_trend(bad, 10.0)  # type: ignore[arg-type]
    with pytest.raises(OutOfRangeError, match="must be 30 h or more"):
        failure_trend([10.0, 20.0, 30.0], 25.0)
    for few in ([10.0, 20.0], [10.0, 10.0, 10.0]):
        with pytest.raises(InsufficientDataError, match="a trend needs 3 failures"):
            failure_trend(few)
