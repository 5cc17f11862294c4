"""Minutes worked beside those of the cards: with no visit the supposition, with many what they say."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.planning.bench_pace import PRIOR_SD, SPREAD, bench_pace


def test_without_a_timed_visit_the_cards_hold_as_they_are() -> None:
    pace = bench_pace([], [])
    assert (pace.factor, pace.spread, pace.visits) == (1.0, pytest.approx(SPREAD), 0)


def test_one_slow_visit_moves_it_part_of_the_way() -> None:
    """A normal prior of sd 0.25 and one visit of sd 0.15: the weight is 0.25^2 / (0.25^2 + 0.15^2) = 0.735.

    Conjugate normal mean, Gelman et al., Bayesian Data Analysis, eq. 2.12 (from memory).
    """
    pace = bench_pace([100.0], [150.0])
    weight = PRIOR_SD**2 / (PRIOR_SD**2 + SPREAD**2)
    assert weight == pytest.approx(0.735, abs=1e-3)
    assert math.log(pace.factor) == pytest.approx(weight * math.log(1.5))


def test_many_visits_give_their_own_mean_and_spread() -> None:
    rng = np.random.default_rng(5)
    worked = 100.0 * np.exp(math.log(1.3) + 0.3 * rng.standard_normal(4000))
    pace = bench_pace([100.0] * 4000, list(worked))
    assert pace.factor == pytest.approx(1.3, rel=0.02) and pace.spread == pytest.approx(0.3, rel=0.05)


@pytest.mark.parametrize(
    ("card", "worked"),
    [([4.9], [10.0]), ([10.0], [4.9]), ([10.0], [-1.0]), ([math.nan], [10.0]), ([10.0], [6001.0])],
)
def test_minutes_are_those_of_a_visit(card: list[float], worked: list[float]) -> None:
    with pytest.raises(OutOfRangeError):
        bench_pace(card, worked)


def test_both_lists_are_of_the_same_visits() -> None:
    with pytest.raises(OutOfRangeError, match="same visits"):
        bench_pace([10.0, 20.0], [10.0])


def test_five_minutes_and_a_hundred_hours_are_taken() -> None:
    assert bench_pace([5.0, 6000.0], [5.0, 6000.0]).factor == pytest.approx(1.0)
