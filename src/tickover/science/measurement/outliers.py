"""Which values of a sample stand apart from all the others, too far to be its scatter?

The generalized extreme Studentized deviate test: up to so many values are set aside one by one, the farthest first,
each held against what the farthest of a normal sample would be. It sees two that stand apart together, where a test
for one is blind to both. With one value to set aside at most it is Grubbs' test.

References
----------
NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17.1 and 1.3.5.17.3; Rosner, Technometrics 25 (1983), 165. The
critical values are exact for one value at most, and good for several from about 15 values on.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import stdtrit

from tickover.science.core.input_checks import OutOfRangeError, checked, checked_one, checked_whole
from tickover.science.core.kinds import kinds_checked

__all__ = ["critical", "outlying"]


@kinds_checked
def outlying(values: ArrayLike, most: int, alpha: float) -> NDArray[np.int64]:
    """Places of the values that stand apart, the farthest first.

    Parameters
    ----------
    values : array [n]
        Finite, all in one unit; normal but for those that stand apart.
    most : int
        How many may stand apart, 0 to n - 3.
    alpha : float
        Chance that a sample in order has a value set aside, above 0 to 0.5. [-]

    Returns
    -------
    NDArray[np.int64]

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> outlying([10.0, 10.1, 9.9, 10.0, 10.2, 9.8, 14.0], most=1, alpha=0.05).tolist()
    [6]
    """
    sample = checked("values", values, -1e12, 1e12)
    if sample.ndim != 1:
        raise OutOfRangeError("values must be one row of finite numbers")
    if not 0 <= most <= max(sample.size - 3, 0):
        raise OutOfRangeError(
            f"of {sample.size} values at most {max(sample.size - 3, 0)} can be set aside; {most} are wanted"
        )
    checked_one("chance of setting a good value aside", alpha, 1e-9, 0.5, "1")
    left, aside, found = np.arange(sample.size), [], 0
    for number in range(1, most + 1):
        kept = sample[left]
        far, sd = np.abs(kept - kept.mean()), float(kept.std(ddof=1))
        at = int(far.argmax())
        aside.append(left[at])
        left = np.delete(left, at)
        if sd > 0.0 and far[at] / sd > critical(sample.size, number, alpha):
            found = number
    return np.array(aside[:found], dtype=np.int64)


@kinds_checked
def critical(n: int, number: int, alpha: float) -> float:
    """Distance from the mean, in standard deviations, beyond which the value set aside as `number` stands apart.

    `n`: 3 to 1,000,000 values, of which `number` is set aside, 1 to n - 2; `alpha` as for `outlying`.

    Parameters
    ----------
    n : int
        Values, 3 to 1,000,000. [-]
    number : int
        Number set aside, 1 to 8. [-]
    alpha : float
        Chance of setting a good value aside, above 0 to 0.5. [-]

    Returns
    -------
    float

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> print(f"{critical(n=10, number=1, alpha=0.01):.4g}")
    2.482
    """
    checked_whole("values", n, 3, 1_000_000)
    checked_whole("number set aside", number, 1, n - 2)
    checked_one("chance of setting a good value aside", alpha, 1e-9, 0.5, "1")
    left = n - number
    t = float(stdtrit(left - 1, 1.0 - alpha / (2.0 * (left + 1))))
    return left * t / math.sqrt((left - 1 + t * t) * (left + 1))
