"""How many of a part to keep, and at how many to order again?

Demand while an order is on its way is taken as Poisson, which suits parts of which few are used, or as normal for what
goes by the litre or the metre.

References
----------
L. V. Snyder, Z.-J. M. Shen, Fundamentals of Supply Chain Theory, 2nd ed. (2019), 3 to 5; E. A. Silver, D. F. Pyke, R.
Peterson, Inventory Management and Production Planning and Scheduling (1998), 7. Both from memory.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import ndtri, pdtr, pdtrik

from tickover.science.core.arrays import Array, broadcast
from tickover.science.core.input_checks import checked
from tickover.science.core.shapes import one_or_many

__all__ = [
    "base_stock_for_service",
    "economic_order_quantity",
    "expected_backorders",
    "lead_time_sd",
    "newsvendor_stock",
    "reorder_point",
    "stock_cost",
]

DEMAND = (1e-6, 1e6)
COST = (1e-9, 1e9)
MOST_SURE = 1.0 - 1e-12
"""Nearer to 1 the rounding of the Poisson distribution would decide. [-]"""


def base_stock_for_service(demand: ArrayLike, service: ArrayLike) -> Array:
    """Fewest parts that meet the demand until the order comes, with that chance; whole numbers.

    Parameters
    ----------
    demand : array_like
        Mean demand until then, Poisson, above 0 to 1,000,000. [-]
    service : array_like
        Chance that none is wanting, 0.01 to 0.9999. [-]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [-]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges.

    References
    ----------
    Base-stock policy: Snyder and Shen (2019), 4 (from memory).

    Examples
    --------
    >>> float(base_stock_for_service(demand=2.4, service=0.95))
    5.0
    """
    mean, sure = broadcast(
        checked("demand", demand, *DEMAND), checked("chance of service", service, 0.01, 0.9999, "1")
    )
    return _fewest(mean, sure)


def newsvendor_stock(demand: ArrayLike, holding: ArrayLike, shortage: ArrayLike) -> Array:
    """Parts that cost least on average; whole numbers.

    `demand` and errors as for `stock_for`; `holding`, `shortage`: cost of one left over, and of one wanting, above 0,
    in one unit.

    Parameters
    ----------
    demand : array_like
        Demand, above 0 to 1,000,000. [-]
    holding : array_like
        Cost of holding, above 0 to 1e+09. [-]
    shortage : array_like
        Cost of shortage, above 0 to 1e+09. [-]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs.

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> print(f"{newsvendor_stock(demand=2.0, holding=1.0, shortage=10.0):.4g}")
    4
    """
    mean, over, under = broadcast(
        checked("demand", demand, *DEMAND),
        checked("cost of holding", holding, *COST),
        checked("cost of shortage", shortage, *COST),
    )
    return _fewest(mean, np.minimum(under / (under + over), MOST_SURE))


def expected_backorders(demand: ArrayLike, stock: ArrayLike) -> Array:
    """Parts wanting on average until the order comes, with a stock of whole parts, 0 or more. [-]

    Parameters
    ----------
    demand : array_like
        Demand, above 0 to 1,000,000. [-]
    stock : array_like
        Stock, 0 to 1e+07. [-]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [-]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> print(f"{expected_backorders(demand=2.0, stock=3.0):.4g}")
    0.218
    """
    mean, kept = broadcast(checked("demand", demand, *DEMAND), checked("stock", stock, 0.0, 1e7))
    below = np.where(kept >= 1.0, pdtr(np.maximum(kept - 1.0, 0.0), mean), 0.0)
    short: Array = mean * (1.0 - below) - kept * (1.0 - pdtr(kept, mean))
    return np.maximum(short, 0.0)


def stock_cost(demand: ArrayLike, stock: ArrayLike, holding: ArrayLike, shortage: ArrayLike) -> Array:
    """Cost on average of what is left over and of what is wanting, in the unit of the two costs.

    Parameters
    ----------
    demand : array_like
        Demand, above 0 to 1,000,000. [-]
    stock : array_like
        Stock, 0 to 1e+07. [-]
    holding : array_like
        Cost of holding, above 0 to 1e+09. [-]
    shortage : array_like
        Cost of shortage, above 0 to 1e+09. [-]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs.

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> print(f"{stock_cost(demand=2.0, stock=3.0, holding=1.0, shortage=10.0):.4g}")
    3.398
    """
    short = expected_backorders(demand, stock)
    left = checked("stock", stock, 0.0, 1e7) - checked("demand", demand, *DEMAND) + short
    cost: Array = (
        checked("cost of holding", holding, *COST) * left
        + checked("cost of shortage", shortage, *COST) * short
    )
    return cost


def lead_time_sd(rate: ArrayLike, rate_sd: ArrayLike, lead: ArrayLike, *, lead_sd: ArrayLike) -> Array:
    """Standard deviation of the demand until an order comes, in the unit of the rate times the time.

    Parameters
    ----------
    rate, rate_sd : array_like
        Demand in one unit of time, mean and standard deviation, 0 or more.
    lead, lead_sd : array_like
        Time that an order takes, mean and standard deviation, 0 or more, in that unit of time.

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs.

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> print(f"{lead_time_sd(rate=2.0, rate_sd=0.5, lead=3.0, lead_sd=1.0):.4g}")
    2.179
    """
    d, sd, time, time_sd = broadcast(
        checked("demand", rate, 0.0, 1e9),
        checked("standard deviation of the demand", rate_sd, 0.0, 1e9),
        checked("lead time", lead, 0.0, 1e6),
        checked("standard deviation of the lead time", lead_sd, 0.0, 1e6),
    )
    spread: Array = np.hypot(np.sqrt(time) * sd, d * time_sd)
    return spread


def reorder_point(
    rate: ArrayLike, rate_sd: ArrayLike, lead: ArrayLike, service: ArrayLike, *, lead_sd: ArrayLike
) -> Array:
    """What must be left when it is ordered again, the demand being normal; `service` as for `stock_for`.

    Parameters
    ----------
    rate : array_like
        Demand, 0 to 1e+09. [-]
    rate_sd : array_like
        Standard deviation of the demand, 0 to 1e+09. [-]
    lead : array_like
        Lead time, 0 to 1,000,000. [-]
    service : array_like
        Chance of service, 0.01 to 0.9999. [-]
    lead_sd : array_like
        Standard deviation of the lead time, 0 to 1,000,000. [-]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs.

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> print(f"{reorder_point(rate=2.0, rate_sd=0.5, lead=3.0, service=0.95, lead_sd=1.0):.4g}")
    9.585
    """
    sure = checked("chance of service", service, 0.01, 0.9999, "1")
    spread = lead_time_sd(rate, rate_sd, lead, lead_sd=lead_sd)
    point: Array = (
        checked("demand", rate, 0.0, 1e9) * checked("lead time", lead, 0.0, 1e6) + ndtri(sure) * spread
    )
    return point


def economic_order_quantity(rate: ArrayLike, ordering: ArrayLike, holding: ArrayLike) -> Array:
    """How much to order at a time, so that ordering and holding cost least together.

    `rate`: steady demand in a unit of time, above 0; `ordering`: cost of one order; `holding`: cost of keeping one for
    that unit of time; both above 0.

    Parameters
    ----------
    rate : array_like
        Demand, above 0 to 1,000,000. [-]
    ordering : array_like
        Cost of an order, above 0 to 1e+09. [-]
    holding : array_like
        Cost of holding, above 0 to 1e+09. [-]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs.

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> print(f"{economic_order_quantity(rate=2.0, ordering=10.0, holding=1.0):.4g}")
    6.325
    """
    d, once, each = broadcast(
        checked("demand", rate, *DEMAND),
        checked("cost of an order", ordering, *COST),
        checked("cost of holding", holding, *COST),
    )
    quantity: Array = np.sqrt(2.0 * d * once / each)
    return quantity


def _fewest(mean: Array, sure: Array) -> Array:
    about = np.maximum(np.ceil(np.nan_to_num(pdtrik(sure, mean))) - 1.0, 0.0)
    # rounding puts the quantile a step off at times
    enough: Array = one_or_many(np.where(pdtr(about, mean) >= sure, about, about + 1.0))
    return enough
