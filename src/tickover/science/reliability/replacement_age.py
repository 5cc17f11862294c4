"""After how many hours is a part best replaced, when failing costs more than replacing it in time?

Two rules: replaced at an age, or sooner when it fails; and replaced at a fixed period, with only the least done when it
fails in between. Costs in any one unit; where a failure can hurt someone, a cost is not the measure.

References
----------
R. E. Barlow, F. Proschan, Mathematical Theory of Reliability (1965), 4 (from memory): h(t) ∫R − F(t) = cp/(cf − cp).
R. E. Barlow, L. Hunter, Operations Research 8 (1960) 90 (from memory): minimal repair. R. E. Wildeman, R. Dekker,
A. C. J. M. Smit, European Journal of Operational Research 99 (1997) 530 (from memory): what moving a replacement costs.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.optimize import brentq
from scipy.special import gamma, gammainc

from tickover.science.core.arrays import Array
from tickover.science.core.input_checks import InsufficientDataError, OutOfRangeError, checked, checked_one
from tickover.science.core.working import Quantity, Working

__all__ = ["AgeReplacement", "PeriodWithRepairs", "age_replacement", "period_with_repairs"]

SHAPE = (0.1, 50.0)
HOURS = (1e-6, 1e7)
COST = (1e-9, 1e12)


@dataclass(frozen=True)
class AgeReplacement:
    """Replacing at an age; `shape` and `scale_h` of a Weibull life, `planned` and `failed` what either costs."""

    shape: float
    scale_h: float
    planned: float
    failed: float
    at_h: float

    def cost_rate(self, age_h: ArrayLike) -> Array:
        """Cost of an hour in the long run, replacing at an age above 0. [cost/h]"""
        age = checked("age", age_h, *HOURS, "h")
        gone = -np.expm1(-((age / self.scale_h) ** self.shape))
        rate: Array = (self.planned * (1.0 - gone) + self.failed * gone) / self._lived_h(age)
        return rate

    @property
    def best_rate(self) -> float:
        """Cost of an hour at the best age. [cost/h]"""
        return float(self.cost_rate(self.at_h))

    @property
    def run_to_failure_rate(self) -> float:
        """Cost of an hour when it is only replaced after it failed. [cost/h]"""
        return self.failed / (self.scale_h * math.gamma(1.0 + 1.0 / self.shape))

    def working(self) -> Working:
        """How the age came about."""
        return Working(
            title="best age to replace it at",
            formula="cost of an hour (cp R(t) + cf F(t))/∫R, least where h(t) ∫R − F(t) = cp/(cf − cp)",
            inputs=(
                Quantity("shape of the lives", self.shape, ""),
                Quantity("scale of the lives", self.scale_h, "h"),
                Quantity("cost of replacing it in time cp", self.planned, ""),
                Quantity("cost of a failure cf", self.failed, ""),
                Quantity("cost of an hour then", self.best_rate, "1/h"),
                Quantity("cost of an hour, run to failure", self.run_to_failure_rate, "1/h"),
            ),
            result=Quantity("replace at", self.at_h, "h"),
            validity="wear (shape above 1), parts alike, costs known; not where a failure can hurt someone",
            source="Barlow and Proschan (1965), 4 (from memory)",
            authority="own data; the maker's limit comes first",
        )

    def _lived_h(self, age: Array) -> Array:
        """Mean life of parts replaced at an age at the latest: ∫R from 0. [h]"""
        k = 1.0 / self.shape
        lived: Array = self.scale_h * k * gamma(k) * gammainc(k, (age / self.scale_h) ** self.shape)
        return lived


def age_replacement(shape: float, scale_h: float, planned: float, failed: float) -> AgeReplacement:
    """The age at which replacing costs least in the long run.

    Parameters
    ----------
    shape, scale_h : float
        Of the Weibull lives, 0.1 to 50 [-] and up to 10,000,000. [h]
    planned, failed : float
        Cost of replacing in time and of a failure, both above 0, in one unit.

    Returns
    -------
    AgeReplacement

    Raises
    ------
    OutOfRangeError
        Also when a failure costs no more than replacing in time.
    InsufficientDataError
        For a shape of 1 or less: such a part is as good old as new, and is best left alone.

    Examples
    --------
    >>> print(f"{age_replacement(shape=2.5, scale_h=100.0, planned=1.0, failed=8.0).at_h:.4g}")
    39.25
    """
    beta, eta, cp, cf = _checked(shape, scale_h, planned, failed)
    if cf <= cp:
        raise OutOfRangeError(
            f"cost of a failure must be above that of replacing in time, {cp:g}; got {cf:g}"
        )
    if beta <= 1.0:
        raise InsufficientDataError(
            f"a part with the shape {beta:.3g} does not wear: replacing it in time saves nothing"
        )
    rule = AgeReplacement(beta, eta, cp, cf, eta)

    def short_of(log_age: float) -> float:
        """What the first-order condition lacks at an age."""
        age = math.exp(log_age)
        hazard = beta / eta * (age / eta) ** (beta - 1.0)
        failing = -math.expm1(-((age / eta) ** beta))
        return float(hazard * float(rule._lived_h(np.array(age))) - failing - cp / (cf - cp))

    low, high = math.log(eta) - 50.0, math.log(eta) + 0.1
    while short_of(high) < 0.0:
        high += 1.0
        if high > math.log(eta) + 100.0:
            raise InsufficientDataError("a failure costs so little more that waiting for it is as good")
    at = math.exp(float(brentq(short_of, low, high, xtol=1e-12)))
    return AgeReplacement(beta, eta, cp, cf, at)


@dataclass(frozen=True)
class PeriodWithRepairs:
    """Replacing at a fixed period, what fails in between only made good as it was; see `period_with_repairs`.

    `shape` and `scale_h` of a Weibull life, `planned` and `repair` what either costs, `at_h` the best period.
    """

    shape: float
    scale_h: float
    planned: float
    repair: float
    at_h: float

    def cost_rate(self, period_h: ArrayLike) -> Array:
        """Cost of an hour in the long run, replacing at a period above 0. [cost/h]"""
        period = checked("period", period_h, *HOURS, "h")
        rate: Array = (self.planned + self._repairs(period)) / period
        return rate

    def penalty(self, moved_h: ArrayLike) -> Array:
        """What it costs to replace once so many hours later than is best, or sooner below 0; never below 0. [cost]"""
        moved = checked("hours moved", moved_h, -self.at_h, HOURS[1], "h")
        more = self._repairs(self.at_h + moved) - self._repairs(np.array(self.at_h))
        return np.maximum(more - moved * self.cost_rate(self.at_h), 0.0)

    def _repairs(self, period: Array) -> Array:
        repairs: Array = self.repair * (period / self.scale_h) ** self.shape
        return repairs


def period_with_repairs(shape: float, scale_h: float, planned: float, repair: float) -> PeriodWithRepairs:
    """Best period of replacing, when what fails in between is only made good as it was.

    Parameters and errors as for `age_replacement`; a repair may cost less than replacing.

    Parameters
    ----------
    shape : float
        Shape of the lives, 0.1 to 50. [-]
    scale_h : float
        Scale of the lives, above 0 to 1e+07. [h]
    planned : float
        Cost of replacing in time, above 0 to 1e+12. [-]
    repair : float
        Cost of a failure, above 0 to 1e+12. [-]

    Returns
    -------
    PeriodWithRepairs

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> print(f"{period_with_repairs(shape=2.5, scale_h=100.0, planned=1.0, repair=0.5).at_h:.4g}")
    112.2
    """
    beta, eta, cp, cm = _checked(shape, scale_h, planned, repair)
    if beta <= 1.0:
        raise InsufficientDataError(
            f"a part with the shape {beta:.3g} does not wear: replacing it in time saves nothing"
        )
    best = eta * (cp / (cm * (beta - 1.0))) ** (1.0 / beta)
    return PeriodWithRepairs(beta, eta, cp, cm, best)


def _checked(
    shape: float, scale_h: float, planned: float, failed: float
) -> tuple[float, float, float, float]:
    return (
        checked_one("shape of the lives", shape, *SHAPE),
        checked_one("scale of the lives", scale_h, *HOURS, "h"),
        checked_one("cost of replacing in time", planned, *COST),
        checked_one("cost of a failure", failed, *COST),
    )
