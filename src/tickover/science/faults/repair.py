"""In which order are suspected causes put right, and how long does that take on average?

With one fault, repairs that do not share work, and a run after each that shows whether it was the one, the order
of least expected time is by chance over minutes, the largest first.

References
----------
J.B. Kadane, H.A. Simon, "Optimal strategies for a class of constrained sequential problems", *Annals of
Statistics* 5 (1977) 237. D. Heckerman, J.S. Breese, K. Rommelse, "Decision-theoretic troubleshooting",
*Communications of the ACM* 38 (1995) 49.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tickover.science.core.input_checks import OutOfRangeError, checked
from tickover.science.core.working import Quantity, Working
from tickover.science.faults.sets import Floats, Ints


@dataclass(frozen=True, eq=False)
class RepairOrder:
    """Repairs one after the other until the fault is gone.

    order : positions of the repairs, the first to do first
    shares : chance that each is the one, sum 1, in the order of the input [-]
    minutes : of each, in the order of the input [min]
    expected_min : on average until the fault is gone [min]
    """

    order: tuple[int, ...]
    shares: tuple[float, ...]
    minutes: tuple[float, ...]
    expected_min: float

    def working(self, titles: tuple[str, ...]) -> Working:
        """How the minutes come about; `titles` in the order of the input."""
        return Working(
            title="minutes by repairing now",
            formula="sum of minutes(k) * (1 - chance that an earlier repair was the one), by chance / minutes",
            inputs=tuple(Quantity(titles[n], self.minutes[n], "min") for n in self.order[:5]),
            result=Quantity("expected until the fault is gone", self.expected_min, "min"),
            validity="one fault; a repair shows at once whether it was the one; no opening shared",
            source="Kadane and Simon (1977); Heckerman, Breese and Rommelse (1995)",
            authority="common practice, no source",
        )


def repair_order(shares: ArrayLike, minutes: ArrayLike) -> RepairOrder:
    """Order repairs by chance over minutes.

    Parameters
    ----------
    shares : array
        Chance of each cause, 0 or more; scaled to sum 1, since one fault is supposed. [-]
    minutes : array
        To put each right, above 0. [min]

    Returns
    -------
    RepairOrder

    Raises
    ------
    OutOfRangeError
        For minutes not above 0, a chance below 0, no chance at all, or more of one than of the other.

    Examples
    --------
    >>> print(f"{repair_order(shares=[0.5, 0.3, 0.2], minutes=[60.0, 20.0, 10.0]).expected_min:.4g}")
    56
    """
    shares = checked("chances of causes", shares, 0.0, 1e12, hint="chances of causes must be 0 or more")
    minutes = checked("minutes of a repair", minutes, -np.inf, 1e9, "min")
    if shares.shape != minutes.shape:
        raise OutOfRangeError(
            f"{shares.size} chances and {minutes.size} minutes; give one of each for every repair"
        )
    if not (minutes > 0).all():
        raise OutOfRangeError(f"minutes of a repair must be above 0, not {minutes.min():g}")
    if not ((shares >= 0).all() and shares.sum() > 0):
        raise OutOfRangeError("chances of causes must be 0 or more, and one of them above 0")
    scaled = shares / shares.sum()
    return RepairOrder(
        order=tuple(int(n) for n in _by_rate(scaled, minutes)),
        shares=tuple(float(share) for share in scaled),
        minutes=tuple(float(one) for one in minutes),
        expected_min=float(expected_minutes(scaled[:, None], minutes)[0]),
    )


def expected_minutes(shares: Floats, minutes: Floats) -> Floats:
    """Least expected minutes for many columns of chances at once.

    `shares` (causes, columns) [-], each column scaled to sum 1 where it has a sum; `minutes` (causes,) [min].
    Returns shape (columns,) [min].
    """
    total = shares.sum(axis=0)
    scaled = np.divide(shares, total, out=np.zeros_like(shares), where=total > 0)
    order = _by_rate(scaled, minutes[:, None])
    sorted_shares = np.take_along_axis(scaled, order, axis=0)
    before = np.cumsum(sorted_shares, axis=0) - sorted_shares
    return np.asarray((minutes[order] * np.maximum(1 - before, 0.0)).sum(axis=0), dtype=np.float64)


def _by_rate(shares: Floats, minutes: Floats) -> Ints:
    return np.argsort(-shares / minutes, axis=0, kind="stable")
