"""Lives of parts, against published fits of public data."""

import numpy as np
import pytest

from tickover.science.core.input_checks import InsufficientDataError, OutOfRangeError
from tickover.science.reliability.weibull import weibull_life
from tickover.science.reliability.zero_failures import parts_to_show, weibayes_scale

# NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.1.3: ten failures [h], ten more units unfailed at 500 h.
NIST_FAILED = (54, 187, 216, 240, 244, 335, 361, 373, 375, 386)
# W. Nelson, Applied Life Data Analysis (1982), p. 415: parts found cracked between two inspections [months], how many.
CRACKED = (
    (0, 6.12, 5),
    (6.12, 19.92, 16),
    (19.92, 29.64, 12),
    (29.64, 35.4, 18),
    (35.4, 39.72, 18),
    (39.72, 45.24, 2),
    (45.24, 52.32, 6),
    (52.32, 63.48, 17),
    (63.48, np.inf, 73),
)
# J. Lieblein, M. Zelen, J. Res. NBS 57 (1956) 273: ball bearings to failure [million turns].
BEARINGS = (
    17.88,
    28.92,
    33,
    41.52,
    42.12,
    45.6,
    48.48,
    51.84,
    51.96,
    54.12,
    55.56,
    67.8,
    68.64,
    68.64,
    68.88,
    84.12,
    93.12,
    98.64,
    105.12,
    105.84,
    127.92,
    128.04,
    173.4,
)


# The handbook prints scale 606.528, shape 1.7208, (its sign lost) 75.135 for the logarithm of the likelihood, 154.27
# for Akaike's criterion, mean life 540.737 and its standard deviation 323.806.
def test_the_handbook_of_nist() -> None:
    lower = [*NIST_FAILED, 500.0]
    life = weibull_life(lower, [*NIST_FAILED, np.inf], [1] * 10 + [10])
    assert life.scale_h == pytest.approx(606.528, abs=0.01)
    assert life.shape == pytest.approx(1.7208, abs=1e-4)
    assert life.log_likelihood == pytest.approx(-75.135, abs=1e-3)
    assert life.akaike == pytest.approx(154.27, abs=5e-3)
    assert (life.mean_h, life.sd_h) == pytest.approx((540.737, 323.806), abs=0.02)
    assert life.working().result.value == pytest.approx(1.7208, abs=1e-4)


# Lawless, Statistical Models and Methods for Lifetime Data (from memory): shape 2.102, scale 81.88.
def test_the_bearings_everybody_fits() -> None:
    life = weibull_life(BEARINGS, BEARINGS)
    assert (life.shape, life.scale_h) == pytest.approx((2.102, 81.88), abs=0.005)


# SAS/QC, PROC RELIABILITY, getting started (from Nelson's data): location 4.2724 and scale 0.6732 of the logarithm.
def test_parts_found_cracked_at_inspections() -> None:
    lower, upper, count = np.array(CRACKED).T
    life = weibull_life(lower, upper, count)
    assert np.log(life.scale_h) == pytest.approx(4.2724, abs=2e-4)
    assert 1.0 / life.shape == pytest.approx(0.6732, abs=2e-4)


# The same likelihood maximised apart from this code, by scipy: likelihood-ratio ends, and B10 by the delta method.
def test_intervals_worked_out_apart() -> None:
    life = weibull_life([*NIST_FAILED, 500.0], [*NIST_FAILED, np.inf], [1] * 10 + [10])
    assert tuple(life.shape_between()) == pytest.approx((0.9056, 2.8857), abs=2e-3)
    assert tuple(life.scale_between_h()) == pytest.approx((437.557, 1118.878), abs=0.6)
    assert tuple(life.shape_by_curvature()) == pytest.approx((0.9713, 3.0487), abs=2e-3)
    assert tuple(life.hours_until(0.1)) == pytest.approx((164.022, 83.875, 320.755), abs=0.4)
    assert float(life.failed_by(life.hours_until(0.1).hours)) == pytest.approx(0.1)


def test_the_ends_of_the_shape_are_as_unlikely_as_allowed() -> None:
    # Half the 95 % point of chi-squared with one degree of freedom is 1.9207 (any table).
    life = weibull_life(BEARINGS, BEARINGS)
    x = np.array(BEARINGS)
    for shape in life.shape_between():
        scale = np.mean(x**shape) ** (1.0 / shape)
        z = (x / scale) ** shape
        likelihood = np.sum(np.log(shape / x * z) - z)
        assert life.log_likelihood - likelihood == pytest.approx(1.9207, abs=1e-3)


def test_units_change_the_scale_and_nothing_else() -> None:
    hours, minutes = (
        weibull_life(BEARINGS, BEARINGS),
        weibull_life(60.0 * np.array(BEARINGS), 60.0 * np.array(BEARINGS)),
    )
    assert minutes.shape == pytest.approx(hours.shape, rel=1e-6)
    assert minutes.scale_h == pytest.approx(60.0 * hours.scale_h, rel=1e-6)


# Without a failure among 200, 300, 400, 500 and 600 h, shape 3: by hand, (sum of t cubed / -ln 0.05)^(1/3) = 527.6 h.
def test_parts_that_never_failed_still_say_something() -> None:
    lived = [200.0, 300.0, 400.0, 500.0, 600.0]
    shown = weibayes_scale(lived, 0, 3.0)
    assert shown.likeliest_h == np.inf
    assert shown.at_least_h == pytest.approx((np.sum(np.array(lived) ** 3) / -np.log(0.05)) ** (1 / 3))
    assert shown.hours_until(1.0 - np.exp(-1.0)) == pytest.approx(shown.at_least_h)
    assert weibayes_scale(lived, 1, 3.0).likeliest_h == pytest.approx(760.5905, abs=1e-3)


# By hand: 0.9 to the 29th is 0.047, to the 28th 0.052; 0.95 to the 45th is 0.0994; 0.99 to the 299th 0.0496.
def test_how_many_parts_must_last() -> None:
    assert [parts_to_show(0.90), parts_to_show(0.95, 0.90), parts_to_show(0.99)] == [29, 45, 299]


def test_with_no_failure_or_one_alone_the_shape_is_not_known() -> None:
    with pytest.raises(InsufficientDataError, match="nothing has failed"):
        weibull_life([100.0, 200.0], [np.inf, np.inf])
    with pytest.raises(InsufficientDataError, match="too few or too much alike"):
        weibull_life([100.0, 100.0], [100.0, 100.0])
    # all found failed at the first look: each may have failed as early as one likes
    with pytest.raises(InsufficientDataError, match="too few or too much alike"):
        weibull_life([0.0, 0.0, 0.0], [100.0, 200.0, 300.0])


@pytest.mark.parametrize("bad", [np.nan, -1.0, "old", None, [], True, -np.inf])
def test_what_is_no_life_is_refused(bad: object) -> None:
    for lower, upper in ((bad, 100.0), (50.0, bad)):
        with pytest.raises(OutOfRangeError):
            weibull_life(lower, upper)  # type: ignore[arg-type]
    with pytest.raises(OutOfRangeError, match="end after it began"):
        weibull_life([100.0], [50.0])
    with pytest.raises(OutOfRangeError):
        weibayes_scale(bad, 0, 3.0)  # type: ignore[arg-type]
