"""At how many hours does a wearing part reach its limit, by its own readings?

A straight line through the readings. It tells how sure it is of itself, and says nothing where the readings do not
show yet that the part wears.

References
----------
N. R. Draper, H. Smith, Applied Regression Analysis, 1.4 and 3.2 (least squares, intervals, inverse prediction after
Fieller); from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import stdtrit

from tickover.science.core.arrays import Array, broadcast
from tickover.science.core.input_checks import InsufficientDataError, OutOfRangeError, checked, checked_one
from tickover.science.core.kinds import kinds_checked
from tickover.science.core.results import ConfidenceInterval
from tickover.science.core.working import Quantity, Working

__all__ = ["Reach", "Trend", "first_reached_h", "reached_from_new_h", "wear_trend"]

FEWEST = 3


@dataclass(frozen=True)
class Reach:
    """Where the line reaches a limit, and between what it truly does. [h]"""

    at_h: float
    lower_h: float
    upper_h: float


@dataclass(frozen=True, eq=False)
class Trend:
    """A line through the readings of one part; readings in any one unit.

    `slope` is for each hour, `at_zero` the line at 0 h, `residual_sd` the scatter of the readings about the line.
    """

    hours: Array
    readings: Array
    slope: float
    at_zero: float
    residual_sd: float

    @property
    def slope_sd(self) -> float:
        """Standard deviation of the slope. [unit/h]"""
        return self.residual_sd / math.sqrt(self._spread)

    def slope_between(self, confidence: float = 0.95) -> ConfidenceInterval:
        """Ends between which the true slope lies. [unit/h]"""
        half = self._student(confidence) * self.slope_sd
        return ConfidenceInterval(self.slope - half, self.slope + half)

    def reading_between(self, hours: ArrayLike, confidence: float = 0.95) -> ConfidenceInterval:
        """Ends between which one new reading lies, at hours from 0 to 1,000,000.

        Parameters
        ----------
        hours : array_like
            Hours, 0 to 1,000,000. [h]
        confidence : float
            Confidence, 0.5 to 0.9999. [-]

        Returns
        -------
        ConfidenceInterval

        Raises
        ------
        OutOfRangeError
            Outside of those ranges, and for what is no number.

        Examples
        --------
        >>> trend = wear_trend([0.0, 50.0, 100.0, 150.0], [0.10, 0.13, 0.17, 0.20])
        >>> lower, upper = trend.reading_between(200.0)
        >>> print(f"{lower:.2f} to {upper:.2f}")
        0.21 to 0.26
        """
        at = checked("hours", hours, 0.0, 1e6, "h")
        wide = 1.0 + 1.0 / self.hours.size + (at - self.hours.mean()) ** 2 / self._spread
        half = self._student(confidence) * self.residual_sd * np.sqrt(wide)
        line = self.at_zero + self.slope * at
        return ConfidenceInterval(line - half, line + half)

    @kinds_checked
    def reaches(self, limit: float, confidence: float = 0.95) -> Reach:
        """Hours at which the line reaches a limit, by inverse prediction.

        Parameters
        ----------
        limit : float
            Limit. [-]
        confidence : float
            Confidence, 0.5 to 0.9999. [-]

        Returns
        -------
        Reach

        Raises
        ------
        OutOfRangeError
            For a limit that is no number or that the line moves away from, and a confidence outside of 0.5 to 0.9999.
        InsufficientDataError
            When the readings do not show, with that confidence, that it wears at all.

        Examples
        --------
        >>> trend = wear_trend([0.0, 50.0, 100.0, 150.0], [0.10, 0.13, 0.17, 0.20])
        >>> print(f"{trend.reaches(0.30).at_h:.0f} h")
        296 h
        """
        aim = checked_one("limit", limit, -np.inf, np.inf)
        t2s2 = (self._student(confidence) * self.residual_sd) ** 2
        square = self.slope**2 - t2s2 / self._spread
        if square <= 0.0:
            raise InsufficientDataError(
                f"these {self.hours.size} readings do not show yet that it wears: read it again after more hours"
            )
        apart = float(self.readings.mean()) - aim
        if (aim - self.at_zero) * self.slope < 0.0:
            raise OutOfRangeError(
                f"limit of {aim:g} is never reached: the readings move away from it, {self.slope:+.3g} an hour. Was "
                "the other limit meant?"
            )
        root = math.sqrt(max(0.0, t2s2 * (square / self.hours.size + apart**2 / self._spread)))
        middle = float(self.hours.mean())
        ends = [middle + (-self.slope * apart + way * root) / square for way in (-1.0, 1.0)]
        return Reach(middle - apart / self.slope, *ends)

    def working(self, limit: float, unit: str, confidence: float = 0.95) -> Working:
        """How the hours came about."""
        reach = self.reaches(limit, confidence)
        return Working(
            title="hours at which it reaches its limit",
            formula="h = (limit − a)/b by least squares; its ends are where limit − a − b h is t times its own scatter",
            inputs=(
                Quantity("readings", self.hours.size, ""),
                Quantity("wear of an hour b", self.slope, f"{unit}/h"),
                Quantity("line at 0 h a", self.at_zero, unit),
                Quantity("scatter about the line", self.residual_sd, unit),
                Quantity("limit", limit, unit),
                Quantity("not before", reach.lower_h, "h"),
                Quantity("by", reach.upper_h, "h"),
            ),
            result=Quantity("reaches it at", reach.at_h, "h"),
            validity=f"wear that goes on as it did, one way of reading it; {100 * confidence:g} % between the ends",
            source="Draper and Smith, Applied Regression Analysis, 3.2 (from memory)",
            authority="own data",
        )

    @property
    def _spread(self) -> float:
        return float(np.sum((self.hours - self.hours.mean()) ** 2))

    def _student(self, confidence: float) -> float:
        """How many standard deviations each way."""
        sure = checked_one("confidence", confidence, 0.5, 0.9999, "1")
        return float(stdtrit(self.hours.size - 2, (1.0 + sure) / 2.0))


def wear_trend(hours: ArrayLike, readings: ArrayLike) -> Trend:
    """The line through the readings of one part.

    Parameters
    ----------
    hours : array_like
        Hours of the part at each reading, 0 to 1,000,000. [h]
    readings : array_like
        As many readings, in one unit.

    Returns
    -------
    Trend

    Raises
    ------
    OutOfRangeError
        For what are no numbers, and for two different counts.
    InsufficientDataError
        For fewer than three readings, or all of them at the same hours.

    Examples
    --------
    >>> found = wear_trend(hours=[10.0, 30.0, 50.0, 70.0], readings=[0.1, 0.21, 0.29, 0.41])
    >>> print(f"{found.slope:.4g}")
    0.00505
    """
    at, read = broadcast(
        np.ravel(checked("hours", hours, 0.0, 1e6, "h")),
        np.ravel(checked("reading", readings, -np.inf, np.inf)),
    )
    if at.size < FEWEST or float(np.ptp(at)) == 0.0:
        raise InsufficientDataError(
            f"a trend needs {FEWEST} readings, not all at the same hours; there are {at.size}"
        )
    away = at - at.mean()
    slope = float(away @ (read - read.mean()) / (away @ away))
    at_zero = float(read.mean() - slope * at.mean())
    left = read - at_zero - slope * at
    return Trend(at, read, slope, at_zero, math.sqrt(float(left @ left) / (at.size - 2)))


def reached_from_new_h(hours: ArrayLike, worn: ArrayLike, limit: float) -> Array:
    """Hours at which parts reach a limit of wear, each by a straight line through its own readings from new. [h]

    Parameters
    ----------
    hours : array_like [..., n]
        Hours of the part at each reading, 0 to 1,000,000, one of them above 0. [h]
    worn : array_like [..., n]
        Worn off since new, in one unit.
    limit : float
        Most that may be worn off, above 0, in that unit.

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [h]

    Raises
    ------
    OutOfRangeError
    InsufficientDataError
        For a part whose readings do not show any wear.

    Examples
    --------
    >>> print(f"{reached_from_new_h(hours=[10.0, 30.0, 50.0], worn=[0.1, 0.2, 0.3], limit=0.6):.4g}")
    95.45
    """
    at, read = broadcast(checked("hours", hours, 0.0, 1e6, "h"), checked("worn off", worn, -np.inf, np.inf))
    grown = np.sum(np.atleast_1d(at * read), axis=-1)
    if np.any(grown <= 0.0):
        raise InsufficientDataError(
            "these readings do not show yet that it wears: read it again after more hours"
        )
    most = checked_one("limit of wear", limit, 1e-12, np.inf)
    reached: Array = most * np.sum(np.atleast_1d(at * at), axis=-1) / grown
    return reached


def first_reached_h(hours: ArrayLike, readings: ArrayLike, limit: float) -> float:
    """Hours at which growing readings of one part first came to a limit, straight between two of them. [h]

    Parameters
    ----------
    hours, readings : array_like [n]
        As for `wear_trend`; hours increasing.
    limit : float
        In the unit of the readings.

    Returns
    -------
    float
        [h]

    Raises
    ------
    OutOfRangeError
        Also for hours that do not increase.
    InsufficientDataError
        Where no reading came to the limit.

    Examples
    --------
    >>> print(f"{first_reached_h(hours=[10.0, 30.0, 50.0], readings=[0.1, 0.2, 0.3], limit=0.25):.4g}")
    40
    """
    at, read = broadcast(
        np.ravel(checked("hours", hours, 0.0, 1e6, "h")),
        np.ravel(checked("reading", readings, -np.inf, np.inf)),
    )
    if np.any(np.diff(at) <= 0.0):
        raise OutOfRangeError("hours must increase from each reading to the next")
    beyond = np.flatnonzero(read >= checked_one("limit", limit, -np.inf, np.inf))
    if not beyond.size:
        raise InsufficientDataError(
            f"no reading came to the limit: the most is {read.max():g}, the limit {limit:g}"
        )
    n = int(beyond[0])
    if n == 0:
        return float(at[0])
    return float(at[n - 1] + (limit - read[n - 1]) / (read[n] - read[n - 1]) * (at[n] - at[n - 1]))
