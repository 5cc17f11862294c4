"""The gamma process of engine time against tables, event counts, a general library and a simulation."""

import math

import numpy as np
import pytest
from scipy.stats import gamma

from tickover.science.planning.usage import (
    Usage,
    chance_reached_by,
    day_reached_quantiles,
    due_day,
    gain_quantiles,
)

CLUB_ENGINE = Usage(mean_h_per_day=0.5, variance_h2_per_day=1.0, days_seen=364, known=float("inf"))


# First passage of a gamma process, shape 0.25 a day, scale 2 h, 100 h left: upper incomplete gamma function,
# computed beforehand.
def test_first_passage_of_a_hundred_hours() -> None:
    chances = chance_reached_by(CLUB_ENGINE, 100.0, [180.0, 200.0, 220.0], u_h=0.0)
    assert chances == pytest.approx([0.2210402, 0.4811917, 0.7423060], abs=1e-6)


# A gamma process with scale 2 is a chi-square distribution with twice its shape as degrees of freedom.
# Upper critical values as any handbook prints them, for example NIST/SEMATECH e-Handbook, 1.3.6.7.4 (from
# memory).
@pytest.mark.parametrize(
    ("degrees_of_freedom", "upper_chance", "critical_value"),
    [
        (1, 0.05, 3.841),
        (5, 0.10, 9.236),
        (10, 0.05, 18.307),
        (10, 0.90, 4.865),
        (20, 0.05, 31.410),
        (30, 0.01, 50.892),
        (100, 0.05, 124.342),
    ],
)
def test_gains_by_a_table_of_chi_square(
    degrees_of_freedom: int, upper_chance: float, critical_value: float
) -> None:
    days = 2.0 * degrees_of_freedom  # shape 0.25 a day
    assert chance_reached_by(CLUB_ENGINE, critical_value, days, u_h=0.0).item() == pytest.approx(
        upper_chance, abs=5e-5
    )
    assert gain_quantiles(CLUB_ENGINE, days, 1.0 - upper_chance, u_h=0.0).item() == pytest.approx(
        critical_value, abs=5e-4
    )
    assert day_reached_quantiles(CLUB_ENGINE, critical_value, upper_chance, u_h=0.0).item() == pytest.approx(
        days, rel=2e-4
    )


# Waiting for the n-th event of a Poisson process is gamma distributed: with a whole shape n, the chance of
# gaining more than x is the chance of fewer than n events (closed form).
@pytest.mark.parametrize("shape", [1, 4, 25])
@pytest.mark.parametrize("hours", [3.0, 30.0, 80.0])
def test_gains_by_counting_events(shape: int, hours: float) -> None:
    expected = hours / CLUB_ENGINE.scale_h
    fewer = math.exp(-expected) * sum(expected**k / math.factorial(k) for k in range(shape))
    assert chance_reached_by(CLUB_ENGINE, hours, 4.0 * shape, u_h=0.0).item() == pytest.approx(
        fewer, rel=1e-10
    )


# scipy.stats.gamma, a general library.
def test_the_fan_by_a_general_library() -> None:
    days, q = np.array([1.0, 30.0, 180.0, 365.0]), np.array([0.1, 0.5, 0.9])
    usage = Usage(0.12, 0.31, 364, known=float("inf"))
    by_library = gamma.ppf(q[:, None], usage.shape_per_day * days, scale=usage.scale_h)
    assert gain_quantiles(usage, days, q, u_h=0.0) == pytest.approx(by_library, rel=1e-8)


def test_mean_and_variance_of_the_gain_are_those_of_the_rate() -> None:
    q = (np.arange(20_000) + 0.5) / 20_000
    gains = gain_quantiles(CLUB_ENGINE, 90.0, q, u_h=0.0)
    assert gains.mean() == pytest.approx(0.5 * 90.0, rel=1e-4)
    assert gains.var() == pytest.approx(1.0 * 90.0, rel=2e-3)


@pytest.fixture(scope="module")
def paths() -> np.ndarray:
    """Engine time of 20,000 simulated engines at the end of each of 365 days, float[20000, 365]. [h]"""
    rng = np.random.default_rng(106)
    daily = rng.gamma(CLUB_ENGINE.shape_per_day, CLUB_ENGINE.scale_h, size=(20_000, 365))
    return daily.cumsum(axis=1)


def test_chances_by_simulation(paths: np.ndarray) -> None:
    days = np.array([150, 180, 200, 220, 260])
    simulated = (paths[:, days - 1] >= 100.0).mean(axis=0)
    # four standard errors of a share of 20,000
    assert chance_reached_by(CLUB_ENGINE, 100.0, days, u_h=0.0) == pytest.approx(
        simulated, abs=4 * 0.5 / math.sqrt(20_000)
    )


def test_the_day_reached_by_simulation(paths: np.ndarray) -> None:
    day_reached = 1 + (paths < 60.0).sum(axis=1)
    simulated = np.quantile(day_reached, [0.1, 0.5, 0.9])
    # the simulation only looks at the end of each day: up to a day late
    assert day_reached_quantiles(CLUB_ENGINE, 60.0, u_h=0.0)[:, 0] == pytest.approx(simulated - 0.5, abs=1.5)


def test_which_limit_bites_by_simulation(paths: np.ndarray) -> None:
    simulated = (paths[:, 190 - 1] >= 100.0).mean()
    assert due_day(CLUB_ENGINE, 100.0, 190.0, u_h=0.0).chance_by_hours.item() == pytest.approx(
        simulated, abs=0.015
    )
    due = np.minimum(1 + (paths < 100.0).sum(axis=1), 190)
    assert due_day(CLUB_ENGINE, 100.0, 190.0, u_h=0.0).days[:, 0, 0] == pytest.approx(
        np.quantile(due, [0.1, 0.5, 0.9]), abs=1.5
    )
