"""How fast is this engine used, and when will it have run so many hours?

Engine time grows in steps of unequal size at uneven times. A gamma process does the same and keeps everything
in closed form: the gain over t days is gamma distributed with mean m t and variance v t.

Notes
-----
One rate the whole year round; a place with a closed season is forecast too evenly. What is not known of the
rate itself is not in the spread, so that a forecast from few weeks is narrower than it should be. An entry
that sums a whole season on one day makes the gains look more uneven than they were.

References
----------
J.M. van Noortwijk, "A survey of the application of gamma processes in maintenance", Reliability Engineering
and System Safety 94 (2009) 2-21: process, method of moments, first passage (from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import gammaincc, gammaincinv, gdtrib

from tickover.science.working import Quantity, Working

WEEK_DAYS = 7
FEWEST_WEEKS = 4
FEWEST_ENTRIES = 3
SMALLEST_STEP_H = 0.1
"""No flight adds less than about six minutes of engine time, so the gains are never smoother. From memory."""


@dataclass(frozen=True)
class Usage:
    """A gamma process of engine time.

    Parameters
    ----------
    mean_h_per_day : float
        Mean gain, above 0. [h/day]
    variance_h2_per_day : float
        Variance of the gain, above 0. [h2/day]
    days_seen : int
        Days it was learned from, 0 for a supposition. [days]
    standing : str
        "own data" or "from memory".
    """

    mean_h_per_day: float
    variance_h2_per_day: float
    days_seen: int
    standing: str = "own data"

    def __post_init__(self) -> None:
        for name in ("mean_h_per_day", "variance_h2_per_day"):
            if not 0.0 < getattr(self, name) < math.inf:
                raise ValueError(f"{name} must be above 0, not {getattr(self, name)}")

    @property
    def scale_h(self) -> float:
        """Size of the steps: scale of the gamma distribution. [h]"""
        return self.variance_h2_per_day / self.mean_h_per_day

    @property
    def shape_per_day(self) -> float:
        """Growth of the shape of the gamma distribution. [1/day]"""
        return self.mean_h_per_day / self.scale_h

    def working(self, title: str = "rate of use") -> Working:
        """Where the rate comes from."""
        return Working(
            title=title,
            formula="m = Σ weekly hours / days; v = variance of weekly hours / 7 days",
            inputs=(
                Quantity("days seen", self.days_seen, "day"),
                Quantity("variance v of the gain", self.variance_h2_per_day, "h²/day"),
            ),
            result=Quantity("mean rate of use m", self.mean_h_per_day, "h/day"),
            validity="steady use, no seasons; the gain over t days is gamma with mean m t and variance v t",
            source="this engine's time entries" if self.days_seen else "supposed: too few entries yet",
            standing=self.standing,
        )


SUPPOSED = Usage(mean_h_per_day=0.1, variance_h2_per_day=0.5, days_seen=0, standing="from memory")
"""Some 36 hours a year, in four years of five between 20 and 55: a privately flown engine. From memory."""


def learn(
    day: ArrayLike, hours: ArrayLike, today: int, window_days: int = 365, supposed: Usage = SUPPOSED
) -> Usage:
    """Learn the rate from dated engine time entries, by moments of weekly sums.

    Parameters
    ----------
    day : int[n]
        Day of each entry. [day ordinal]
    hours : float[n]
        Engine time each entry adds, 0 or more. [h]
    today : int
        Last day of the window. Later entries are left aside. [day ordinal]
    window_days : int
        How far back to look. [days]
    supposed : Usage
        What to suppose while there are fewer than 4 whole weeks since the first entry, or fewer than 3
        entries with time in the window.

    Notes
    -----
    Whole weeks are counted back from today; the odd days before them are left out. Weeks without flying
    count as 0 h, from the first entry on.

    Raises
    ------
    ValueError
        When an entry is negative or not a number, or the two arrays differ in length.
    """
    days, gains = np.asarray(day, dtype=np.int64), np.asarray(hours, dtype=np.float64)
    if days.shape != gains.shape or days.ndim != 1:
        raise ValueError(f"each entry needs a day and hours: got {days.shape} days and {gains.shape} hours")
    if not np.all(gains >= 0.0) or not np.all(np.isfinite(gains)):
        raise ValueError("an entry of engine time must be a number of hours, 0 or more")
    past = days <= today
    weekly = _weekly_sums(today - days[past], gains[past], window_days)
    flown = np.count_nonzero((gains > 0.0) & past & (days > today - WEEK_DAYS * len(weekly)))
    if len(weekly) < FEWEST_WEEKS or flown < FEWEST_ENTRIES:
        return supposed
    mean = float(np.mean(weekly)) / WEEK_DAYS
    variance = float(np.var(weekly, ddof=1)) / WEEK_DAYS
    return Usage(mean, max(variance, SMALLEST_STEP_H * mean), days_seen=WEEK_DAYS * len(weekly))


def gain_quantiles(
    usage: Usage, days_ahead: ArrayLike, q: ArrayLike = (0.1, 0.5, 0.9)
) -> NDArray[np.float64]:
    """Hours gained after so many days, float[len(q), n]; the fan of a forecast. [h]"""
    shape = usage.shape_per_day * _not_negative(days_ahead, "days ahead")
    steps = gammaincinv(np.where(shape > 0.0, shape, 1.0)[None, :], _chances(q)[:, None])
    return np.where(shape[None, :] > 0.0, steps * usage.scale_h, 0.0)


def chance_reached_by(usage: Usage, hours_left: ArrayLike, days_ahead: ArrayLike) -> NDArray[np.float64]:
    """Chance that the hours left are used up within so many days, float[n]; the two broadcast. [-]

    The regularised upper incomplete gamma function Q(m² t / v, h m / v). Nothing left is reached already.
    """
    left = np.asarray(hours_left, dtype=np.float64)
    shape = usage.shape_per_day * _not_negative(days_ahead, "days ahead")
    return np.where(left <= 0.0, 1.0, gammaincc(shape, np.maximum(left, 0.0) / usage.scale_h))


def day_reached_quantiles(
    usage: Usage, hours_left: ArrayLike, q: ArrayLike = (0.1, 0.5, 0.9)
) -> NDArray[np.float64]:
    """Days until the hours left are used up, float[len(q), n]; q = 0.1 is the early one. [days]

    The chance of having reached them grows with the days, so that it can be turned round.
    """
    left = np.atleast_1d(np.asarray(hours_left, dtype=np.float64))[None, :]
    not_reached = 1.0 - _chances(q)[:, None]
    shape = gdtrib(1.0 / usage.scale_h, not_reached, np.maximum(left, 0.0))
    return np.where(left <= 0.0, 0.0, shape / usage.shape_per_day)


def chance_hours_bite(
    usage: Usage, hours_left: ArrayLike, calendar_days_left: ArrayLike
) -> NDArray[np.float64]:
    """Chance that the hour limit comes before the calendar limit, float[n]; the two broadcast. [-]

    A calendar limit already passed has come first, unless the hours were used up as well.
    """
    days = np.maximum(np.asarray(calendar_days_left, dtype=np.float64), 0.0)
    return chance_reached_by(usage, hours_left, days)


def due_day_quantiles(
    usage: Usage, hours_left: ArrayLike, calendar_days_left: ArrayLike, q: ArrayLike = (0.1, 0.5, 0.9)
) -> NDArray[np.float64]:
    """Days until the first of the two limits, float[len(q), n]. [days]"""
    days = np.maximum(np.asarray(calendar_days_left, dtype=np.float64), 0.0)
    return np.minimum(day_reached_quantiles(usage, hours_left, q), days)


def _weekly_sums(
    days_ago: NDArray[np.int64], gains: NDArray[np.float64], window_days: int
) -> NDArray[np.float64]:
    """Hours of each whole week back from today, newest first, since the first entry or the window's start."""
    if len(days_ago) == 0:
        return np.zeros(0)
    weeks = int(min(window_days, days_ago.max() + 1)) // WEEK_DAYS
    week = days_ago // WEEK_DAYS
    sums = np.bincount(week[week < weeks], weights=gains[week < weeks], minlength=weeks)
    return sums.astype(np.float64)


def _not_negative(values: ArrayLike, name: str) -> NDArray[np.float64]:
    array = np.atleast_1d(np.asarray(values, dtype=np.float64))
    if not np.all(array >= 0.0):
        raise ValueError(f"{name} must be 0 or more")
    return array


def _chances(q: ArrayLike) -> NDArray[np.float64]:
    array = np.atleast_1d(np.asarray(q, dtype=np.float64))
    if not np.all((array > 0.0) & (array < 1.0)):
        raise ValueError("a quantile must lie between 0 and 1")
    return array
