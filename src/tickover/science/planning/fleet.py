"""What do an engine's own entries say of its use, and what its fleet's?

Everything is learned in one go from the entries of all engines: the season they share, how uneven use is,
and how far their rates lie apart. An engine's own rate is then drawn towards the fleet's mean, the more the
fewer its entries; a new engine is forecast as one of its fleet, widely.

Notes
-----
With H hours in S season days, the rate of an engine is

    m = w H/S + (1 - w) M,    w = S / (S + c (a - 1))

where M is the mean rate of the fleet, c the unevenness (variance of the gain per season day, over m²) and a
the shape of an inverse gamma distribution of rates with the fleet's mean and spread. That is the posterior
mean of a gamma process whose shape grows by 1/c a day; the posterior is inverse gamma too, with the shape
a + S/c. While the season is unsure (see season), it is widened by that, and its mean lies above the middle of
the logarithms, as that of a log-normal distribution does.

- M and the spread between engines: the moments of Bühlmann and Straub.
- c: from fortnightly sums round the engine's own rate and the season, drawn towards that of the fleet as if
  the fleet's had been seen for a year.
- A small fleet is helped by what is supposed (`SUPPOSED_COUNTS`), which counts as much as two engines known well.

Rates are taken as steady over the two years looked back on: an owner who takes up flying every day is
believed slowly.

References
----------
H. Bühlmann, A. Gisler, *A Course in Credibility Theory and its Applications* (2005), ch. 4 (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.core.kinds import checked_fields, kinds_checked
from tickover.science.planning.season import EVEN, YEAR_DAYS, Season, learn_season
from tickover.science.planning.usage import SMALLEST_STEP_H, Usage

Array = NDArray[np.float64]
MOST_HOURS = 100_000.0
"""No engine of this kind runs so long in all its life. [h]"""
WINDOW_DAYS = 730
BLOCK_DAYS = 14
BLOCKS_OF_FLEET = 26
FEWEST_BLOCKS = 4
SEASON_ROUNDS = 3
SUPPOSED_H_PER_DAY = 0.1
"""Some 36 hours a year: a privately flown engine. From memory."""
SUPPOSED_SPREAD2 = 1.0
"""Variance of the rate between engines over its squared mean: 10 to 80 h a year are usual. From memory."""
SUPPOSED_UNEVENNESS = 15.0
"""As if an engine ran once in a fortnight in season, sometimes less. From memory. [season day]"""
SUPPOSED_COUNTS = 2.0
LEAST_SPREAD2 = 0.02
LEAST_H_PER_DAY = 1e-4
"""Two minutes a year is no flying."""


@dataclass(frozen=True, eq=False)
class Flown:
    """Dated engine time of one engine.

    Parameters
    ----------
    day : int[n]
        Day of each entry. [day ordinal]
    hours : float[n]
        Engine time each adds, 0 or more; several on one day are added. [h]
    since_day : int
        Day it came into service. Entries up to that day are what it came with, and no use. [day ordinal]

    Raises
    ------
    OutOfRangeError
        When an entry is negative or not a number, or the two arrays differ in length.
    """

    day: NDArray[np.int64]
    hours: Array
    since_day: int

    def __post_init__(self) -> None:
        checked_fields(self)
        if self.day.shape != self.hours.shape or self.day.ndim != 1:
            raise OutOfRangeError(
                f"each entry needs a day and hours: got {self.day.shape} days and {self.hours.shape} hours"
            )
        if not np.all(self.hours >= 0.0) or not np.all(np.isfinite(self.hours)):
            raise OutOfRangeError("an entry of engine time must be a number of hours, 0 or more")
        if np.any(self.hours > MOST_HOURS):
            raise OutOfRangeError(
                f"an entry of {float(self.hours.max()):g} h cannot be: were minutes given for hours?"
            )

    @kinds_checked
    def days_seen(self, today: int) -> int:
        """Days looked back on. [days]"""
        return min(WINDOW_DAYS, max(0, today - self.since_day))

    @kinds_checked
    def hours_seen(self, today: int) -> float:
        """Hours run in them. [h]"""
        seen = (self.day > today - self.days_seen(today)) & (self.day <= today)
        return float(self.hours[seen].sum())

    @kinds_checked
    def blocks(self, today: int) -> Array:
        """Hours of each whole fortnight back from today, newest first. [h]"""
        count = self.days_seen(today) // BLOCK_DAYS
        block = (today - self.day) // BLOCK_DAYS
        seen = (block >= 0) & (block < count)
        return np.bincount(block[seen], weights=self.hours[seen], minlength=count).astype(np.float64)


@dataclass(frozen=True)
class Fleet:
    """What a fleet shares.

    Parameters
    ----------
    today : int
        Day it was learned. [day ordinal]
    season : Season
    mean_h_per_day : float
        Mean rate. [h/season day]
    spread2 : float
        Variance of the rate between engines over its squared mean. [-]
    unevenness : float
        Variance of the gain per season day over the squared rate. [season day]
    counts : float
        How many engines it is worth, each seen for years; `SUPPOSED_COUNTS` more are supposed.
    """

    today: int
    season: Season
    mean_h_per_day: float
    spread2: float
    unevenness: float
    counts: float

    @kinds_checked
    def usage_of(self, flown: Flown) -> Usage:
        """The rate of one engine: its own entries, drawn towards the fleet."""
        days, hours = flown.days_seen(self.today), flown.hours_seen(self.today)
        seen = float(self.season.elapsed(self.today + 1 - days, days))
        uneven = self._unevenness_of(flown, hours / seen if seen > 0.0 else 0.0)
        fleet_days = uneven * (1.0 + 1.0 / self.spread2)
        weight = seen / (seen + fleet_days)
        level = (hours + fleet_days * self.mean_h_per_day) / (seen + fleet_days)
        mean = level * math.exp(self.season.unsure / 2.0)
        supposed = (1.0 - weight) * SUPPOSED_COUNTS / (SUPPOSED_COUNTS + self.counts)
        return Usage(
            mean_h_per_day=mean,
            variance_h2_per_day=mean * max(mean * uneven, SMALLEST_STEP_H),
            days_seen=days,
            authority="own data" if supposed < 0.5 else "from memory",
            known=2.0 + 1.0 / (1.0 / (1.0 / self.spread2 + seen / uneven) + self.season.unsure),
            season=self.season,
            today=self.today,
            own_weight=weight,
            fleet_h_per_day=self.mean_h_per_day,
        )

    def _unevenness_of(self, flown: Flown, rate: float) -> float:
        blocks = flown.blocks(self.today)
        own = _unevenness(blocks, rate, _block_season_days(self.season, self.today, len(blocks)))
        if own is None:
            return self.unevenness
        return _blend(own, len(blocks), self.unevenness, BLOCKS_OF_FLEET)


@kinds_checked
def learn_fleet(engines: Sequence[Flown], today: int) -> Fleet:
    """Learn what the engines of a fleet share; an empty one is supposed altogether.

    Returns
    -------
    Fleet

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.
    """
    days = np.array([e.days_seen(today) for e in engines], dtype=np.float64)
    hours = np.array([e.hours_seen(today) for e in engines], dtype=np.float64)
    blocks = [e.blocks(today) for e in engines]
    season, seen = EVEN, days
    for _ in range(SEASON_ROUNDS):
        rates = np.divide(hours, seen, out=np.zeros_like(hours), where=seen > 0.0)
        season = _season(blocks, rates, today)
        seen = _season_days(season, today, days)
    rates = np.divide(hours, seen, out=np.zeros_like(hours), where=seen > 0.0)
    unevenness = _fleet_unevenness(blocks, rates, season, today)
    counts = float(np.sum(seen / (seen + YEAR_DAYS)))
    mean, spread2 = _moments(hours, seen, unevenness)
    return Fleet(
        today=today,
        season=season,
        mean_h_per_day=_blend(mean, counts, SUPPOSED_H_PER_DAY, SUPPOSED_COUNTS),
        spread2=max(LEAST_SPREAD2, _blend(spread2, counts, SUPPOSED_SPREAD2, SUPPOSED_COUNTS)),
        unevenness=unevenness,
        counts=counts,
    )


def _blend(own: float, counts: float, other: float, others: float) -> float:
    return float((counts * own + others * other) / (counts + others))


def _season_days(season: Season, today: int, days: Array) -> Array:
    """Season days in the last so many days."""
    return season.elapsed(today + 1 - days, days)


def _block_season_days(season: Season, today: int, count: int) -> Array:
    begins = today + 1 - BLOCK_DAYS * np.arange(1, count + 1)
    return season.elapsed(begins, np.full(count, float(BLOCK_DAYS)))


def _season(blocks: Sequence[Array], rates: Array, today: int) -> Season:
    """The profile from the fortnightly sums of all engines together."""
    count = max((len(b) for b in blocks), default=0)
    flown, even = np.zeros(count), np.zeros(count)
    for own, rate in zip(blocks, rates, strict=True):
        flown[: len(own)] += own
        even[: len(own)] += rate * BLOCK_DAYS
    middle = today + 1 - BLOCK_DAYS * (np.arange(count) + 0.5)
    return learn_season(middle, flown, even)


def _unevenness(blocks: Array, rate: float, season_days: Array) -> float | None:
    """Variance of the gain per season day over the squared rate; None with too little to tell."""
    if len(blocks) < FEWEST_BLOCKS or rate < LEAST_H_PER_DAY:
        return None
    squares = float(np.sum((blocks / rate - season_days) ** 2))
    return squares / float(season_days.sum()) * len(blocks) / (len(blocks) - 1)


def _fleet_unevenness(blocks: Sequence[Array], rates: Array, season: Season, today: int) -> float:
    """That of the fleet: each engine by the fortnights it was seen."""
    total, weight = SUPPOSED_UNEVENNESS * SUPPOSED_COUNTS * BLOCKS_OF_FLEET, SUPPOSED_COUNTS * BLOCKS_OF_FLEET
    for own, rate in zip(blocks, rates, strict=True):
        found = _unevenness(own, float(rate), _block_season_days(season, today, len(own)))
        if found is not None:
            total, weight = total + found * len(own), weight + len(own)
    return total / weight


def _moments(hours: Array, seen: Array, unevenness: float) -> tuple[float, float]:
    """Mean rate of the fleet, and the variance of the rate between engines over its square."""
    total = float(seen.sum())
    mean = float(hours.sum()) / total if total > 0.0 else 0.0
    if mean < LEAST_H_PER_DAY:
        return 0.0, 0.0
    rates = np.divide(hours, seen, out=np.full_like(hours, mean), where=seen > 0.0)
    engines = np.count_nonzero(seen)
    within = (engines - 1) * mean**2 * unevenness
    apart = total - float(np.sum(seen**2)) / total
    between = (float(np.sum(seen * (rates - mean) ** 2)) - within) / apart if apart > 0.0 else 0.0
    return mean, max(between, 0.0) / mean**2
