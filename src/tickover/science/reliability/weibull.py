"""How long do such parts live, from what failed, what still runs and what was only found on looking?

Weibull by maximum likelihood. A part that failed while running has one time; one found worn at an inspection failed
between that and the one before; one still good has only a time it has lived.

References
----------
W. Q. Meeker, L. A. Escobar, Statistical Methods for Reliability Data (1998), 7 and 8 (likelihood, censoring,
intervals); from memory.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.optimize import brentq, minimize, minimize_scalar
from scipy.special import chdtri, ndtri

from tickover.science.core.arrays import Array, broadcast
from tickover.science.core.input_checks import InsufficientDataError, OutOfRangeError, checked, checked_one
from tickover.science.core.results import ConfidenceInterval, NamedFigures
from tickover.science.core.working import Quantity, Working

__all__ = ["Life", "LifeQuantile", "weibull_life"]

HOURS = (0.0, 1e7)
STEP = 1e-4
"""Of the logarithms of shape and scale, for the curvature."""
STEEPEST = 100.0
FLATTEST = 1e-3
"""Where the likelihood bends less than this some way, on logarithms, the records leave it open."""
WIDEST = 30.0
"""How far on its logarithm an end of an interval is sought."""


@dataclass(frozen=True)
class LifeQuantile(NamedFigures):
    """Hours by which a share has failed, and the ends between which that truly is. [h]"""

    hours: float
    lower_h: float
    upper_h: float


@dataclass(frozen=True, eq=False)
class Life:
    """A Weibull distribution of lives, and the records that it is from; see `weibull_life`.

    `shape` below 1: early failures, 1: by chance, above 1: wear. `scale_h`: 63.2 % have failed by then. [-], [h]
    """

    lower_h: Array
    upper_h: Array
    count: Array
    shape: float
    scale_h: float
    log_likelihood: float
    covariance: Array

    @property
    def mean_h(self) -> float:
        """Mean life. [h]"""
        return self.scale_h * math.gamma(1.0 + 1.0 / self.shape)

    @property
    def sd_h(self) -> float:
        """Standard deviation of a life. [h]"""
        return math.sqrt(self.scale_h**2 * math.gamma(1.0 + 2.0 / self.shape) - self.mean_h**2)

    def failed_by(self, hours: ArrayLike) -> Array:
        """Share that has failed by so many hours. [-]"""
        at = checked("hours", hours, *HOURS, "h")
        share: Array = -np.expm1(-((at / self.scale_h) ** self.shape))
        return share

    def hours_until(self, share: float, confidence: float = 0.95) -> LifeQuantile:
        """Hours by which a share has failed, and the ends between which that truly is. [h]

        A share of 0.1 is what the trade calls B10. The ends are by the curvature of the likelihood, on logarithms.

        Parameters
        ----------
        share : float
            Share failed, above 0 to 1. [-]
        confidence : float
            Confidence, 0.5 to 0.9999. [-]

        Returns
        -------
        LifeQuantile

        Raises
        ------
        OutOfRangeError
            Outside of those ranges, and for what is no number.

        Examples
        --------
        >>> life = weibull_life([120.0, 150.0, 90.0, 170.0], [120.0, 150.0, 90.0, 170.0])
        >>> b10 = life.hours_until(0.1)
        >>> print(f"{b10.hours:.0f} h, {b10.lower_h:.0f} to {b10.upper_h:.0f} h")
        94 h, 60 to 147 h
        """
        p = checked_one("share failed", share, 1e-9, 1.0 - 1e-9, "1")
        log_at = math.log(-math.log1p(-p)) / self.shape
        slope = np.array([-log_at, 1.0])
        half = _normal(confidence) * math.sqrt(float(slope @ self.covariance @ slope))
        middle = self.scale_h * math.exp(log_at)
        return LifeQuantile(middle, middle * math.exp(-half), middle * math.exp(half))

    def shape_by_curvature(self, confidence: float = 0.95) -> ConfidenceInterval:
        """Ends of the shape by the curvature of the likelihood, on its logarithm; for many failures. [-]"""
        half = _normal(confidence) * math.sqrt(float(self.covariance[0, 0]))
        return ConfidenceInterval(self.shape * math.exp(-half), self.shape * math.exp(half))

    @property
    def akaike(self) -> float:
        """Akaike's criterion, two parameters: of two fits of the same records the lesser fits better. [-]"""
        return 2.0 * (2.0 - self.log_likelihood)

    def shape_between(self, confidence: float = 0.95) -> ConfidenceInterval:
        """Ends of the shape by the likelihood ratio, which holds for few failures too; may be infinite. [-]"""
        return self._profiled(0, confidence)

    def scale_between_h(self, confidence: float = 0.95) -> ConfidenceInterval:
        """Ends of the scale by the likelihood ratio. [h]"""
        return self._profiled(1, confidence)

    def working(self) -> Working:
        """How shape and scale came about."""
        failed = float(self.count[np.isfinite(self.upper_h)].sum())
        return Working(
            title="lives of such parts",
            formula="F(t) = 1 − exp(−(t/η)^β), β and η where the records are likeliest",
            inputs=(
                Quantity("failed, or found failed", failed, ""),
                Quantity("still running", float(self.count.sum()) - failed, ""),
                Quantity("scale η, 63.2 % failed", self.scale_h, "h"),
                Quantity("logarithm of the likelihood", self.log_likelihood, ""),
            ),
            result=Quantity("shape β", self.shape, ""),
            validity="parts of one kind, used alike, one way of failing; few failures leave it wide open",
            source="Meeker and Escobar (1998), 7 and 8 (from memory)",
            authority="own data",
        )

    def _profiled(self, which: int, confidence: float) -> ConfidenceInterval:
        best = np.log([self.shape, self.scale_h])
        allowed = float(chdtri(1, 1.0 - checked_one("confidence", confidence, 0.5, 0.9999, "1"))) / 2.0

        def lacking(log_value: float) -> float:
            """How much less likely the records are at this value, beyond what is allowed."""

            def unlikely(other: float) -> float:
                logs = (log_value, other) if which == 0 else (other, log_value)
                return -_log_likelihood(np.array(logs), self.lower_h, self.upper_h, self.count)

            around = float(best[1 - which])
            found = minimize_scalar(unlikely, bracket=(around - 0.1, around + 0.1), tol=1e-12)
            return self.log_likelihood + float(found.fun) - allowed

        lower, upper = (_end(lacking, float(best[which]), way) for way in (-1.0, 1.0))
        return ConfidenceInterval(math.exp(lower), math.exp(upper))


def weibull_life(lower_h: ArrayLike, upper_h: ArrayLike, count: ArrayLike = 1.0) -> Life:
    """Fit a Weibull distribution to records of lives.

    Parameters
    ----------
    lower_h, upper_h : array_like
        Between what the part failed, 0 to 10,000,000: twice the same for one that failed there, 0 below where it was
        found failed at the first look, infinite above where it still runs. [h]
    count : array_like
        How many parts each record stands for.

    Returns
    -------
    Life

    Raises
    ------
    OutOfRangeError
        For ends out of order, and for what are no numbers.
    InsufficientDataError
        When nothing failed, or the records leave the shape open.

    Examples
    --------
    >>> running = float("inf")
    >>> life = weibull_life([120.0, 150.0, 90.0, 170.0, 200.0], [120.0, 150.0, 90.0, 170.0, running])
    >>> print(f"shape {life.shape:.2f}, scale {life.scale_h:.0f} h")
    shape 3.49, scale 168 h
    """
    lower, upper, many = broadcast(
        np.ravel(checked("lower end of a life", lower_h, *HOURS, "h")),
        np.ravel(checked_upper(upper_h)),
        np.ravel(checked("parts", count, 0.0, 1e6)),
    )
    if np.any(lower > upper) or np.any((lower == 0.0) & (upper == 0.0)):
        raise OutOfRangeError(
            "a life must end after it began: give its lower end first, above 0 where both are the same"
        )
    if not np.any(many[np.isfinite(upper)] > 0.0):
        raise InsufficientDataError(
            "nothing has failed: the scatter of lives is not known; see `unfailed.scale_by_shape_h`"
        )
    return _fitted(lower, upper, many)


def checked_upper(upper_h: ArrayLike) -> Array:
    """Upper ends of lives, checked where they are not infinite. [h]"""
    try:
        running = np.equal(upper_h, np.inf)
    except (TypeError, ValueError):
        running = np.array(False)
    ends = np.where(running, 0.0, upper_h) if np.any(running) else upper_h
    return np.where(running, np.inf, checked("upper end of a life", ends, *HOURS, "h"))


def _fitted(lower: Array, upper: Array, count: Array) -> Life:
    def unlikely(logs: Array) -> float:
        # Failures that are all alike are likeliest at an infinite shape: the search must not run after it.
        away = abs(float(logs[0])) > 2.0 * math.log(STEEPEST)
        return 1e300 if away else -_log_likelihood(logs, lower, upper, count)

    seen = np.where(np.isfinite(upper), (lower + upper) / 2.0, lower)
    start = np.array([0.3, math.log(max(float(np.average(seen, weights=count)), 1e-6)) + 0.5])
    found = minimize(
        unlikely, start, method="Nelder-Mead", options={"xatol": 1e-10, "fatol": 1e-13, "maxiter": 4_000}
    )
    shape, scale = (float(value) for value in np.exp(found.x))
    curvature = _curvature(unlikely, found.x)
    open_ = not found.success or float(np.linalg.eigvalsh(curvature)[0]) < FLATTEST
    if open_ or not 1.0 / STEEPEST < shape < STEEPEST:
        raise InsufficientDataError(
            "these failures are too few or too much alike to show the scatter of lives: record more"
        )
    covariance: Array = np.asarray(np.linalg.inv(curvature), dtype=np.float64)
    return Life(lower, upper, count, shape, scale, -float(found.fun), covariance)


def _log_likelihood(logs: Array, lower: Array, upper: Array, count: Array) -> float:
    """Of shape and scale, both as logarithms; a failure at one time by its density."""
    shape = math.exp(min(max(float(logs[0]), -WIDEST), WIDEST))
    with np.errstate(divide="ignore", over="ignore", invalid="ignore"):
        before, after = (np.exp(shape * (np.log(end) - logs[1])) for end in (lower, upper))
        exact = logs[0] - np.log(lower) + shape * (np.log(lower) - logs[1]) - before
        between = -before + np.log(-np.expm1(-(after - before)))
    each = np.where(lower == upper, exact, between)
    total = float(np.sum(count * np.where(count > 0.0, each, 0.0)))
    return total if math.isfinite(total) else -1e300


def _curvature(function: Callable[[Array], float], at: Array) -> Array:
    """Second differences."""
    moves = STEP * np.eye(at.size)
    return np.array(
        [
            [
                (function(at + a + b) - function(at + a - b) - function(at - a + b) + function(at - a - b))
                / (4.0 * STEP * STEP)
                for b in moves
            ]
            for a in moves
        ]
    )


def _end(lacking: Callable[[float], float], best: float, way: float) -> float:
    """Where the records become too unlikely, on the logarithm; infinite where they never do."""
    reach = 0.05
    while lacking(best + way * reach) < 0.0:
        reach *= 2.0
        if reach > WIDEST:
            return way * math.inf
    return float(brentq(lacking, best, best + way * reach, xtol=1e-10))


def _normal(confidence: float) -> float:
    return float(ndtri((1.0 + checked_one("confidence", confidence, 0.5, 0.9999, "1")) / 2.0))
