"""When a part is best replaced, against published optima and other roads to them."""

import math

import numpy as np
import pytest
from scipy.integrate import quad

from tickover.science.core.input_checks import InsufficientDataError, OutOfRangeError
from tickover.science.reliability.replacement_age import age_replacement, period_with_repairs

EXAMPLE = (2.5, 1000.0, 1.0, 5.0)


# Documentation of the open library reliability, "optimal replacement time": scale 1000, shape 2.5, costs 1 and 5. It
# prints 493.19 by a grid and a cost of 0.0035 an hour; the optimum by scipy is 493.047 and 0.00346204.
def test_the_example_of_a_general_library() -> None:
    found = age_replacement(*EXAMPLE)
    assert found.at_h == pytest.approx(493.047, abs=0.01)
    assert found.best_rate == pytest.approx(0.00346204, abs=1e-7)
    # Mean life 1000 Γ(1.4) = 887.26 h (any table of the gamma function).
    assert found.run_to_failure_rate == pytest.approx(5.0 / 887.264, rel=1e-5)
    assert found.working().result.value == pytest.approx(found.at_h)


def test_the_cost_of_an_hour_by_quadrature() -> None:
    found = age_replacement(*EXAMPLE)
    for age in (200.0, 493.0, 900.0):
        lived = quad(lambda t: math.exp(-((t / 1000.0) ** 2.5)), 0.0, age)[0]
        survive = math.exp(-((age / 1000.0) ** 2.5))
        assert float(found.cost_rate(age)) == pytest.approx(
            (survive + 5.0 * (1.0 - survive)) / lived, rel=1e-9
        )


def test_no_other_age_costs_less() -> None:
    for shape in (1.2, 2.5, 8.0):
        found = age_replacement(shape, 300.0, 1.0, 4.0)
        ages = found.at_h * np.array([0.7, 0.97, 1.03, 1.4])
        assert np.all(found.cost_rate(ages) > found.best_rate)


# Barlow and Hunter, minimal repair: scale (cp/(cm (shape - 1)))^(1/shape) = 1000 (1/7.5)^0.4 = 446.66.
def test_a_period_with_repairs_in_between() -> None:
    assert period_with_repairs(*EXAMPLE).at_h == pytest.approx(446.658, abs=0.001)


def test_what_does_not_wear_is_left_alone() -> None:
    for rule in (age_replacement, period_with_repairs):
        with pytest.raises(InsufficientDataError, match="does not wear"):
            rule(1.0, 1000.0, 1.0, 5.0)
    with pytest.raises(OutOfRangeError, match="must be above that of replacing in time, 5; got 5"):
        age_replacement(2.5, 1000.0, 5.0, 5.0)


@pytest.mark.parametrize("place", range(4))
@pytest.mark.parametrize("bad", [np.nan, np.inf, 0.0, -1.0, "dear", None, []])
def test_what_cannot_be_is_refused(place: int, bad: object) -> None:
    given: list[object] = list(EXAMPLE)
    given[place] = bad
    with pytest.raises(OutOfRangeError):
        age_replacement(*given)  # type: ignore[arg-type]
