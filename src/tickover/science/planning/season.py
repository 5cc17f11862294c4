"""How is the flying of a year spread over its days?

One profile for a place, shared by its fleet: what one engine flew in one winter says little, what all flew
in two winters says enough. It turns days into *season days*: a summer day may count for 1.6 of them, a
winter day for 0.3, a whole year for 365.2425. Counted in season days, use is even.

Notes
-----
The profile is exp(a1 cos + b1 sin + a2 cos 2 + b2 sin 2) of the angle of the year, so that it is positive,
over its own mean. It is fitted to the weekly sums of the whole fleet by quasi-likelihood with variance
proportional to the mean, and held back towards an even year by a normal prior on each coefficient, with the
standard deviation `PRIOR_SD` for the yearly wave and half of it for the half-yearly one. Few weeks so leave
it nearly even, and the level of the whole year unsure: who saw only a winter cannot tell a quiet fleet from
a long winter.

References
----------
P. McCullagh, J.A. Nelder, *Generalized Linear Models*, 2nd ed. (1989), ch. 9: quasi-likelihood (from
memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tickover.science.core.arrays import broadcast
from tickover.science.core.input_checks import OutOfRangeError, checked, checked_one
from tickover.science.core.kinds import checked_fields, kinds_checked
from tickover.science.core.shapes import one_or_many

__all__ = ["EVEN", "YEAR_DAYS", "Season", "learn_season"]

Array = NDArray[np.float64]
YEAR_DAYS = 365.2425
KNOTS = 366
DAYS = (-1e7, 1e9)
"""Ordinals of days, years and years to both sides of the calendar's; they may be asked for that far ahead."""
HOURS = 1e9
LARGEST_WAVE = 5.0
"""Already exp(10), 20,000 times as busy in the best month as in the dullest: no flying is."""
PRIOR_SD = 0.7
"""A factor of four between the best and the dullest month is not unusual. From memory."""
MOST_STEPS = 50
SMALL_STEP = 1e-8
LEAST_SPREAD_H = 0.1
"""Sums of flights are never smoother than flights of six minutes. From memory."""


@dataclass(frozen=True)
class Season:
    """Busyness over the year, 1 on average.

    Parameters
    ----------
    waves : tuple of float
        Coefficients of cos and sin of the yearly wave, then of the half-yearly; none for an even year. [-]
    unsure : float
        Variance that not knowing the season adds to the logarithm of the year's level. [-]
    """

    waves: tuple[float, ...] = ()
    unsure: float = 0.0

    def __post_init__(self) -> None:
        checked_fields(self)
        if len(self.waves) not in (0, 2, 4):
            raise OutOfRangeError(f"a season has 2 or 4 waves, or none; got {len(self.waves)}")
        for wave in self.waves:
            checked_one("wave of a season", wave, -LARGEST_WAVE, LARGEST_WAVE, "")
        checked_one("variance of the season", self.unsure, 0.0, LARGEST_WAVE)

    def at(self, day: ArrayLike) -> Array:
        """Busyness on a day, 1 on average. [day ordinal] -> [-]"""
        on = _days("day", day, *DAYS)
        level = np.exp(waves_at(on, len(self.waves)) @ np.array(self.waves)) / self._mean
        return one_or_many(np.asarray(level, dtype=np.float64))

    def elapsed(self, day: ArrayLike, days: ArrayLike) -> Array:
        """Season days in so many days from a day on; the two broadcast. [season day]

        Parameters
        ----------
        day : array_like
            Day, -1e+07 to 1e+09. [days]
        days : array_like
            Days, 0 to 1e+09. [days]

        Returns
        -------
        float or numpy.ndarray
            Common shape of the inputs. [season day]

        Raises
        ------
        OutOfRangeError
            Outside of those ranges, and for what is no number.

        Examples
        --------
        >>> float(EVEN.elapsed(739_000, 30))
        30.0
        """
        begin, length = broadcast(_days("day", day, *DAYS), _days("days", days, 0.0, DAYS[1]))
        return length.copy() if not self.waves else self._since(begin + length) - self._since(begin)

    def days_until(self, day: ArrayLike, season_days: ArrayLike) -> Array:
        """Days from a day on until so many season days have passed: `elapsed` turned round. [days]

        Parameters
        ----------
        day : array_like
            Day, -1e+07 to 1e+09. [days]
        season_days : array_like
            Season days, 0 or more. [days]

        Returns
        -------
        float or numpy.ndarray
            Common shape of the inputs. [days]

        Raises
        ------
        OutOfRangeError
            Outside of those ranges, and for what is no number.

        Examples
        --------
        >>> float(EVEN.days_until(739_000, 30.0))
        30.0
        """
        begin = _days("day", day, *DAYS)
        wanted = _days("season days", season_days, 0.0, math.inf)
        begin, wanted = broadcast(begin, wanted)
        if not self.waves:
            return wanted.copy()
        some = np.isfinite(wanted)
        years, rest = np.divmod(self._since(begin) + np.where(some, wanted, 0.0), YEAR_DAYS)
        days = years * YEAR_DAYS + np.interp(rest, self._table[1], self._table[0]) - begin
        return one_or_many(np.where(some, np.maximum(days, 0.0), wanted))

    def _since(self, day: Array) -> Array:
        """Season days since day 0."""
        years, rest = np.divmod(day, YEAR_DAYS)
        return years * YEAR_DAYS + np.interp(rest, *self._table)

    @cached_property
    def _mean(self) -> float:
        day = (np.arange(KNOTS) + 0.5) / KNOTS * YEAR_DAYS
        return float(np.mean(np.exp(waves_at(day, len(self.waves)) @ np.array(self.waves))))

    @cached_property
    def _table(self) -> tuple[Array, Array]:
        """Day of the year, and season days since its beginning."""
        day = np.linspace(0.0, YEAR_DAYS, KNOTS + 1)
        passed = np.concatenate([[0.0], np.cumsum(self.at((day[1:] + day[:-1]) / 2) * np.diff(day))])
        return day, passed / passed[-1] * YEAR_DAYS


EVEN = Season()


def waves_at(day: ArrayLike, count: int) -> Array:
    """Cosine and sine of the yearly wave and its multiples, float[n, count]. [day ordinal] -> [-]"""
    angle = 2.0 * np.pi / YEAR_DAYS * np.asarray(day, dtype=np.float64)
    waves = [wave(k * angle) for k in range(1, count // 2 + 1) for wave in (np.cos, np.sin)]
    return np.stack(waves, axis=-1) if waves else np.zeros((*angle.shape, 0))


@kinds_checked
def _days(name: str, value: ArrayLike, lower: float, upper: float) -> Array:
    """Days, of as many engines as there are: of none, too. Where the range ends nowhere, they may be infinite."""
    if np.size(value) == 0:
        return np.zeros(np.shape(value))
    return checked(name, value, lower, upper, "days", endless=True)


def learn_season(day: ArrayLike, hours: ArrayLike, even_hours: ArrayLike, waves: int = 4) -> Season:
    """Learn the profile from sums of a fleet.

    Parameters
    ----------
    day : float[n]
        Middle of each stretch of days. [day ordinal]
    hours : float[n]
        What the fleet flew in it. [h]
    even_hours : float[n]
        What it would have flown in it in an even year, 0 where nothing was seen. [h]
    waves : int
        2 for the yearly wave alone, 4 with the half-yearly one.

    Returns
    -------
    Season

    Raises
    ------
    OutOfRangeError
    """
    if np.size(day) == np.size(hours) == np.size(even_hours) == 0:
        return Season(unsure=PRIOR_SD**2)
    middle, flown, even = broadcast(
        np.ravel(checked("day", day, *DAYS, "days")),
        np.ravel(checked("hours", hours, 0.0, HOURS, "h")),
        np.ravel(checked("hours of an even year", even_hours, 0.0, HOURS, "h")),
    )
    if type(waves) is not int or waves not in (0, 2, 4):
        raise OutOfRangeError(
            f"waves must be 2 for the yearly one or 4 with the half-yearly one; got {waves}"
        )
    seen = even > 0.0
    if flown[seen].sum() < LEAST_SPREAD_H:
        return Season(unsure=PRIOR_SD**2)
    basis = np.column_stack([np.ones(np.count_nonzero(seen)), waves_at(middle[seen], waves)])
    coefficients, curvature = _fitted(basis, flown[seen], even[seen])
    unsure = float(np.linalg.inv(curvature)[0, 0]) - 1.0 / float(curvature[0, 0])
    return Season(tuple(float(c) for c in coefficients[1:]), max(unsure, 0.0))


def _fitted(basis: Array, flown: Array, even: Array) -> tuple[Array, Array]:
    """Coefficients by Newton's method, the spread of the sums estimated on the way; and the curvature."""
    wave = (np.arange(basis.shape[1]) + 1) // 2
    prior = np.where(wave > 0, (wave / PRIOR_SD) ** 2, 0.0)
    freedom = max(len(flown) - len(wave), 1)
    coefficients = np.zeros(len(wave))
    coefficients[0] = np.log(flown.sum() / even.sum())
    for _ in range(MOST_STEPS):
        expected = even * np.exp(np.clip(basis @ coefficients, -20.0, 20.0))
        spread = max(float(np.sum((flown - expected) ** 2 / expected)) / freedom, LEAST_SPREAD_H)
        slope = basis.T @ (flown - expected) / spread - prior * coefficients
        curvature = (basis.T * expected) @ basis / spread + np.diag(prior)
        step = np.linalg.solve(curvature, slope)
        coefficients = coefficients + step * min(1.0, 1.0 / max(float(np.abs(step).max()), 1e-12))
        if np.abs(step).max() < SMALL_STEP:
            break
    return coefficients, curvature
