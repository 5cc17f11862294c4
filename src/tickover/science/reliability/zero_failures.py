"""What do parts say that hardly ever failed, or never?

References
----------
R. B. Abernethy, The New Weibull Handbook, 6 (from memory): a known shape in place of failures that there are not.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import chdtri

from tickover.science.core.input_checks import checked, checked_one
from tickover.science.reliability.weibull import HOURS

__all__ = ["parts_to_show", "weibayes_scale_h"]


def weibayes_scale_h(
    lived_h: ArrayLike, failures: float, shape: float, confidence: float = 0.95
) -> tuple[float, float]:
    """Scale of lives whose shape is known from like parts, and the end above which it surely is. [h]

    With no failure the first is infinite and the second is all that can be said.

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

    Raises
    ------
    OutOfRange"""
    lived = checked("hours lived", lived_h, 1e-9, HOURS[1], "h")
    failed = checked_one("failures", failures, 0.0, float(lived.size))
    beta = checked_one("shape", shape, 0.1, 20.0)
    sure = checked_one("confidence", confidence, 0.5, 0.9999, "1")
    total = float(np.sum(lived**beta))
    likeliest = (total / failed) ** (1.0 / beta) if failed else math.inf
    return likeliest, float((2.0 * total / chdtri(2.0 * failed + 2.0, 1.0 - sure)) ** (1.0 / beta))


def parts_to_show(reliability: float, confidence: float = 0.95) -> int:
    """How many parts must all last, to show that such a share of them does: n = ln(1 − C)/ln R, rounded up.

    `reliability`: 0.5 to 0.9999. [-] `confidence`: 0.5 to 0.9999. [-]

    Raises
    ------
    OutOfRange
    """
    share = checked_one("reliability to be shown", reliability, 0.5, 0.9999, "1")
    sure = checked_one("confidence", confidence, 0.5, 0.9999, "1")
    return math.ceil(math.log1p(-sure) / math.log(share) - 1e-9)
