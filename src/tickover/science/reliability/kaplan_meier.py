"""Which share of such parts has failed by an age, with no distribution supposed?

The product limit holds where the age of every failure is known; where failures are found on looking, the likeliest
steps between the looks are sought instead. Both are what a fitted life (`life`) is held against.

References
----------
E. L. Kaplan, P. Meier, Journal of the American Statistical Association 53 (1958) 457; M. Greenwood (1926), for its
standard deviation. B. W. Turnbull, Journal of the Royal Statistical Society B 38 (1976) 290. All from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tickover.science.core.arrays import Array, broadcast
from tickover.science.core.input_checks import InsufficientDataError, OutOfRangeError, checked
from tickover.science.core.results import NamedFigures
from tickover.science.reliability.weibull import HOURS, checked_upper

__all__ = ["SurvivalCurve", "TurnbullCurve", "kaplan_meier", "turnbull"]

ROUNDS = 50_000
SETTLED = 1e-10
"""No step changes by more from one round to the next. [-]"""
PARTS = (0.0, 1e6)


@dataclass(frozen=True, eq=False)
class SurvivalCurve:
    """What is left of such parts after each age at which any failed; all of one shape.

    `ages_h` [h]; `at_risk`, `failed`: parts that had come so far, and that failed then; `lasting`: share that lasts
    longer [-], `sd` its standard deviation by Greenwood [-], 0 where none is left.
    """

    ages_h: Array
    at_risk: Array
    failed: Array
    lasting: Array
    sd: Array

    @property
    def gone(self) -> Array:
        """Share that has failed by each age. [-]"""
        return 1.0 - self.lasting


@dataclass(frozen=True, eq=False)
class TurnbullCurve(NamedFigures):
    """Ages at which parts were looked at [h], and the share that has failed by each [-]."""

    ages_h: Array
    gone: Array


def kaplan_meier(age_h: ArrayLike, failed: ArrayLike, count: ArrayLike = 1.0) -> SurvivalCurve:
    """Share of parts that lasts longer than each age at which any failed, after Kaplan and Meier.

    Parameters
    ----------
    age_h : array_like
        Age of each part when it failed, or when it was last seen in order, 0 to 10,000,000. [h]
    failed : array_like
        1 where it failed, 0 where it still runs; one that runs counts at its own age too.
    count : array_like
        How many parts each record stands for.

    Returns
    -------
    SurvivalCurve

    Raises
    ------
    OutOfRangeError
    InsufficientDataError
        When nothing failed.

    Examples
    --------
    >>> curve = kaplan_meier([182.0, 240.0, 255.0, 310.0], [1, 0, 1, 0])
    >>> curve.ages_h.tolist(), curve.lasting.tolist()
    ([182.0, 255.0], [0.75, 0.375])
    """
    age, fails, many = broadcast(*checked_ages(age_h, failed), np.ravel(checked("parts", count, *PARTS)))
    ages = np.unique(age[(fails == 1.0) & (many > 0.0)])
    if not ages.size:
        raise InsufficientDataError("nothing has failed: all that is known is that they lasted so far")
    at_risk = np.array([many[age >= one].sum() for one in ages])
    gone = np.array([(many * fails)[age == one].sum() for one in ages])
    lasting = np.cumprod(1.0 - gone / at_risk)
    left = at_risk - gone
    spread = np.cumsum(np.divide(gone, at_risk * left, out=np.zeros_like(gone), where=left > 0.0))
    return SurvivalCurve(ages, at_risk, gone, lasting, lasting * np.sqrt(spread))


def checked_ages(age_h: ArrayLike, failed: ArrayLike) -> tuple[Array, Array]:
    """Age of each part [h], and 1 where it failed or 0 where it still runs; in their common shape."""
    age, fails = broadcast(
        np.ravel(checked("age", age_h, *HOURS, "h")),
        np.ravel(checked("failed, 1 or 0", _as_numbers(failed), 0.0, 1.0)),
    )
    if np.any((fails != 0.0) & (fails != 1.0)):
        raise OutOfRangeError("failed must be 1 or 0 for each part")
    return age, fails


def _as_numbers(failed: ArrayLike) -> ArrayLike:
    """True and False as 1 and 0; anything else as it is."""
    held = np.asarray(failed)
    return held.astype(np.float64) if held.dtype.kind == "b" and held.ndim else failed


def turnbull(lower_h: ArrayLike, upper_h: ArrayLike, count: ArrayLike = 1.0) -> TurnbullCurve:
    """Ages of the looks, and the share that has failed by each where the records are likeliest. [h], [-]

    Parameters
    ----------
    lower_h, upper_h : array_like
        Between which two looks the part failed: above the lower, up to the upper; infinite above where it still
        runs, 0 below where the first look found it failed. [h]
    count : array_like
        How many parts each record stands for.

    Returns
    -------
    TurnbullCurve

    Raises
    ------
    OutOfRangeError
        Also for a record without any time between its looks.
    InsufficientDataError
        When nothing failed.

    Notes
    -----
    Between two looks it is not known when a share failed. The self-consistency of Turnbull, round by round.

    Examples
    --------
    >>> looks = turnbull([0.0, 100.0, 200.0], [100.0, 200.0, np.inf])
    >>> looks.ages_h.tolist(), looks.gone.round(2).tolist()
    ([100.0, 200.0], [0.33, 0.67])
    """
    lower, upper, many = broadcast(
        np.ravel(checked("look at which it was in order", lower_h, *HOURS, "h")),
        np.ravel(checked_upper(upper_h)),
        np.ravel(checked("parts", count, *PARTS)),
    )
    if np.any(lower >= upper):
        raise OutOfRangeError("the look that found it failed must come after the one before it")
    if not np.any(many[np.isfinite(upper)] > 0.0):
        raise InsufficientDataError("nothing has failed: all that is known is that they lasted so far")
    ends = np.unique(np.append(np.concatenate([lower[lower > 0.0], upper]), np.inf))
    starts = np.append(0.0, ends[:-1])
    may = (starts >= lower[:, None]) & (ends <= upper[:, None])
    share = _self_consistent(may.astype(np.float64), many / many.sum())
    return TurnbullCurve(ends[:-1], np.cumsum(share)[:-1])


def _self_consistent(may: Array, weight: Array) -> Array:
    """Share of each step, from where each record may lie [records, steps] and how much it counts."""
    share = np.full(may.shape[1], 1.0 / may.shape[1])
    for _ in range(ROUNDS):
        held = weight / (may @ share)
        after: Array = share * (may.T @ held)
        if float(np.abs(after - share).max()) < SETTLED:
            return after
        share = after
    return share
