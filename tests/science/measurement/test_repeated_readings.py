"""Several readings of one thing: the value taken, the spread, and what the scatter leaves on it."""

from __future__ import annotations

import math
import statistics

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.science.measurement.repeated_readings import D2, repeated

# JCGM 100:2008, 4.4.3, table 1: twenty temperatures [deg C] read one after another.
TEMPERATURES = [
    *[96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07],
    *[100.33, 100.42, 100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72],
]


def test_the_scatter_of_a_published_series() -> None:
    """JCGM 100:2008, 4.4.3: s = 1.49 deg C, and 0.33 deg C on the mean."""
    taken = repeated(TEMPERATURES)
    assert taken.sd == pytest.approx(1.49, abs=0.005)
    assert taken.sd / math.sqrt(20) == pytest.approx(0.33, abs=0.005)
    assert taken.standard_uncertainty == pytest.approx(1.2533 * 0.33, rel=0.02)
    assert (taken.value, round(taken.spread, 2)) == (pytest.approx(100.20, abs=0.01), 5.82)


@pytest.mark.parametrize("n", D2)
def test_the_range_of_a_few_normal_readings(n: int) -> None:
    """The factors d2, against the mean range of many drawn samples (numpy)."""
    drawn = np.random.default_rng(n).standard_normal((200_000, n))
    assert np.ptp(drawn, axis=1).mean() == pytest.approx(D2[n], rel=0.005)


@pytest.mark.parametrize("n", [2, 3, 5, 8, 20])
def test_the_median_is_never_claimed_surer_than_it_is(n: int) -> None:
    """The scatter of the median of drawn normal samples (numpy) is at most what is stated."""
    drawn = np.random.default_rng(n).standard_normal((200_000, n))
    stated = 1.0 / math.sqrt(n) * (1.2533 if n > 2 else 1.0)
    assert 0.9 * stated < np.median(drawn, axis=1).std() < 1.01 * stated


def test_the_middle_one_of_three_is_taken() -> None:
    taken = repeated([0.98, 1.04, 1.00])
    assert (taken.value, round(taken.spread, 12)) == (1.00, 0.06)
    assert taken.sd == pytest.approx(0.06 / 1.693)


def test_the_last_one_scatters_as_any_single_one_does() -> None:
    taken = repeated([0.98, 1.04, 1.00, 1.01], take="last")
    assert taken.value == 1.01
    assert taken.standard_uncertainty == taken.sd


def test_a_lone_reading_says_nothing_of_its_scatter() -> None:
    taken = repeated([1.4])
    assert (taken.value, taken.spread, taken.sd, taken.standard_uncertainty) == (1.4, 0.0, 0.0, 0.0)


def test_a_spread_of_just_what_is_allowed_agrees() -> None:
    """1.41 - 1.38 is a hair above 0.03 in binary."""
    taken = repeated([1.38, 1.40, 1.41])
    assert taken.spread > 0.03
    assert taken.agree(0.03) and not taken.agree(0.029) and taken.agree(None)


@pytest.mark.parametrize(("readings", "take"), [([], "median"), ([math.nan], "last"), ([1.0], "mean")])
def test_what_cannot_be_taken_is_refused(readings: list[float], take: str) -> None:
    with pytest.raises(ValueError, match=r"readings must be|take the"):
        repeated(readings, take=take)


@given(st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=9))
def test_the_value_lies_among_the_readings(readings: list[float]) -> None:
    taken = repeated(readings)
    assert min(readings) <= taken.value <= max(readings)
    assert taken.value == statistics.median(readings)


def test_the_working_names_every_reading() -> None:
    working = repeated([0.98, 1.04, 1.00]).working("bar", "Pop-off pressure")
    assert [q.value for q in working.inputs[:3]] == [0.98, 1.04, 1.00]
    assert "d₂ = 1.693" in working.formula and working.result.value == 1.00
