"""Shares failed with no distribution supposed, against published tables."""

import numpy as np
import pytest

from tickover.science.core.input_checks import InsufficientDataError, OutOfRangeError
from tickover.science.reliability.kaplan_meier import kaplan_meier, turnbull
from tickover.science.reliability.weibull import weibull_life

# W. Q. Meeker, L. A. Escobar, Statistical Methods for Reliability Data (1998), appendix C: distance to failure of shock
# absorbers [km], and of those that had not failed.
FAILED_KM = (6700, 9120, 12200, 13150, 14300, 17520, 20100, 20900, 22700, 26510, 27490)
RUNNING_KM = (
    *(
        6950,
        7820,
        8790,
        9660,
        9820,
        11310,
        11690,
        11850,
        11880,
        12140,
        12870,
        13330,
        13470,
        14040,
        17540,
        17890,
    ),
    *(18450, 18960, 18980, 19410, 20100, 20150, 20320, 23490, 27410, 27890, 28100),
)
# W. Nelson, Applied Life Data Analysis (1982): turbine wheels looked at once, age [100 h], cracked, not cracked.
WHEELS = (
    *((4, 0, 39), (10, 4, 49), (14, 2, 31), (18, 7, 66), (22, 5, 25), (26, 9, 30), (30, 9, 33), (34, 6, 7)),
    *((38, 22, 12), (42, 21, 19), (46, 21, 15)),
)


# By the definition, with exact fractions beforehand: 1 − 37/38, then times 32/33 and so on.
def test_shock_absorbers() -> None:
    found = kaplan_meier((*FAILED_KM, *RUNNING_KM), [1] * 11 + [0] * 27)
    assert found.ages_h == pytest.approx(FAILED_KM)
    assert found.gone == pytest.approx(
        [
            *(0.026316, 0.054954, 0.091302, 0.129164, 0.172706, 0.216248),
            *(0.28156, 0.371365, 0.46117, 0.568936, 0.712624),
        ],
        abs=1e-6,
    )


# Ten of twenty units had failed (data of NIST/SEMATECH e-Handbook, 8.4.1.3): half, give or take √(0.25/20).
def test_without_any_lost_on_the_way_it_is_a_plain_share() -> None:
    found = kaplan_meier(
        [54, 187, 216, 240, 244, 335, 361, 373, 375, 386, 500], [1] * 10 + [0], [1] * 10 + [10]
    )
    assert found.lasting[-1] == pytest.approx(0.5)
    assert found.sd[-1] == pytest.approx(0.111803, abs=1e-6)


# Heat exchanger tubes, Meeker and Escobar, example 3.7 (from memory): .0133, .0384, .0582.
def test_tubes_of_three_plants() -> None:
    found = kaplan_meier([1, 1, 2, 2, 3, 3], [1, 0, 1, 0, 1, 0], [4, 99, 5, 95, 2, 95])
    assert found.gone == pytest.approx([0.0133, 0.0384, 0.0582], abs=5e-5)
    assert kaplan_meier([1.0, 2.0], [1, 1]).sd[-1] == 0.0


# Looked at once each, the likeliest shares are the isotonic regression of cracked over looked at (pool adjacent
# violators, by hand: (4+2)/(53+33) = 0.069767, 7/73, 5/30, (9+9)/(39+42), 6/13, (22+21)/(34+40), 21/36).
def test_turbine_wheels_looked_at_once() -> None:
    age, cracked, whole = np.array(WHEELS, dtype=float).T
    ages, gone = turnbull(np.r_[np.zeros(11), age], np.r_[age, np.full(11, np.inf)], np.r_[cracked, whole])
    assert ages == pytest.approx(age)
    by_hand = [0, 6 / 86, 6 / 86, 7 / 73, 5 / 30, 18 / 81, 18 / 81, 6 / 13, 43 / 74, 43 / 74, 21 / 36]
    assert gone == pytest.approx(by_hand, abs=1e-5)


# Nelson (1982), p. 415: 5, 16, 12, 18, 18, 2, 6 and 17 of 167 parts found cracked at eight looks, one after the other.
def test_looks_that_do_not_overlap_are_counted_up() -> None:
    looks = [6.12, 19.92, 29.64, 35.4, 39.72, 45.24, 52.32, 63.48]
    count = [5, 16, 12, 18, 18, 2, 6, 17, 73]
    _, gone = turnbull([0.0, *looks], [*looks, np.inf], count)
    assert gone == pytest.approx(np.cumsum(count[:-1]) / 167)


def test_a_fitted_life_lies_near_the_steps() -> None:
    steps = kaplan_meier((*FAILED_KM, *RUNNING_KM), [1] * 11 + [0] * 27)
    life = weibull_life((*FAILED_KM, *RUNNING_KM), (*FAILED_KM, *[np.inf] * 27))
    assert np.all(np.abs(life.failed_by(steps.ages_h) - steps.gone) < 2.0 * steps.sd + 0.03)


def test_what_cannot_be_is_refused() -> None:
    for age, failed in (([], []), ([-1.0], [1]), ([np.nan], [1]), ([1.0], [0.5]), ([1.0, 2.0, 3.0], [1, 0])):
        with pytest.raises(OutOfRangeError):
            kaplan_meier(age, failed)
    for lower, upper in (([5.0], [5.0]), ([5.0], [np.nan]), ([-1.0], [2.0])):
        with pytest.raises(OutOfRangeError):
            turnbull(lower, upper)
    with pytest.raises(InsufficientDataError, match="nothing has failed"):
        kaplan_meier([1.0, 2.0], [0, 0])
    with pytest.raises(InsufficientDataError, match="nothing has failed"):
        turnbull([1.0], [np.inf])
