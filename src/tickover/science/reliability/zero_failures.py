"""What do parts say that hardly ever failed, or never?

References
----------
R. B. Abernethy, The New Weibull Handbook, 6 (from memory): a known shape in place of failures that there are not.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import chdtri

from tickover.science.core.input_checks import checked, checked_one
from tickover.science.reliability.weibull import HOURS

__all__ = ["WeibayesScale", "parts_to_show", "weibayes_scale"]


@dataclass(frozen=True)
class WeibayesScale:
    """Scale of lives whose shape is known: the likeliest, infinite without a failure, and the least. [h], [-]

    `at_least_h`: the scale is longer than this, with `confidence`.
    """

    likeliest_h: float
    at_least_h: float
    shape: float
    confidence: float

    def hours_until(self, share: float) -> float:
        """Hours by which no more than a share has failed, 1e-9 to below 1, at the confidence. [h]

        t = η_least (−ln(1 − share))^(1/β).
        """
        p = checked_one("share failed", share, 1e-9, 1.0 - 1e-9, "1")
        return self.at_least_h * float((-math.log1p(-p)) ** (1.0 / self.shape))


def weibayes_scale(
    lived_h: ArrayLike, failures: float, shape: float, confidence: float = 0.95
) -> WeibayesScale:
    """Scale of lives whose shape is known from like parts, and the end above which it surely is.

    Parameters
    ----------
    lived_h : array_like
        Hours that each part has lived, failed or not, above 0. [h]
    failures : float
        How many of them failed.
    shape : float
        Known shape, 0.1 to 20. [-]
    confidence : float
        Of the lower end, 0.5 to 0.9999. [-]

    Returns
    -------
    WeibayesScale
        With no failure the likeliest is infinite, and the lower end is all that can be said. [h]

    Raises
    ------
    OutOfRangeError

    References
    ----------
    R. B. Abernethy, The New Weibull Handbook, 6 (from memory).

    Examples
    --------
    >>> round(weibayes_scale([110.0, 95.0, 130.0], failures=0, shape=3.0).at_least_h, 1)
    113.5
    """
    lived = checked("hours lived", lived_h, 1e-9, HOURS[1], "h")
    failed = checked_one("failures", failures, 0.0, float(lived.size))
    beta = checked_one("shape", shape, 0.1, 20.0)
    sure = checked_one("confidence", confidence, 0.5, 0.9999, "1")
    total = float(np.sum(lived**beta))
    likeliest = (total / failed) ** (1.0 / beta) if failed else math.inf
    least = float((2.0 * total / chdtri(2.0 * failed + 2.0, 1.0 - sure)) ** (1.0 / beta))
    return WeibayesScale(likeliest, least, beta, sure)


def parts_to_show(reliability: float, confidence: float = 0.95) -> int:
    """How many parts must all last, to show that such a share of them does: n = ln(1 − C)/ln R, rounded up.

    `reliability`: 0.5 to 0.9999. [-] `confidence`: 0.5 to 0.9999. [-]

    Parameters
    ----------
    reliability : float
        Reliability to be shown, 0.5 to 0.9999. [-]
    confidence : float
        Confidence, 0.5 to 0.9999. [-]

    Returns
    -------
    int

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> print(f"{parts_to_show(reliability=0.9, confidence=0.95):.4g}")
    29
    """
    share = checked_one("reliability to be shown", reliability, 0.5, 0.9999, "1")
    sure = checked_one("confidence", confidence, 0.5, 0.9999, "1")
    return math.ceil(math.log1p(-sure) / math.log(share) - 1e-9)
