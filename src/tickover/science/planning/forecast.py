"""When will so many hours have been run, for one engine or a hundred thousand?

In season days (see season) engine time grows as a gamma process: over s of them the gain is gamma
distributed with shape k s and scale θ. The shape k is known; the scale, and with it the rate kθ, is known
only as well as there are entries: inverse gamma with shape a and mean θ. That keeps everything closed. The
gain over kθ s has an F distribution with 2 k s and 2 a degrees of freedom, times a/(a-1); as a grows, its
regularised incomplete beta function becomes the regularised incomplete gamma function of the process itself.

Notes
-----
Engine time recorded so far is itself uncertain. Its error is taken as normal: the chance that no hours are
left is exact, and what may be left else is integrated by Gauss-Legendre over its probability. Where the error
would widen the forecast by less than half a percent (sd² < `SMALL_ERROR` θ h) it is left out.

References
----------
J.M. van Noortwijk, "A survey of the application of gamma processes in maintenance", Reliability Engineering
and System Safety 94 (2009) 2-21: process, first passage (from memory). A. Gelman et al., *Bayesian Data
Analysis*, 3rd ed. (2013), 2.6 and appendix A: the inverse gamma as conjugate of a scale (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import btdtria, fdtrc, fdtri, gammaincc, gammaincinv, gdtrib, ndtr, ndtri

from tickover.science.core.arrays import broadcast
from tickover.science.core.input_checks import OutOfRangeError, checked
from tickover.science.core.kinds import checked_fields, kinds_checked
from tickover.science.planning.season import EVEN, Season

__all__ = ["DECILES", "DueDays", "Rates", "due_days"]

Array = NDArray[np.float64]
MOST_HOURS = 1e6
DECILES = (0.1, 0.5, 0.9)
CHUNK = 1 << 16
"""Tasks computed at one time, so that memory stays bounded."""
NODES, WEIGHTS = (np.polynomial.legendre.leggauss(8) + np.array([[1.0], [0.0]])) / 2.0
SMALL_ERROR = 0.01
SMALLEST_SHAPE = 1e-12
"""Before that the chance of any gain is nothing."""
FAR_SEASON_DAYS = 1e6
ROOT_TOLERANCE_DAYS = 1e-3


@dataclass(frozen=True)
class Rates:
    """What is known of the rate of use of n engines.

    Parameters
    ----------
    shape_per_day : float[n]
        Growth k of the shape, above 0. [1/season day]
    scale_h : float[n]
        Mean θ of the scale, above 0; the mean rate is k θ. [h]
    known : float[n]
        Shape a of the inverse gamma of the scale, above 1; infinite where the rate is known. [-]
    """

    shape_per_day: Array
    scale_h: Array
    known: Array

    def __post_init__(self) -> None:
        checked_fields(self)
        if not self.scale_h.size:
            return
        checked("growth of the shape", self.shape_per_day, 1e-12, 1e12, "1/day")
        checked("scale", self.scale_h, 1e-12, 1e12, "h")
        checked("shape of what is known of the rate", self.known, 1.0, math.inf, endless=True)
        if (
            np.any(self.known <= 1.0)
            or not self.shape_per_day.shape == self.scale_h.shape == self.known.shape
        ):
            raise OutOfRangeError("rates must have one shape, scale and known, above 1, for every engine")
        if self.scale_h.ndim != 1:
            raise OutOfRangeError(
                f"rates must be one row, an engine after the other; got shape {self.scale_h.shape}"
            )

    @kinds_checked
    def of(self, engine: NDArray[np.int64]) -> Rates:
        """Those of some engines, by their place."""
        if engine.size and not (engine.min() >= 0 and engine.max() < self.scale_h.size):
            raise OutOfRangeError(f"places of engines are 0 to {self.scale_h.size - 1}")
        return Rates(self.shape_per_day[engine], self.scale_h[engine], self.known[engine])


@dataclass(frozen=True)
class DueDays:
    """When tasks fall due, as distributions.

    Parameters
    ----------
    days : float[len(q), n, k]
        Days until the first of the two limits, one quantile after the other; 0 when passed. [days]
    chance_by_hours : float[n, k]
        Chance that the hour limit comes first. [-]
    """

    days: Array
    chance_by_hours: Array


@kinds_checked
def due_days(
    rates: Rates,
    hours_left: ArrayLike,
    calendar_days_left: ArrayLike,
    u_h: ArrayLike,
    today: int,
    season: Season = EVEN,
    q: ArrayLike = DECILES,
) -> DueDays:
    """Due dates of k tasks of each of n engines, whichever limit comes first.

    Parameters
    ----------
    rates : Rates
        Of n engines.
    hours_left : float[n, k]
        To the hour limit; below 0 when passed, infinite without one. [h]
    calendar_days_left : float[n, k]
        To the calendar limit; below 0 when passed, infinite without one. [days]
    u_h : float, broadcast to [n, k]
        Standard deviation of the hours left. [h]
    today : int
        [day ordinal]
    season : Season
    q : float[m]
        Chances, between 0 and 1; 0.1 is the early one.

    Returns
    -------
    DueDays

    Raises
    ------
    OutOfRangeError
        When a chance is not between 0 and 1, or a number is missing.
    """
    left, calendar, sd = broadcast(
        *np.atleast_2d(
            _of_all("hours left", hours_left, -MOST_HOURS, "h"),
            _of_all("days left", calendar_days_left, -1e9, "days"),
            _of_all("standard deviation of the hours", u_h, 0.0, "h", MOST_HOURS),
        )
    )
    if left.ndim != 2 or left.shape[0] != rates.scale_h.size:
        raise OutOfRangeError(
            f"hours left must be of {rates.scale_h.size} engines, task by task; got shape {left.shape}"
        )
    chances = checked_chances(q)
    days, by_hours = np.empty((chances.size, left.size)), np.empty(left.size)
    for part in _parts(left.size):
        rate = rates.of(np.arange(part.start, part.stop) // left.shape[1])
        ahead = np.maximum(calendar.flat[part], 0.0)
        by_hours[part] = _chance_first(rate, left.flat[part], sd.flat[part], ahead, today, season)
        for row, chance in zip(days, chances, strict=True):
            used = season_days_until_used(rate, left.flat[part], sd.flat[part], chance)
            row[part] = np.minimum(season.days_until(today, used), ahead)
    return DueDays(days.reshape(chances.size, *left.shape), by_hours.reshape(left.shape))


def _of_all(name: str, left: ArrayLike, lower: float, unit: str, upper: float = math.inf) -> Array:
    """What is left to a limit, or how unsure that is, of as many engines as there are: of none, too."""
    if np.size(left) == 0:
        return np.zeros(np.shape(left))
    return checked(name, left, lower, upper, unit, endless=True)


def chance_used(rates: Rates, hours_left: Array, u_h: Array, season_days: Array) -> Array:
    """Chance that the hours left are used within so many season days, float[n]. [-]"""
    chance = _chance_exact(rates, hours_left, season_days)
    unsure = _unsure(rates, hours_left, u_h)
    if np.any(unsure):
        some = rates.of(np.flatnonzero(unsure))
        passed, possible = _hours_possible(hours_left[unsure], u_h[unsure])
        chance[unsure] = _chance_mixed(season_days[unsure], passed, *_fields(some), *possible)
    return chance


def season_days_until_used(rates: Rates, hours_left: Array, u_h: Array, chance: float) -> Array:
    """Season days after which the hours left are used with that chance, float[n]; can be infinite."""
    days = _days_exact(rates, hours_left, chance)
    unsure = _unsure(rates, hours_left, u_h)
    if np.any(unsure):
        some = rates.of(np.flatnonzero(unsure))
        days[unsure] = _days_mixed(some, hours_left[unsure], u_h[unsure], chance)
    return days


def gain_after(rates: Rates, season_days: Array, chance: float) -> Array:
    """Hours gained after so many season days that are not exceeded with that chance, float[n]. [h]"""
    shape = rates.shape_per_day * season_days
    some = np.where(shape > 0.0, shape, 1.0)
    sure = np.isinf(rates.known)
    known = np.where(sure, 2.0, rates.known)
    by_f = fdtri(2 * some, 2 * known, chance) * some * (known - 1) / known
    return np.where(shape > 0.0, rates.scale_h * np.where(sure, gammaincinv(some, chance), by_f), 0.0)


def checked_chances(q: ArrayLike) -> Array:
    """Chances strictly between 0 and 1, float[m]; OutOfRangeError for any other."""
    chances = np.ravel(checked("quantile", q, 0.0, 1.0, "1"))
    if not np.all((chances > 0.0) & (chances < 1.0)):
        raise OutOfRangeError("a quantile must lie between 0 and 1")
    return chances


def _parts(size: int) -> Iterator[slice]:
    return (slice(begin, min(begin + CHUNK, size)) for begin in range(0, size, CHUNK))


def _fields(rates: Rates) -> tuple[Array, Array, Array]:
    return rates.shape_per_day, rates.scale_h, rates.known


def _unsure(rates: Rates, hours_left: Array, u_h: Array) -> NDArray[np.bool_]:
    """Where the error of the engine time is worth its computing."""
    return np.isfinite(hours_left) & (u_h**2 > SMALL_ERROR * rates.scale_h * np.maximum(hours_left, 0.0))


def _chance_first(
    rates: Rates, left: Array, sd: Array, calendar_days: Array, today: int, season: Season
) -> Array:
    """Chance that the hours are used before the calendar limit."""
    ahead = season.elapsed(today, np.minimum(calendar_days, FAR_SEASON_DAYS))
    return chance_used(rates, left, sd, ahead)


def _chance_exact(rates: Rates, hours_left: Array, season_days: Array) -> Array:
    """The upper incomplete gamma function where the rate is known, the upper tail of F where it is not."""
    shape, known = rates.shape_per_day * season_days, rates.known
    begun = shape > SMALLEST_SHAPE
    some, steps = np.where(begun, shape, 1.0), np.maximum(hours_left, 0.0) / rates.scale_h
    sure = np.isinf(known)
    chance = np.empty(steps.shape)
    chance[sure] = gammaincc(some[sure], steps[sure])
    unknown = known[~sure]
    ratio = steps[~sure] * unknown / (some[~sure] * (unknown - 1.0))
    chance[~sure] = fdtrc(2.0 * some[~sure], 2.0 * unknown, np.minimum(ratio, 1e300))
    return np.where(hours_left <= 0.0, 1.0, np.where(begun, chance, 0.0))


def _days_exact(rates: Rates, hours_left: Array, chance: float) -> Array:
    """The chance turned round in the shape of the process."""
    some = np.isfinite(hours_left) & (hours_left > 0.0)
    steps = np.where(some, hours_left, 1.0) / rates.scale_h
    sure = np.isinf(rates.known)
    shape = np.empty(steps.shape)
    shape[sure] = gdtrib(1.0, 1.0 - chance, steps[sure])
    known, unsure = rates.known[~sure], steps[~sure]
    shape[~sure] = btdtria(1.0 - chance, known, unsure / (unsure + known - 1.0))
    return np.where(some, shape / rates.shape_per_day, np.where(hours_left > 0.0, math.inf, 0.0))


def _hours_possible(hours_left: Array, u_h: Array) -> tuple[Array, Array]:
    """Chance that none are left, float[n], and what may be left else, float[nodes, n]."""
    passed = ndtr(-hours_left / u_h)
    at = passed + (1.0 - passed) * NODES[:, None]
    return passed, np.maximum(hours_left + u_h * ndtri(at), 1e-9)


def _chance_mixed(
    season_days: Array, passed: Array, shape_per_day: Array, scale_h: Array, known: Array, *possible: Array
) -> Array:
    """The chance over what the hours left may truly be."""
    rates = Rates(shape_per_day, scale_h, known)
    chances = (w * _chance_exact(rates, left, season_days) for w, left in zip(WEIGHTS, possible, strict=True))
    return np.asarray(passed + (1.0 - passed) * sum(chances), dtype=np.float64)


def _days_mixed(rates: Rates, hours_left: Array, u_h: Array, chance: float) -> Array:
    """The mixed chance turned round; its root lies before that of the most hours that may be left."""
    passed, possible = _hours_possible(hours_left, u_h)
    ahead = np.flatnonzero(passed < chance)
    days, some, left = np.zeros(hours_left.shape), rates.of(ahead), possible[:, ahead]
    from scipy.optimize.elementwise import find_root  # slow to read

    found = find_root(
        lambda at, *known: _chance_mixed(at, *known) - chance,
        (np.zeros(ahead.size), np.maximum(_days_exact(some, left[-1], chance), 1e-9)),
        args=(passed[ahead], *_fields(some), *left),
        tolerances={"xatol": ROOT_TOLERANCE_DAYS},
    )
    days[ahead] = found.x
    return days
