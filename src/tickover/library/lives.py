"""How long parts last, from a list of ages and a mark for each one that failed."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from tickover.science.reliability import kaplan_meier as product_limit
from tickover.science.reliability.kaplan_meier import SurvivalCurve
from tickover.science.reliability.weibull import Life, weibull_life
from tickover.science.reliability.zero_failures import WeibayesScale, weibayes_scale

__all__ = ["fit_weibull", "interval_from_survivors", "kaplan_meier"]


def fit_weibull(times_h: ArrayLike, *, failed: ArrayLike | None = None, count: ArrayLike = 1.0) -> Life:
    """Fit a Weibull distribution to ages at failure, with suspensions (parts that still run).

    Parameters
    ----------
    times_h : array_like
        Age of each part when it failed, or when it was last seen in order; above 0. [h]
    failed : array_like, optional
        1 or True where it failed, 0 or False where it still runs; None: all failed.
    count : array_like
        How many parts each record stands for.

    Returns
    -------
    Life
        `shape` [-], `scale_h`, `mean_h` [h], `failed_by(hours)`, `hours_until(share)`, `working()`.

    Raises
    ------
    OutOfRangeError
        For ages that cannot be, or a mark that is neither 1 nor 0.
    InsufficientDataError
        When nothing failed, or the records leave the shape open.

    References
    ----------
    W. Q. Meeker, L. A. Escobar, Statistical Methods for Reliability Data (1998), 7 and 8; from memory.

    Examples
    --------
    >>> life = fit_weibull([182.0, 240.0, 255.0, 310.0, 320.0, 350.0], failed=[1, 1, 1, 1, 0, 0])
    >>> round(life.shape, 1), round(life.scale_h)
    (4.1, 322)
    """
    times, marks = product_limit.checked_ages(times_h, _all_if_none(times_h, failed))
    return weibull_life(times, np.where(marks == 1.0, times, math.inf), count)


def kaplan_meier(
    times_h: ArrayLike, *, failed: ArrayLike | None = None, count: ArrayLike = 1.0
) -> SurvivalCurve:
    """Share of parts that lasts longer than each age at which any failed, with no distribution supposed.

    Parameters
    ----------
    times_h, failed, count : array_like
        As for `fit_weibull`.

    Returns
    -------
    SurvivalCurve
        `ages_h` [h], `lasting` and its standard deviation `sd` [-], `at_risk`, `failed`.

    Raises
    ------
    OutOfRangeError
    InsufficientDataError
        When nothing failed.

    References
    ----------
    E. L. Kaplan, P. Meier, Journal of the American Statistical Association 53 (1958) 457; from memory.

    Examples
    --------
    >>> curve = kaplan_meier([182.0, 240.0, 255.0, 310.0], failed=[1, 0, 1, 0])
    >>> curve.ages_h.tolist(), curve.lasting.tolist()
    ([182.0, 255.0], [0.75, 0.375])
    """
    return product_limit.kaplan_meier(times_h, _all_if_none(times_h, failed), count)


def interval_from_survivors(
    lived_h: ArrayLike, *, shape: float, failures: int = 0, confidence: float = 0.95
) -> WeibayesScale:
    """What parts say that hardly ever failed, or never: the life they show, with a shape known from like parts.

    Parameters
    ----------
    lived_h : array_like
        Hours that each part has lived, failed or not, above 0. [h]
    shape : float
        Weibull shape known from like parts, 0.1 to 20; above 1 for wear. [-]
    failures : int
        How many of them failed.
    confidence : float
        Of what is shown at least, 0.5 to 0.9999. [-]

    Returns
    -------
    WeibayesScale
        `at_least_h`: the scale is longer than this [h]; `hours_until(share)`: interval in which no more than that
        share fails, at that confidence [h].

    Raises
    ------
    OutOfRangeError

    References
    ----------
    R. B. Abernethy, The New Weibull Handbook, 6; from memory.

    Examples
    --------
    >>> shown = interval_from_survivors([110.0, 95.0, 130.0, 120.0, 100.0], shape=3.0)
    >>> round(shown.hours_until(0.05), 1)
    49.6
    """
    return weibayes_scale(lived_h, failures, shape, confidence)


def _all_if_none(times_h: ArrayLike, failed: ArrayLike | None) -> ArrayLike:
    return np.ones(np.shape(times_h)) if failed is None else failed
