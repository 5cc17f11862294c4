"""Parts used up by one place, and what an age costs for any lives, against closed forms and a textbook."""

import math

import numpy as np
import pytest
from scipy.special import ndtr

from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.reliability.renewals import age_cost_rate, renewals
from tickover.science.reliability.replacement_age import age_replacement


# Closed forms: lives by chance, H(t) = t; two stages of rate 2, H = t − (1 − e^(−4t))/4; even lives up to 1, e^t − 1.
def test_closed_forms() -> None:
    hours = np.array([0.3, 1.5, 3.0])
    assert renewals(lambda t: -np.expm1(-t), hours) == pytest.approx(hours, abs=1e-3)
    stages = renewals(lambda t: 1.0 - np.exp(-2.0 * t) * (1.0 + 2.0 * t), hours)
    assert stages == pytest.approx(hours - (1.0 - np.exp(-4.0 * hours)) / 4.0, abs=1e-4)
    assert float(renewals(lambda t: np.minimum(t, 1.0), 1.0)) == pytest.approx(math.e - 1.0, abs=1e-3)


# In the long run H(t) comes to t/μ + (σ² − μ²)/(2 μ²) (W. Feller, An Introduction to Probability Theory; from memory).
@pytest.mark.parametrize("shape", [1.5, 2.0, 3.0])
def test_the_long_run(shape: float) -> None:
    mean = math.gamma(1.0 + 1.0 / shape)
    variance = math.gamma(1.0 + 2.0 / shape) - mean**2
    found = float(renewals(lambda t: -np.expm1(-(t**shape)), 10.0))
    assert found == pytest.approx(10.0 / mean + (variance - mean**2) / (2.0 * mean**2), abs=2e-3)


# A. K. S. Jardine, A. H. C. Tsang (2006): even lives up to 40,000 km, costs 100 and 200: 0.0143, 0.01, 0.0093, 0.01 for
# each km; the best at 40,000 (√3 − 1), closed form. Normal lives of 5 ± 1 weeks, costs 5 and 10: by quadrature.
def test_what_an_age_costs() -> None:
    best = 40_000.0 * (math.sqrt(3.0) - 1.0)
    rates = age_cost_rate(lambda t: np.minimum(t / 4e4, 1.0), [1e4, 2e4, 3e4, 4e4, best], 100.0, 200.0)
    assert rates == pytest.approx([0.0143, 0.01, 0.0093, 0.01, 0.009330127], abs=6e-5)
    assert float(rates[-1]) == pytest.approx(0.009330127018922194)
    weeks = age_cost_rate(lambda t: ndtr(t - 5.0), [3.0, 4.0, 5.0, 6.0], 5.0, 10.0)
    assert weeks == pytest.approx([1.709422, 1.479128, 1.63006, 1.872547], abs=2e-6)


def test_weibull_lives_cost_the_same_by_either_road() -> None:
    rule, ages = age_replacement(2.5, 1000.0, 1.0, 5.0), np.array([200.0, 493.0, 900.0])
    by_any = age_cost_rate(lambda t: -np.expm1(-((t / 1000.0) ** 2.5)), ages, 1.0, 5.0)
    assert by_any == pytest.approx(rule.cost_rate(ages), rel=1e-9)


def test_what_cannot_be_is_refused() -> None:
    for bad in (0.0, -1.0, np.nan, np.inf, [], None):
        with pytest.raises(OutOfRangeError):
            renewals(lambda t: -np.expm1(-t), bad)  # type: ignore[arg-type]
        with pytest.raises(OutOfRangeError):
            age_cost_rate(lambda t: -np.expm1(-t), bad, 1.0, 2.0)  # type: ignore[arg-type]
    with pytest.raises(OutOfRangeError, match="share that has failed must be between 0 and 1"):
        renewals(lambda t: 2.0 * t, 10.0)
    with pytest.raises(OutOfRangeError, match="ask for fewer hours"):
        renewals(lambda t: -np.expm1(-t), 1e6)
