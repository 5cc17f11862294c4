"""How many parts does one place use up in so many hours, each replaced when it fails? And what does an age cost?

For lives of any distribution, given as the share that has failed by an age.

References
----------
M. Xie, IEEE Transactions on Reliability 38 (1989) 90 (midpoints of the renewal equation). A. K. S. Jardine, A. H. C.
Tsang, Maintenance, Replacement, and Reliability (2006), 2 (replacing at an age). Both from memory.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike

from tickover.science.core.arrays import Array
from tickover.science.core.input_checks import OutOfRangeError, checked, checked_one
from tickover.science.core.kinds import kinds_checked

__all__ = ["age_cost_rate", "renewals"]

HOURS = (1e-6, 1e7)
COST = (1e-9, 1e12)
STEPS = 4_000
PANELS = 64


@kinds_checked
def renewals(failed_by: Callable[[Array], Array], hours: ArrayLike) -> Array:
    """How many failures are to be expected by so many hours, the first part being new. [-]

    Parameters
    ----------
    failed_by : callable
        Share of parts that has failed by an array of ages [h]; 0 to 1, not falling. `Life.failed_by` is one.
    hours : array_like
        Above 0 to 10,000,000. [h]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [-]

    Raises
    ------
    OutOfRangeError

    Notes
    -----
    The renewal equation on 4000 steps up to the most hours asked for. Its error is a few ten-thousandths of a failure
    for lives that wear, and grows where many parts fail within the first step.

    Examples
    --------
    >>> from tickover.science.reliability.weibull import weibull_life
    >>> life = weibull_life([120.0, 150.0, 90.0, 170.0], [120.0, 150.0, 90.0, 170.0])
    >>> print(f"{float(renewals(life.failed_by, 500.0)):.2f}")
    3.28
    """
    at = checked("hours", hours, *HOURS, "h")
    step = float(at.max()) / STEPS
    ends = _share(failed_by, step * np.arange(1.0, STEPS + 1.0))
    middles = _share(failed_by, step * (np.arange(STEPS) + 0.5))
    if middles[0] > 0.5:
        raise OutOfRangeError(f"more than half fail within {step:.3g} h: ask for fewer hours")
    grown = np.zeros(STEPS + 1)
    for n in range(1, STEPS + 1):
        earlier = np.diff(grown[:n]) @ middles[n - 1 : 0 : -1]
        grown[n] = (ends[n - 1] + earlier - grown[n - 1] * middles[0]) / (1.0 - middles[0])
    return np.interp(at, step * np.arange(STEPS + 1.0), grown)


@kinds_checked
def age_cost_rate(
    failed_by: Callable[[Array], Array], age_h: ArrayLike, planned: float, failed: float
) -> Array:
    """Cost of an hour in the long run, replacing at an age or sooner when it fails. [cost/h]

    Parameters
    ----------
    failed_by : callable
        As for `renewals`.
    age_h : array_like
        Above 0 to 10,000,000. [h]
    planned, failed : float
        Cost of replacing in time and of a failure, both above 0, in one unit.

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [cost/h]

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> from tickover.science.reliability.weibull import weibull_life
    >>> life = weibull_life([120.0, 150.0, 90.0, 170.0], [120.0, 150.0, 90.0, 170.0])
    >>> print(f"{float(age_cost_rate(life.failed_by, 100.0, planned=60.0, failed=400.0)):.2f}")
    1.09
    """
    age = checked("age", age_h, *HOURS, "h")
    in_time, late = (
        checked_one("cost of replacing in time", planned, *COST),
        checked_one("cost of a failure", failed, *COST),
    )
    gone = _share(failed_by, age)
    rate: Array = (in_time * (1.0 - gone) + late * gone) / _lived_h(failed_by, age)
    return rate


def _lived_h(failed_by: Callable[[Array], Array], age: Array) -> Array:
    """Mean life of parts replaced at an age at the latest, by Gauss and Legendre. [h]"""
    node, weight = np.polynomial.legendre.leggauss(8)
    inside = (np.arange(PANELS)[:, None] + (node + 1.0) / 2.0).ravel() / PANELS
    lasting = 1.0 - _share(failed_by, age[..., None] * inside)
    lived: Array = age * (lasting @ np.tile(weight, PANELS)) / (2.0 * PANELS)
    return lived


def _share(failed_by: Callable[[Array], Array], age: ArrayLike) -> Array:
    return checked("share that has failed", failed_by(np.asarray(age, dtype=np.float64)), 0.0, 1.0, "1")
