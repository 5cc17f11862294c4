"""How fast is this engine used, and when will it have run so many hours?

Engine time grows in steps of unequal size at uneven times, more in season than out of it. A gamma process
counted in season days does the same and keeps everything in closed form (see forecast); the rate is learned
from the engine's entries and its fleet's (see fleet).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtri

from tickover.science.core.arrays import Array, broadcast
from tickover.science.core.input_checks import OutOfRangeError, checked, checked_one, checked_whole
from tickover.science.core.kinds import checked_fields, kinds_checked
from tickover.science.core.working import Quantity, Working
from tickover.science.planning.forecast import (
    DECILES,
    DueDays,
    Rates,
    chance_used,
    checked_chances,
    due_days,
    gain_after,
    season_days_until_used,
)
from tickover.science.planning.season import EVEN, Season

SMALLEST_STEP_H = 0.1
"""No flight adds less than about six minutes of engine time, so the gains are never smoother. From memory."""


MOST_HOURS = 1e6
"""More than a century without a pause."""


@dataclass(frozen=True)
class Usage:
    """A gamma process of engine time.

    Parameters
    ----------
    mean_h_per_day : float
        Mean gain of an average day of the year, above 0. [h/day]
    variance_h2_per_day : float
        Variance of that gain were the rate known, above 0. [h2/day]
    days_seen : int
        Days it was learned from, 0 for a supposition. [days]
    authority : str
        "own data" or "from memory".
    known : float
        Shape of the inverse gamma distribution of the rate, above 1; infinite when the rate is known. [-]
    season : Season
    today : int
        Day it is forecast from; of no matter in an even year. [day ordinal]
    own_weight : float
        Weight of the engine's own entries against its fleet. [-]
    fleet_h_per_day : float
        Mean gain of the fleet. [h/day]
    """

    mean_h_per_day: float
    variance_h2_per_day: float
    days_seen: int
    authority: str = "own data"
    known: float = field(kw_only=True)
    season: Season = EVEN
    today: int = 0
    own_weight: float = 1.0
    fleet_h_per_day: float = 0.0

    def __post_init__(self) -> None:
        checked_fields(self)
        for name in ("mean_h_per_day", "variance_h2_per_day"):
            if not 0.0 < getattr(self, name) < MOST_HOURS:
                raise OutOfRangeError(f"{name} must be above 0, not {getattr(self, name)}")
        checked_one("weight of its own entries", self.own_weight, 0.0, 1.0, "1")
        checked_one("rate of the fleet", self.fleet_h_per_day, 0.0, 24.0, "h/day")
        checked_whole("days seen", self.days_seen, 0, 1_000_000, "days")
        checked_whole("today", self.today, -10_000_000, 10_000_000, "days")
        if not self.known > 1.0:
            raise OutOfRangeError(f"known must be above 1, not {self.known}")

    @property
    def scale_h(self) -> float:
        """Size of the steps: scale of the gamma distribution. [h]"""
        return self.variance_h2_per_day / self.mean_h_per_day

    @property
    def shape_per_day(self) -> float:
        """Growth of the shape of the gamma distribution. [1/season day]"""
        return self.mean_h_per_day / self.scale_h

    @property
    def now_h_per_day(self) -> float:
        """Mean gain of a day at this time of the year. [h/day]"""
        return self.mean_h_per_day * float(self.season.at(self.today))

    @property
    def rate_sd(self) -> float:
        """Standard deviation of the rate itself over its mean; infinite while little is known. [-]"""
        return math.sqrt(1.0 / (self.known - 2.0)) if self.known > 2.0 else math.inf

    def working(self, title: str = "rate of use") -> Working:
        """Where the rate comes from."""
        return Working(
            title=title,
            formula="m = w H/S + (1 - w) M; the gain over s season days has mean m s, and variance v s",
            inputs=(
                Quantity("days seen", self.days_seen, "day"),
                Quantity("weight w of its own entries", self.own_weight, ""),
                Quantity("mean rate M of the fleet", self.fleet_h_per_day, "h/day"),
                Quantity("variance v of the gain", self.variance_h2_per_day, "h²/day"),
                Quantity("standard deviation of the rate itself", 100.0 * self.rate_sd, "%"),
                Quantity("season now, 1 on average", float(self.season.at(self.today)), ""),
                Quantity("rate at this time of the year", self.now_h_per_day, "h/day"),
            ),
            result=Quantity("mean rate of use m over the year", self.mean_h_per_day, "h/day"),
            validity="use that goes on as in the two years before, with the season of the fleet",
            source="the time entries of this engine and its fleet"
            if self.days_seen
            else "the fleet's entries",
            authority=self.authority,
        )


@kinds_checked
def rates_of(usages: tuple[Usage, ...]) -> Rates:
    """Rates of many engines for one call of `forecast.due_days`."""
    rows = [(u.shape_per_day, u.scale_h, u.known) for u in usages]
    return Rates(*np.array(rows, dtype=np.float64).reshape(-1, 3).T)


@kinds_checked
def gain_quantiles(
    usage: Usage, days_ahead: ArrayLike, q: ArrayLike = DECILES, *, u_h: float
) -> NDArray[np.float64]:
    """Hours gained after so many days, float[len(q), n]; the fan of a forecast. [h]

    The error of today's engine time, normal with `u_h`, is added in squares to the distance from the median.

    Returns
    -------
    NDArray[np.float64]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.
    """
    days = usage.season.elapsed(usage.today, _not_negative(days_ahead, "days ahead"))
    rates, chances = _rates(usage, days.size), checked_chances(q)
    middle = gain_after(rates, days, 0.5)
    ahead = np.array([gain_after(rates, days, chance) - middle for chance in chances])
    error = (
        checked_one("standard deviation of the hours", u_h, 0.0, MOST_HOURS, "h") * ndtri(chances)[:, None]
    )
    return np.asarray(middle + np.sign(error + ahead) * np.hypot(ahead, error), dtype=np.float64)


@kinds_checked
def chance_reached_by(
    usage: Usage, hours_left: ArrayLike, days_ahead: ArrayLike, *, u_h: ArrayLike
) -> NDArray[np.float64]:
    """Chance that the hours left are used up within so many days, float[n]; all broadcast. [-]

    Nothing left is reached already. `u_h` is the standard deviation of the hours left.

    Returns
    -------
    NDArray[np.float64]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.
    """
    days = usage.season.elapsed(usage.today, _not_negative(days_ahead, "days ahead"))
    left, sd = _hours_left(hours_left, u_h)
    left, days, sd = broadcast(left, days, sd)
    return chance_used(_rates(usage, left.size), left, sd, days)


@kinds_checked
def day_reached_quantiles(
    usage: Usage, hours_left: ArrayLike, q: ArrayLike = DECILES, *, u_h: ArrayLike
) -> NDArray[np.float64]:
    """Days until the hours left are used up, float[len(q), n]; q = 0.1 is the early one. [days]

    Returns
    -------
    NDArray[np.float64]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.
    """
    left, sd = broadcast(*_hours_left(hours_left, u_h))
    rates = _rates(usage, left.size)
    used = [season_days_until_used(rates, left, sd, chance) for chance in checked_chances(q)]
    return usage.season.days_until(usage.today, np.array(used))


@kinds_checked
def due_day(
    usage: Usage,
    hours_left: ArrayLike,
    calendar_days_left: ArrayLike,
    q: ArrayLike = DECILES,
    *,
    u_h: ArrayLike,
) -> DueDays:
    """Days until the first of the two limits of k tasks of this engine, and which it will be.

    Returns
    -------
    DueDays

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.
    """
    return due_days(rates_of((usage,)), hours_left, calendar_days_left, u_h, usage.today, usage.season, q)


def _rates(usage: Usage, count: int) -> Rates:
    return rates_of((usage,)).of(np.zeros(count, dtype=np.int64))


def _not_negative(values: ArrayLike, name: str) -> NDArray[np.float64]:
    return _row(checked(name, values, 0.0, 1e9, "days"))


def _row(values: Array) -> Array:
    if values.ndim > 1:
        raise OutOfRangeError(f"one number or one row of them is wanted; got shape {values.shape}")
    return np.atleast_1d(values)


def _hours_left(hours_left: ArrayLike, u_h: ArrayLike) -> tuple[Array, Array]:
    """Hours left, infinite without a limit, and their standard deviation. [h]"""
    left = checked("hours left", hours_left, -MOST_HOURS, math.inf, "h", endless=True)
    sd = checked("standard deviation of the hours", u_h, 0.0, MOST_HOURS, "h")
    return _row(left), _row(sd)
