"""What do a few events say: which share of parts fails, how often does a thing come up?

A share has an interval by Wilson, which holds for few parts and for none that failed, and an exact one that is wider.
A rate is learned from what was supposed of it before, and from the events counted since.

References
----------
E. B. Wilson, Journal of the American Statistical Association 22 (1927) 209; C. J. Clopper, E. S. Pearson, Biometrika
26 (1934) 404. A. Gelman and others, Bayesian Data Analysis, 3rd ed. (2013), 2.6 (gamma and Poisson). All from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import betaincinv, gammaincinv, gammaln, ndtri

from tickover.science.core.arrays import Array, broadcast
from tickover.science.core.input_checks import OutOfRangeError, checked, checked_one
from tickover.science.core.kinds import checked_fields
from tickover.science.core.results import ConfidenceInterval
from tickover.science.core.shapes import one_or_many

__all__ = ["Rate", "clopper_pearson_interval", "wilson_interval"]

CONFIDENCE = (0.5, 0.9999)
MOST = 1e7


def wilson_interval(count: ArrayLike, of: ArrayLike, confidence: float = 0.95) -> ConfidenceInterval:
    """Ends between which the true share lies. [-]

    Parameters
    ----------
    count, of : array_like
        How many, of how many looked at, 1 to 10,000,000.
    confidence : float
        0.5 to 0.9999. [-]

    Returns
    -------
    ConfidenceInterval

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> print(f"{wilson_interval(count=2.0, of=30.0, confidence=0.95).lower:.4g}")
    0.01848
    """
    k, n = _counted(count, of)
    z = float(ndtri((1.0 + checked_one("confidence", confidence, *CONFIDENCE, "1")) / 2.0))
    p, z2 = k / n, z * z / n
    half = z * np.sqrt(p * (1.0 - p) / n + z2 / (4.0 * n))
    middle, over = p + z2 / 2.0, 1.0 + z2
    lower: Array = one_or_many(np.where(k == 0.0, 0.0, (middle - half) / over))
    upper: Array = one_or_many(np.where(k == n, 1.0, (middle + half) / over))
    return ConfidenceInterval(lower, upper)


def clopper_pearson_interval(count: ArrayLike, of: ArrayLike, confidence: float = 0.95) -> ConfidenceInterval:
    """As `wilson_interval`, by the binomial distribution itself: never less sure than asked. [-]

    Parameters
    ----------
    count : array_like
        Count, 0 to 1e+07. [-]
    of : array_like
        Number looked at, 1 to 1e+07. [-]
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
    >>> print(f"{clopper_pearson_interval(count=2.0, of=30.0, confidence=0.95).lower:.4g}")
    0.008178
    """
    k, n = _counted(count, of)
    side = (1.0 - checked_one("confidence", confidence, *CONFIDENCE, "1")) / 2.0
    lower: Array = one_or_many(np.where(k == 0.0, 0.0, betaincinv(np.maximum(k, 1.0), n - k + 1.0, side)))
    upper: Array = one_or_many(np.where(k == n, 1.0, betaincinv(k + 1.0, np.maximum(n - k, 1.0), 1.0 - side)))
    return ConfidenceInterval(lower, upper)


@dataclass(frozen=True)
class Rate:
    """How often a thing comes up: a gamma distribution, as if `events` had been counted in `hours`.

    Both above 0, whole or not. [-], [h]
    """

    events: float
    hours: float

    def __post_init__(self) -> None:
        checked_one("events", self.events, 1e-6, MOST)
        checked_one("hours", self.hours, 1e-6, 1e9, "h")
        checked_fields(self)

    def after(self, events: float, hours: float) -> Rate:
        """The rate once so many more events were counted in so many more hours.

        Parameters
        ----------
        events : float
            Events, 0 to 1e+07. [-]
        hours : float
            Hours, 0 to 1e+09. [h]

        Returns
        -------
        Rate

        Raises
        ------
        OutOfRangeError
            Outside of those ranges, and for what is no number.

        Examples
        --------
        >>> print(f"{Rate(2.0, 100.0).after(events=1.0, hours=50.0).hours:g} h")
        150 h
        """
        more = checked_one("events", events, 0.0, MOST)
        return Rate(self.events + more, self.hours + checked_one("hours", hours, 0.0, 1e9, "h"))

    @property
    def mean_per_h(self) -> float:
        """Mean of the rate. [1/h]"""
        return self.events / self.hours

    def between_per_h(self, confidence: float = 0.95) -> ConfidenceInterval:
        """Ends between which the rate lies, as much left out on either side. [1/h]"""
        side = (1.0 - checked_one("confidence", confidence, *CONFIDENCE, "1")) / 2.0
        lower, upper = (float(gammaincinv(self.events, q)) / self.hours for q in (side, 1.0 - side))
        return ConfidenceInterval(lower, upper)

    def chance_of(self, events: ArrayLike, hours: ArrayLike) -> Array:
        """Chance of so many events, a whole number, in the next hours, the rate being unsure. [-]

        Negative binomial: what a Poisson distribution becomes over this gamma distribution.

        Parameters
        ----------
        events : array_like
            Events, 0 to 1e+07. [-]
        hours : array_like
            Hours, above 0 to 1e+09. [h]

        Returns
        -------
        float or numpy.ndarray
            Common shape of the inputs. [-]

        Raises
        ------
        OutOfRangeError
            Outside of those ranges, and for what is no number.

        Examples
        --------
        >>> print(f"{Rate(2.0, 100.0).chance_of(0, 50.0):.3f}")
        0.444
        """
        k, ahead = broadcast(checked("events", events, 0.0, MOST), checked("hours", hours, 1e-6, 1e9, "h"))
        if np.any(k != np.floor(k)):
            raise OutOfRangeError("events are counted: give whole numbers")
        ways = gammaln(k + self.events) - gammaln(self.events) - gammaln(k + 1.0)
        seen = self.hours / (self.hours + ahead)
        chance: Array = np.exp(ways + self.events * np.log(seen) + k * np.log1p(-seen))
        return chance


def _counted(count: ArrayLike, of: ArrayLike) -> tuple[Array, Array]:
    k, n = broadcast(checked("count", count, 0.0, MOST), checked("number inspected", of, 1.0, MOST))
    if np.any(k > n):
        raise OutOfRangeError("no more can be counted than were inspected: were the two numbers exchanged?")
    return k, n
