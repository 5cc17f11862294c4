"""Does an engine that is mended each time fail more and more often, or less and less?

Failures of one engine, or of engines alike taken together, counted in running hours and made good as they were. Their
rate is taken as a power of the hours: λ β t^(β − 1).

References
----------
MIL-HDBK-189 (1981), appendix C; MIL-HDBK-781 (trend statistic); NIST/SEMATECH e-Handbook of Statistical Methods,
8.1.7.2, 8.2.3.4 and 8.4.2.2 (power law, Laplace). All from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import chdtr, chdtri, ndtr

from tickover.science.core.arrays import Array
from tickover.science.core.input_checks import InsufficientDataError, OutOfRangeError, checked, checked_one
from tickover.science.core.results import ConfidenceInterval
from tickover.science.core.working import Quantity, Working

__all__ = ["FailureTrend", "failure_trend"]

HOURS = (1e-9, 1e9)
FEWEST = 3


@dataclass(frozen=True, eq=False)
class FailureTrend:
    """Failures at hours `at_h`, watched until `end_h`; `to_a_failure` where the watch ended with the last of them.

    `shape` above 1: they come ever more often; below 1: ever more rarely. By maximum likelihood. [-]
    """

    at_h: Array
    end_h: float
    to_a_failure: bool
    shape: float

    @property
    def shape_unbiased(self) -> float:
        """The shape without the bias that few failures give it. [-]"""
        count = self.at_h.size
        return self.shape * (count - 1 - self.to_a_failure) / count

    @property
    def scale(self) -> float:
        """Factor λ of the expected number λ t^β, by the shape. [1/h^β]"""
        return float(self.at_h.size / self.end_h**self.shape)

    @property
    def rate_now_per_h(self) -> float:
        """Failures an hour at the end of the watch. [1/h]"""
        return self.at_h.size * self.shape / self.end_h

    def shape_between(self, confidence: float = 0.95) -> ConfidenceInterval:
        """Ends of the shape, exact for one engine. [-]"""
        side = (1.0 - checked_one("confidence", confidence, 0.5, 0.9999, "1")) / 2.0
        free, over = self._freedom, 2.0 * self.at_h.size
        lower, upper = (self.shape * float(chdtri(free, q)) / over for q in (1.0 - side, side))
        return ConfidenceInterval(lower, upper)

    @property
    def laplace(self) -> float:
        """Trend by Laplace, standard normal without one: above 2 they crowd to the end. [-]"""
        inner = self._inner
        middle, spread = self.end_h / 2.0, self.end_h / np.sqrt(12.0 * inner.size)
        return float((inner.mean() - middle) / spread)

    @property
    def chi_squared(self) -> float:
        """Trend by 2 Σ ln(T/t), chi-squared without one: small where they crowd to the end. [-]"""
        return 2.0 * float(np.log(self.end_h / self._inner).sum())

    @property
    def chance_without(self) -> tuple[float, float]:
        """Chance of such a trend, either way, where there is none: by Laplace, and by chi-squared. [-]"""
        below = float(chdtr(self._freedom, self.chi_squared))
        return 2.0 * float(ndtr(-abs(self.laplace))), 2.0 * min(below, 1.0 - below)

    def working(self) -> Working:
        """How the shape came about."""
        return Working(
            title="failures more and more often?",
            formula="β = n/Σ ln(T/t); more often for β above 1",
            inputs=(
                Quantity("failures n", self.at_h.size, ""),
                Quantity("watched until T", self.end_h, "h"),
                Quantity("Σ ln(T/t)", self.chi_squared / 2.0, ""),
                Quantity("failures an hour now", self.rate_now_per_h, "1/h"),
                Quantity("chance of such a trend without one, by Laplace", self.chance_without[0], ""),
            ),
            result=Quantity("shape β", self.shape, ""),
            validity="one engine, or engines alike watched equally long; each failure made good as it was",
            source="MIL-HDBK-189 (1981), appendix C (from memory)",
            authority="own data",
        )

    @property
    def _inner(self) -> Array:
        """Failures that say when; the last one does not where the watch ended with it."""
        return self.at_h[: self.at_h.size - self.to_a_failure]

    @property
    def _freedom(self) -> float:
        return 2.0 * self._inner.size


def failure_trend(at_h: ArrayLike, end_h: float | None = None) -> FailureTrend:
    """The trend in failures.

    Parameters
    ----------
    at_h : array_like
        Running hours at each failure, above 0, in any order. [h]
    end_h : float, optional
        Hours until which it was watched; without it the watch ended with the last failure. [h]

    Returns
    -------
    FailureTrend

    Raises
    ------
    OutOfRangeError
        Also for a failure after the end.
    InsufficientDataError
        For fewer than three failures, or all of them at the very end.

    Examples
    --------
    >>> print(f"{failure_trend(at_h=[30.0, 90.0, 130.0, 150.0], end_h=160.0).shape:.4g}")
    1.586
    """
    at = np.sort(np.ravel(checked("hours at a failure", at_h, *HOURS, "h")))
    last = float(at[-1])
    end = last if end_h is None else checked_one("hours watched", end_h, *HOURS, "h")
    if end < last:
        raise OutOfRangeError(f"hours watched must be {last:g} h or more, the last failure's; got {end:g} h")
    total = float(np.log(end / at).sum())
    if at.size < FEWEST or total <= 0.0:
        raise InsufficientDataError(
            f"a trend needs {FEWEST} failures at different hours; there are {at.size}"
        )
    return FailureTrend(at, end, end_h is None, at.size / total)
