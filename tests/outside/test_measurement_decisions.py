"""Decisions on readings against figures published elsewhere; each says where it comes from and how surely."""

import math

import numpy as np
import pytest
from scipy.stats import multivariate_normal, norm

from tickover.science.measurement.conformity import decide
from tickover.science.measurement.guard_bands import (
    Normal,
    Span,
    acceptance_limits,
    chance_below_and_above,
    global_risk,
    guard_band,
    posterior,
)


def inside(value: float, u: float, lower: float | None, upper: float | None) -> float:
    """Chance of being inside with a standard uncertainty given outright."""
    verdict = decide(value, lower, upper, resolution=0.0, expanded_uncertainty=u, coverage_factor=1.0)
    return verdict.probability_inside


# Worked examples of JCGM 106:2012, clause 7: breakdown voltage of a diode, burst pressure of a container,
# viscosity of an oil. Numbers and answers from memory, recomputed from the formula.
@pytest.mark.parametrize(
    ("value", "u", "lower", "upper", "published", "within"),
    [
        (-5.47, 0.05, None, -5.40, 0.919, 6e-4),
        (509.7, 8.6, 490.0, None, 0.989, 6e-4),
        (13.6, 1.8, 12.5, 16.3, 0.66, 6e-3),
    ],
)
def test_probability_of_conformity(
    value: float, u: float, lower: float | None, upper: float | None, published: float, within: float
) -> None:
    assert inside(value, u, lower, upper) == pytest.approx(published, abs=within)


# scipy.stats.norm, another road to the same area; the value 0.6626297864953078 was computed so beforehand.
def test_probability_of_conformity_by_a_general_library() -> None:
    by_library = norm.cdf(16.3, 13.6, 1.8) - norm.cdf(12.5, 13.6, 1.8)
    assert inside(13.6, 1.8, 12.5, 16.3) == pytest.approx(by_library, abs=1e-12)
    assert by_library == pytest.approx(0.6626297864953078, abs=1e-12)


# Guard band of one expanded uncertainty (k = 2): largest specific risk 2.275 %. JCGM 106:2012, 8.3;
# ISO 14253-1:2013 and ILAC-G8:2019 state the same rule. Computed from the normal distribution.
def test_a_guard_band_of_one_expanded_uncertainty_leaves_two_and_a_quarter_percent() -> None:
    u = 0.025
    verdict = decide(1.6 - 2 * u, None, 1.6, resolution=0.0, expanded_uncertainty=2 * u)
    assert verdict.specific_risk == pytest.approx(0.02275013194817921, abs=1e-9)
    assert guard_band(u, 1 - 0.02275013194817921) == pytest.approx(2 * u, rel=1e-9)


# 95 % at one limit: 1.645 standard uncertainties. Any table of the normal distribution; the default of
# ISO 14253-1:2017 from memory.
def test_the_guard_factor_for_ninety_five_percent() -> None:
    assert guard_band(1.0, 0.95) == pytest.approx(1.6448536269514722, abs=1e-9)


# ILAC-G8:2019: simple acceptance right at a limit is wrong in up to half of the cases. Computed.
def test_simple_acceptance_at_the_limit_is_wrong_half_the_time() -> None:
    below, _ = chance_below_and_above(490.0, Span(490.0, None), 8.6)
    assert below == 0.5


# Resistors of 1500 ohm, spread 0.12, read to 0.04, tolerance 0.2, with and without a guard band of 0.08.
# Formulas of JCGM 106:2012, 9.5 (equations 19 and 20); inputs in the manner of its example, from memory;
# results computed beforehand by quadrature and by a bivariate normal distribution.
@pytest.mark.parametrize(
    ("band", "consumer", "producer"), [(0.0, 0.018942, 0.037208), (0.08, 0.000469, 0.247670)]
)
def test_global_risks_of_a_resistor_line(band: float, consumer: float, producer: float) -> None:
    limits = Span(1499.8, 1500.2)
    risk = global_risk(Normal(1500.0, 0.12), limits, limits.shrunk(band), 0.04)
    assert risk.consumer == pytest.approx(consumer, abs=2e-6)
    assert risk.producer == pytest.approx(producer, abs=2e-6)


# One limit at the middle of the spread: orthant probability of a bivariate normal distribution, closed form.
def test_global_risk_at_the_middle_of_the_spread_is_an_angle() -> None:
    risk = global_risk(Normal(0.0, 1.0), Span(None, 0.0), Span(None, 0.0), 0.5)
    assert risk.consumer == pytest.approx(math.atan(0.5) / (2 * math.pi), abs=1e-12)
    assert risk.consumer == pytest.approx(0.07379180882521663, abs=1e-9)


# D. Deaver, "How to maintain confidence" (pages 7 and 10): spread 1, limits at 2, uncertainty 1/4: 0.8 %
# accepted wrongly, 1.5 % rejected wrongly; uncertainty 1/2 with acceptance at 0.91 of the limit: 0.8 % and
# 6.6 %; limits at 2.5, uncertainty 1/4: 0.25 %. As quoted in the tests of the open-source library suncal
# (test/test_risk.py); the paper itself was not at hand.
@pytest.mark.parametrize(
    ("limit", "u", "factor", "consumer", "producer"),
    [
        (2.0, 0.25, 1.0, 0.008, 0.015),
        (2.0, 0.50, 0.91, 0.008, 0.066),
        (2.5, 0.25, 1.0, 0.0025, None),
    ],
)
def test_global_risks_that_deaver_published(
    limit: float, u: float, factor: float, consumer: float, producer: float | None
) -> None:
    accepted = Span(-limit * factor, limit * factor)
    risk = global_risk(Normal(0.0, 1.0), Span(-limit, limit), accepted, u)
    assert risk.consumer == pytest.approx(consumer, abs=5e-4)
    if producer is not None:
        assert risk.producer == pytest.approx(producer, abs=1e-3)


# Tables of a draft of NCSLI Recommended Practice 19: share accepted wrongly, in percent, for a share inside
# of 60 to 99 % and a spread four times the uncertainty. As quoted in the tests of the open-source library
# suncal (test/test_risk.py); the draft itself was not at hand.
@pytest.mark.parametrize(
    ("share_inside", "percent"),
    [
        (0.60, 4.83860326),
        (0.70, 3.92234109),
        (0.80, 2.85583037),
        (0.90, 1.59995312),
        (0.95, 0.87100925),
        (0.99, 0.19991684),
    ],
)
def test_global_risks_of_a_recommended_practice(share_inside: float, percent: float) -> None:
    spread = 1.0 / float(norm.ppf((1.0 + share_inside) / 2.0))
    risk = global_risk(Normal(0.0, spread), Span(-1.0, 1.0), Span(-1.0, 1.0), spread / 4.0)
    assert 100.0 * risk.consumer == pytest.approx(percent, abs=1e-6)


# scipy.stats.multivariate_normal: true value and reading are bivariate normal; an unequal case.
def test_global_risk_by_a_bivariate_normal_distribution() -> None:
    mean, spread, u = 1.42, 0.11, 0.05
    covariance = np.array([[spread**2, spread**2], [spread**2, spread**2 + u**2]])
    joint = multivariate_normal([mean, mean], covariance)

    def box(true: tuple[float, float], read: tuple[float, float]) -> float:
        return float(joint.cdf([true[1], read[1]], lower_limit=[true[0], read[0]]))

    far = 10.0
    limits, accepted = Span(1.2, 1.6), Span(1.23, 1.55)
    risk = global_risk(Normal(mean, spread), limits, accepted, u)
    consumer = box((-far, 1.2), (1.23, 1.55)) + box((1.6, far), (1.23, 1.55))
    producer = box((1.2, 1.6), (-far, 1.23)) + box((1.2, 1.6), (1.55, far))
    assert risk.consumer == pytest.approx(consumer, abs=1e-5)
    assert risk.producer == pytest.approx(producer, abs=1e-5)


# Normal prior and normal reading, JCGM 106:2012, clause 6: prior 10 +- 1, read 12 +- 0.5. Computed.
def test_what_is_known_after_one_reading() -> None:
    known = posterior(Normal(10.0, 1.0), 12.0, 0.5)
    assert (known.mean, known.sd) == pytest.approx((11.6, 0.4472135954999579), abs=1e-9)


@pytest.mark.parametrize("u", [-0.1, math.nan, math.inf])
def test_an_uncertainty_that_cannot_be_is_refused(u: float) -> None:
    for decide_by in (
        lambda: chance_below_and_above(0.5, Span(0.0, 1.0), u),
        lambda: guard_band(u, 0.95),
        lambda: acceptance_limits(Span(0.0, 1.0), u, 0.95),
        lambda: global_risk(Normal(0.0, 1.0), Span(0.0, 1.0), Span(0.0, 1.0), u),
    ):
        with pytest.raises(ValueError, match="uncertainty"):
            decide_by()
    with pytest.raises(ValueError, match="the value must be a finite number"):
        chance_below_and_above(math.nan, Span(0.0, 1.0), 0.1)
    with pytest.raises(ValueError, match="confidence must lie between"):
        acceptance_limits(Span(0.0, 1.0), 0.1, 0.3)
