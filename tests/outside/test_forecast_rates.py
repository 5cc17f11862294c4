"""Forecasts with an uncertain rate against closed forms, a general library and a simulation."""

import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import f, fatiguelife, gamma, invgamma, invgauss, norm

from tickover.science.planning.forecast import (
    Rates,
    chance_used,
    due_days,
    gain_after,
    season_days_until_used,
)
from tickover.science.planning.season import Season
from tickover.science.planning.usage import (
    Usage,
    chance_reached_by,
    day_reached_quantiles,
    due_day,
    gain_quantiles,
)

SURE = np.zeros(1)
SUMMERY = Season((-0.7, -0.3, -0.1, 0.05))
AUTUMN = 738_887 + 260


def rates(shape_per_day: float, scale_h: float, known: float = math.inf, count: int = 1) -> Rates:
    return Rates(*(np.full(count, value) for value in (shape_per_day, scale_h, known)))


# Hours of gamma-distributed steps and events of a Poisson process are two readings of one process: n steps
# take longer than 50 h if fewer than n events fall in 50 h. With the rate of events Gamma(16, 230 h) (prior
# Gamma(2, 30 h), 14 events in 200 h) their number is negative binomial with r = 16, p = 230/280; its first
# four probabilities, computed beforehand from the closed form and by an integral over the mixture.
NEGATIVE_BINOMIAL = [0.04296520366661644, 0.12275772476176147, 0.1863286893705307, 0.19963788146842562]


@pytest.mark.parametrize("steps", [1, 2, 3, 4])
def test_an_uncertain_rate_by_the_negative_binomial_distribution(steps: int) -> None:
    engine = rates(1.0, scale_h=230.0 / 15.0, known=16.0)
    chance = chance_used(engine, np.array([50.0]), SURE, np.array([float(steps)]))
    assert chance.item() == pytest.approx(sum(NEGATIVE_BINOMIAL[:steps]), abs=1e-12)


# scipy.integrate.quad over scipy.stats.invgamma: the mixture of gamma processes itself.
@pytest.mark.parametrize("known", [3.0, 12.0, 150.0])
@pytest.mark.parametrize(("hours", "days"), [(2.0, 10.0), (40.0, 120.0), (100.0, 150.0)])
def test_an_uncertain_rate_by_quadrature(known: float, hours: float, days: float) -> None:
    shape, scale = 0.2, 2.0
    prior = invgamma(known, scale=scale * (known - 1.0))
    expected, _ = quad(lambda q: gamma.sf(hours, shape * days, scale=prior.ppf(q)), 0.0, 1.0, limit=200)
    chance = chance_used(rates(shape, scale, known), np.array([hours]), SURE, np.array([days]))
    assert chance.item() == pytest.approx(expected, abs=1e-7)


# scipy.stats.f, a general library.
def test_the_gain_by_the_f_distribution_of_a_general_library() -> None:
    days, known = np.array([10.0, 90.0, 400.0]), 14.0
    by_library = f.ppf(0.9, 2 * 0.2 * days, 2 * known) * 0.2 * days * 2.0 * (known - 1.0) / known
    assert gain_after(rates(0.2, 2.0, known, 3), days, 0.9) == pytest.approx(by_library, rel=1e-9)


def test_a_rate_known_ever_better_becomes_a_known_rate() -> None:
    left, days = np.array([60.0]), np.array([130.0])
    sure = chance_used(rates(0.25, 2.0), left, SURE, days).item()
    apart = [
        abs(chance_used(rates(0.25, 2.0, known), left, SURE, days).item() - sure) for known in (10, 1e3, 1e5)
    ]
    assert apart == sorted(apart, reverse=True)
    assert apart[-1] < 1e-4


# First passage of a drifted Brownian motion is inverse Gaussian, mean L/v, variance L σ²/v³: for L = 100 h,
# v = 0.5 h/day, σ = 1.2 h/√day 200 days and 1152 days². As its steps become small, a gamma process becomes
# one; the steps here are σ²/v = 2.88 h. A process with steps oversteps the limit, by half a step in the mean,
# which is set off. Closed form, and scipy.stats.invgauss.
def test_many_small_steps_by_the_inverse_gaussian_distribution() -> None:
    usage = Usage(0.5, 1.44, 364, known=float("inf"))
    found = day_reached_quantiles(usage, 100.0 - 2.88 / 2, np.linspace(0.0005, 0.9995, 1000), u_h=0.0)[:, 0]
    assert found.mean() == pytest.approx(200.0, rel=0.001)
    assert found.var() == pytest.approx(1152.0, rel=0.03)


@pytest.mark.parametrize("scale_h", [2.88, 1.0, 0.1, 0.01])
def test_smaller_steps_come_nearer_to_the_inverse_gaussian(scale_h: float) -> None:
    usage = Usage(0.5, 0.5 * scale_h, 364, known=float("inf"))
    mean, shape = 200.0, 100.0**2 / (0.5 * scale_h)
    days = mean + math.sqrt(mean**3 / shape) * np.linspace(-2.5, 2.5, 41)
    expected = invgauss.cdf(days, mean / shape, scale=shape)
    # the skewness of a gamma distribution, which falls with the root of the size of a step
    apart = 0.14 * math.sqrt(scale_h / 100.0)
    assert chance_reached_by(usage, 100.0 - scale_h / 2, days, u_h=0.0) == pytest.approx(expected, abs=apart)


# Birnbaum-Saunders (scipy.stats.fatiguelife): what the central limit theorem makes of the first passage of a
# process with independent gains: alpha = √(θ/L), scale = L/v.
def test_first_passage_by_the_birnbaum_saunders_distribution() -> None:
    usage, days = Usage(0.5, 0.5, 364, known=float("inf")), np.arange(160.0, 250.0, 10.0)
    expected = fatiguelife.cdf(days, math.sqrt(1.0 / 100.0), scale=200.0)
    assert chance_reached_by(usage, 100.0, days, u_h=0.0) == pytest.approx(expected, abs=0.015)


# The same Brownian motion with a calendar limit at 180 days: chance of the hours first 0.294935, mean of the
# due day 174.82752, from E[min(T, C)] = ∫ S(t) dt.
def test_whichever_comes_first_by_the_inverse_gaussian() -> None:
    found = due_day(
        Usage(0.5, 1.44, 364, known=float("inf")),
        100.0 - 2.88 / 2,
        180.0,
        q=np.linspace(0.0005, 0.9995, 1000),
        u_h=0.0,
    )
    assert found.chance_by_hours.item() == pytest.approx(0.294935, abs=0.015)
    assert found.days.mean() == pytest.approx(174.82752, abs=0.5)


# 37.5 h left at 0.5 h a day: 75 days, before 80 calendar days. Arithmetic.
def test_use_without_chance_is_arithmetic() -> None:
    found = due_day(Usage(0.5, 1e-6, 364, known=float("inf")), 37.5, 80.0, u_h=0.0)
    assert found.days[:, 0, 0] == pytest.approx([75.0, 75.0, 75.0], abs=0.1)
    assert found.chance_by_hours.item() == pytest.approx(1.0)


@pytest.fixture(scope="module")
def paths() -> np.ndarray:
    """Gains of 20,000 simulated engines, each with its own rate, from autumn on, float[20000, 500]. [h]"""
    rng = np.random.default_rng(2024)
    busy = SUMMERY.elapsed(AUTUMN + np.arange(500), np.ones(500))
    scale = invgamma.rvs(8.0, scale=2.0 * 7.0, size=20_000, random_state=rng)
    return (rng.standard_gamma(0.2 * busy, size=(20_000, 500)) * scale[:, None]).cumsum(axis=1)


ENGINE = Usage(0.4, 0.8, 364, known=8.0, season=SUMMERY, today=AUTUMN)


def test_the_fan_over_a_winter_by_simulation(paths: np.ndarray) -> None:
    days = np.array([60, 180, 270, 365])
    simulated = np.quantile(paths[:, days - 1], [0.1, 0.5, 0.9], axis=0)
    assert gain_quantiles(ENGINE, days, u_h=0.0) == pytest.approx(simulated, rel=0.04)


def test_chances_over_a_winter_by_simulation(paths: np.ndarray) -> None:
    days = np.array([60, 150, 220, 300, 400])
    simulated = (paths[:, days - 1] >= 60.0).mean(axis=0)
    four_errors = 4 * 0.5 / math.sqrt(20_000)
    assert chance_reached_by(ENGINE, 60.0, days, u_h=0.0) == pytest.approx(simulated, abs=four_errors)


def test_due_days_with_uncertain_engine_time_by_simulation(paths: np.ndarray) -> None:
    left = 60.0 + 12.0 * np.random.default_rng(5).standard_normal(20_000)
    due = np.minimum(1 + (paths < left[:, None]).sum(axis=1), 300) - 0.5
    found = due_day(ENGINE, 60.0, 300.0, u_h=12.0)
    assert found.days[:, 0, 0] == pytest.approx(np.quantile(due, [0.1, 0.5, 0.9]), abs=2.5)
    assert found.chance_by_hours.item() == pytest.approx((due < 299.0).mean(), abs=0.015)


# scipy.integrate.quad over scipy.stats.norm: what the engine time truly is.
@pytest.mark.parametrize(("hours", "sd"), [(1.0, 2.0), (5.0, 3.0), (20.0, 4.0)])
@pytest.mark.parametrize("days", [5.0, 30.0])
def test_uncertain_engine_time_by_quadrature(hours: float, sd: float, days: float) -> None:
    passed = norm.cdf(0.0, hours, sd)
    ahead, _ = quad(
        lambda h: norm.pdf(h, hours, sd) * gamma.sf(h, 0.25 * days, scale=2.0), 0.0, hours + 9 * sd, limit=200
    )
    found = chance_used(rates(0.25, 2.0), np.array([hours]), np.array([sd]), np.array([days]))
    assert found.item() == pytest.approx(passed + ahead, abs=0.005)


def test_many_engines_at_once_by_one_after_the_other() -> None:
    rng = np.random.default_rng(11)
    many = Rates(rng.uniform(0.1, 0.4, 7), rng.uniform(0.5, 3.0, 7), rng.uniform(3.0, 80.0, 7))
    left, calendar = rng.uniform(-5.0, 100.0, (7, 5)), rng.uniform(-20.0, 700.0, (7, 5))
    found = due_days(many, left, calendar, 0.3, AUTUMN, SUMMERY)
    for n in range(7):
        one = Usage(
            many.shape_per_day[n] * many.scale_h[n],
            many.shape_per_day[n] * many.scale_h[n] ** 2,
            364,
            known=many.known[n],
            season=SUMMERY,
            today=AUTUMN,
        )
        alone = due_day(one, left[n], calendar[n], u_h=0.3)
        assert found.days[:, n] == pytest.approx(alone.days[:, 0], abs=1e-9)
        assert found.chance_by_hours[n] == pytest.approx(alone.chance_by_hours[0], abs=1e-12)


def test_a_season_day_has_its_chance() -> None:
    engine = rates(0.2, 2.0, 9.0, 3)
    left = np.array([5.0, 50.0, 200.0])
    days = season_days_until_used(engine, left, np.zeros(3), 0.5)
    assert f.sf(left / (0.2 * days * 2.0 * 8.0 / 9.0), 0.4 * days, 18.0) == pytest.approx([0.5] * 3, abs=1e-9)


@pytest.mark.parametrize(("left", "sd"), [(np.nan, 0.0), (10.0, -1.0), (10.0, np.nan)])
def test_missing_numbers_are_refused(left: float, sd: float) -> None:
    with pytest.raises(ValueError, match="hours"):
        due_days(rates(0.2, 2.0), left, 100.0, sd, AUTUMN)
