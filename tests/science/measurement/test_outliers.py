"""Values that stand apart, held against the worked examples of a public handbook."""

from __future__ import annotations

import numpy as np
import pytest

from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.measurement.outliers import critical, outlying

# NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17.3: the 54 values of Rosner (1983), and its table of
# critical values at 5 %. The third value passes where the first two do not, and so all three stand apart.
ROSNER = (
    -0.25, 0.68, 0.94, 1.15, 1.20, 1.26, 1.26, 1.34, 1.38, 1.43, 1.49, 1.49, 1.55, 1.56, 1.58, 1.65, 1.69, 1.70,
    1.76, 1.77, 1.81, 1.91, 1.94, 1.96, 1.99, 2.06, 2.09, 2.10, 2.14, 2.15, 2.23, 2.24, 2.26, 2.35, 2.37, 2.40,
    2.47, 2.54, 2.62, 2.64, 2.90, 2.92, 2.92, 2.93, 3.21, 3.26, 3.30, 3.59, 3.68, 4.30, 4.64, 5.34, 5.42, 6.01,
)  # fmt: skip
CRITICAL = (3.158, 3.151, 3.143, 3.136, 3.128, 3.120, 3.111, 3.103, 3.094, 3.085)

# The same handbook, 1.3.5.17.1: eight measurements of uranium, the last of which stands apart.
URANIUM = (199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57)


def test_two_that_hide_behind_each_other_are_found() -> None:
    assert [ROSNER[at] for at in outlying(ROSNER, 10, 0.05)] == [6.01, 5.42, 5.34]
    assert outlying(ROSNER, 1, 0.05).size == 0


@pytest.mark.parametrize(("number", "value"), list(enumerate(CRITICAL, 1)))
def test_critical_values_are_those_of_the_handbook(number: int, value: float) -> None:
    assert critical(54, number, 0.05) == pytest.approx(value, abs=1e-3)


def test_one_that_stands_apart_by_the_test_of_grubbs() -> None:
    # One-sided at 5 % in the handbook, 2.032: the two-sided test at 10 % has the same critical value.
    assert critical(8, 1, 0.10) == pytest.approx(2.032, abs=1e-3)
    assert outlying(URANIUM, 1, 0.05).tolist() == [7]


@pytest.mark.parametrize("n", [5, 6, 7])
def test_a_sample_in_order_loses_a_value_as_rarely_as_it_is_said(n: int) -> None:
    rng = np.random.default_rng(8)
    lost = sum(outlying(rng.normal(size=n), 1, 0.05).size for _ in range(3000)) / 3000
    assert lost == pytest.approx(0.05, abs=0.013)


def test_values_that_agree_to_the_last_digit_all_stay() -> None:
    assert outlying([5.0] * 6, 2, 0.05).size == 0


@pytest.mark.parametrize(
    ("values", "most", "alpha"),
    [
        ([1.0, 2.0, 3.0], 1, 0.05),
        ([1.0, np.nan, 2.0, 3.0], 1, 0.05),
        (URANIUM, 1, 0.9),
        ([[1.0, 2.0]], 0, 0.05),
    ],
)
def test_what_cannot_be_tested_is_refused(values: list[float], most: int, alpha: float) -> None:
    with pytest.raises(OutOfRangeError):
        outlying(values, most, alpha)


def test_a_refusal_says_which_of_the_two_is_wrong() -> None:
    with pytest.raises(OutOfRangeError, match="of 8 values at most 5 can be set aside; 6 are wanted"):
        outlying(URANIUM, 6, 0.05)
    with pytest.raises(OutOfRangeError, match="chance of setting a good value aside must be between"):
        outlying(URANIUM, 1, np.nan)
