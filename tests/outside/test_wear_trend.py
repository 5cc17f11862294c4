"""A line through the readings of a wearing part, against published regressions and certified values."""

import numpy as np
import pytest
from scipy.optimize import nnls

from tickover.science.core.input_checks import InsufficientDataError, OutOfRangeError
from tickover.science.reliability.wear_trend import Trend, first_reached_h, reached_from_new_h, wear_trend

# N. R. Draper, H. Smith, Applied Regression Analysis, appendix A: monthly use of steam [lb] over mean temperature
# [deg F].
STEAM = (
    (35.3, 10.98),
    (29.7, 11.13),
    (30.8, 12.51),
    (58.8, 8.4),
    (61.4, 9.27),
    (71.3, 8.73),
    (74.4, 6.36),
    (76.7, 8.5),
    (70.7, 7.82),
    (57.5, 9.14),
    (46.4, 8.24),
    (28.9, 12.19),
    (28.1, 11.88),
    (39.1, 9.57),
    (46.8, 10.94),
    (48.5, 9.58),
    (59.3, 10.09),
    (70, 8.11),
    (70, 6.83),
    (74.5, 8.88),
    (72.1, 7.68),
    (58.1, 8.47),
    (44.6, 8.86),
    (33.4, 10.36),
    (28.6, 11.08),
)
# NIST Statistical Reference Datasets, linear regression, Norris: y, then x.
NORRIS = (
    (0.1, 0.2),
    (338.8, 337.4),
    (118.1, 118.2),
    (888, 884.6),
    (9.2, 10.1),
    (228.1, 226.5),
    (668.5, 666.3),
    (998.5, 996.3),
    (449.1, 448.6),
    (778.9, 777),
    (559.2, 558.2),
    (0.3, 0.4),
    (0.1, 0.6),
    (778.1, 775.5),
    (668.8, 666.9),
    (339.3, 338),
    (448.9, 447.5),
    (10.8, 11.6),
    (557.7, 556),
    (228.3, 228.1),
    (998, 995.8),
    (888.8, 887.6),
    (119.6, 120.2),
    (0.3, 0.3),
    (0.6, 0.3),
    (557.6, 556.8),
    (339.3, 339.1),
    (888, 887.2),
    (998.5, 999),
    (778.9, 779),
    (10.2, 11.1),
    (117.6, 118.3),
    (228.9, 229.2),
    (668.4, 669.1),
    (449.2, 448.9),
    (0.2, 0.5),
)


def through(pairs: tuple[tuple[float, float], ...]) -> Trend:
    return wear_trend(*np.array(pairs).T)


# The book, chapter 1 (from memory): 13.623, -0.0798, variance about the line 0.7923, slope from -0.1016 to -0.0581.
def test_the_steam_data_of_a_textbook() -> None:
    line = through(STEAM)
    assert (line.at_zero, line.slope, line.residual_sd**2) == pytest.approx(
        (13.623, -0.0798, 0.7923), abs=1e-4
    )
    assert tuple(line.slope_between()) == pytest.approx((-0.1016, -0.0581), abs=1e-4)


# statsmodels 0.15, get_prediction: one new reading at 28.6 and at 80 deg F.
def test_a_new_reading_by_a_general_library() -> None:
    lower, upper = through(STEAM).reading_between([28.6, 80.0])
    assert lower == pytest.approx([9.39073, 5.26640], abs=1e-5)
    assert upper == pytest.approx([13.28905, 9.20698], abs=1e-5)


# Certified values of NIST StRD, Norris: B0, B1 and the residual standard deviation.
def test_certified_values() -> None:
    y, x = np.array(NORRIS).T
    line = wear_trend(x, y)
    certified = (-0.262323073774029, 1.00211681802045, 0.884796396144373)
    assert (line.at_zero, line.slope, line.residual_sd) == pytest.approx(certified, rel=1e-9)


def test_a_limit_is_reached_where_the_band_of_the_line_meets_it() -> None:
    """The other road to the interval: the ends are where |line - limit| is t standard deviations of the line."""
    line = through(STEAM)
    reach = line.reaches(8.0)
    assert line.at_zero + line.slope * reach.at_h == pytest.approx(8.0)
    spread = float(np.sum((line.hours - line.hours.mean()) ** 2))
    for end in (reach.lower_h, reach.upper_h):
        sd = line.residual_sd * (1.0 / line.hours.size + (end - line.hours.mean()) ** 2 / spread) ** 0.5
        # Student's t of 23 degrees of freedom, 97.5 %: 2.0687 (any table).
        assert abs(line.at_zero + line.slope * end - 8.0) / sd == pytest.approx(2.0687, abs=1e-4)
    assert line.working(8.0, "lb").result.value == pytest.approx(reach.at_h)


def test_readings_that_scatter_more_than_they_wear_say_nothing_yet() -> None:
    scattered = wear_trend([0.0, 50.0, 100.0, 150.0], [0.10, 0.14, 0.09, 0.13])
    with pytest.raises(InsufficientDataError, match="do not show yet that it wears"):
        scattered.reaches(0.5)


def test_a_perfect_line_leaves_nothing_open() -> None:
    reach = wear_trend([0.0, 100.0, 200.0], [0.10, 0.12, 0.14]).reaches(0.20)
    assert (reach.at_h, reach.lower_h, reach.upper_h) == pytest.approx((500.0, 500.0, 500.0))


@pytest.mark.parametrize(("hours", "readings"), [([1.0, 2.0], [0.1, 0.2]), ([5.0] * 4, [0.1, 0.2, 0.3, 0.4])])
def test_too_few_readings_are_no_trend(hours: list[float], readings: list[float]) -> None:
    with pytest.raises(InsufficientDataError, match="a trend needs 3 readings"):
        wear_trend(hours, readings)


@pytest.mark.parametrize("bad", [np.nan, np.inf, "worn", None, [], True])
def test_what_is_no_reading_is_refused(bad: object) -> None:
    with pytest.raises(OutOfRangeError):
        wear_trend([0.0, 1.0, 2.0], bad)  # type: ignore[arg-type]
    with pytest.raises(OutOfRangeError):
        wear_trend(bad, [0.0, 1.0, 2.0])  # type: ignore[arg-type]
    with pytest.raises(OutOfRangeError):
        through(STEAM).reaches(bad)  # type: ignore[arg-type]


# W. Q. Meeker, L. A. Escobar (1998), table C.14, alloy A, specimen 1: length of a crack [inch] over load cycles
# [million], limit 1.6: between 1.48 at 0.08 and 1.64 at 0.09, by hand.
def test_when_a_crack_came_to_its_limit() -> None:
    cycles, crack = np.arange(10) / 100.0, [0.9, 0.95, 1.0, 1.05, 1.12, 1.19, 1.27, 1.35, 1.48, 1.64]
    assert first_reached_h(cycles, crack, 1.6) == pytest.approx(0.08 + 0.01 * 12 / 16)
    assert first_reached_h(cycles, crack, 0.5) == 0.0
    with pytest.raises(InsufficientDataError, match="no reading came to the limit"):
        first_reached_h(cycles, crack, 2.0)
    with pytest.raises(OutOfRangeError, match="must increase"):
        first_reached_h(cycles[::-1], crack, 1.6)


# scipy.optimize.nnls, a general library, fits a line through nothing; two parts at once.
def test_parts_that_began_new() -> None:
    hours = np.array([250.0, 500.0, 750.0, 1000.0])
    worn = np.array([[0.47, 0.93, 2.11, 2.72], [0.71, 1.22, 1.90, 2.30]])
    slopes = [nnls(hours[:, None], one)[0][0] for one in worn]
    assert reached_from_new_h(hours, worn, 10.0) == pytest.approx(10.0 / np.array(slopes))
    assert float(reached_from_new_h(100.0, 0.5, 2.0)[()]) == pytest.approx(400.0)
    with pytest.raises(InsufficientDataError, match="do not show yet that it wears"):
        reached_from_new_h(hours, -worn, 10.0)
    for bad in (np.nan, 0.0, -1.0, "much", []):
        with pytest.raises(OutOfRangeError):
            reached_from_new_h(hours, worn, bad)  # type: ignore[arg-type]
