"""The sequential ordering problem in one call: a good order, a bound, and a proof where the effort is enough.

A good order is found by exchanges; a linear program with cuts bounds all others; what lies between the two is gone
through by beginnings of orders, first a few and then as many as the effort allows.

References
----------
Those of the modules of this folder. Instances with their optimum: TSPLIB 95, sequential ordering problem, G. Reinelt,
ORSA Journal on Computing 3 (1991) 376.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tickover.science.core.input_checks import checked_whole
from tickover.science.planning.sequential_ordering.first_order import improved, next_cheapest
from tickover.science.planning.sequential_ordering.linear_bound import linear_bound
from tickover.science.planning.sequential_ordering.prefixes import Searched, gone_through, searched
from tickover.science.planning.sequential_ordering.problem import OrderingProblem

__all__ = ["EFFORT", "MOST_EFFORT", "SequentialOrder", "sequential_order"]

EFFORT = 100_000
"""Beginnings of orders that may be continued: some 1 to 10 s where nothing is proven before."""
MOST_EFFORT = 20_000_000
FEW_STATES = 300
ALL_TIMES = 4
"""Beginnings that are gone through without ruling any out are cheap: so many times more of them."""
FEW_TRIALS = 30_000
TRIALS_EACH, MOST_TRIALS = 8, 1_000_000
"""Exchanges tried for each beginning that may be continued, and the most of one turn."""
TURNS = 5
STATES_A_ROUND = 1000
MOST_ROUNDS = 60


@dataclass(frozen=True)
class SequentialOrder:
    """An order of all nodes, the first one first and the last one last.

    `cost`: of the order. `lower_bound`: no order costs less. `is_optimal`: whether that is proven of the order, with
    costs that are whole numbers exactly and with others to a billionth. `states`: beginnings continued.
    """

    order: tuple[int, ...]
    cost: float
    lower_bound: float
    is_optimal: bool
    states: int


def sequential_order(costs: ArrayLike, effort: int = EFFORT) -> SequentialOrder:
    """The cheapest path from the first node to the last through all others, some of which come before others.

    The same input gives the same answer each time: the effort is counted in states and not in seconds.

    Parameters
    ----------
    costs : array_like
        Square; cost from the node of a row to that of a column, 0 to 1e9, in any one unit. -1: the node of the column
        comes before that of the row. The diagonal is not read. Node 0 comes first and the last node last, said or not.
        2 to 400 nodes, counted from 0.
    effort : int
        Most beginnings of orders that are ruled out one by one, 1 to 20 million; where they are only gone through, four
        times as many.

    Returns
    -------
    SequentialOrder
        The order, its cost, the bound that is proven, and whether both are one. [unit of the costs]

    Raises
    ------
    OutOfRangeError
        For a matrix that is not square, a cost below 0 that is not -1, precedences that contradict each other (it
        names the nodes), and an effort out of range.

    References
    ----------
    As of the module.

    Examples
    --------
    >>> found = sequential_order([[0, 2, 1, 9], [-1, 0, 1, 5], [-1, 1, 0, 1], [-1, -1, -1, 0]])
    >>> found.order, found.cost, found.is_optimal
    ((0, 1, 2, 3), 4.0, True)

    With node 2 before node 1:

    >>> sequential_order([[0, 2, 1, 9], [-1, 0, -1, 5], [-1, 1, 0, 1], [-1, -1, -1, 0]]).order
    (0, 2, 1, 3)
    """
    problem = OrderingProblem.of(costs)
    effort = checked_whole("effort", effort, 1, MOST_EFFORT)
    order = improved(problem, next_cheapest(problem), FEW_TRIALS, 0)
    duals = linear_bound(problem, problem.cost(order), 1)
    found = searched(problem, duals, order, min(max(1, effort // problem.nodes), FEW_STATES))
    if not _proven(found):
        found = gone_through(problem, duals, found.order, ALL_TIMES * effort) or _hard(problem, found, effort)
    return SequentialOrder(found.order, found.cost, found.bound, _proven(found), found.states)


def _proven(found: Searched) -> bool:
    return found.bound >= found.cost - 1e-9 * max(1.0, found.cost)


def _hard(problem: OrderingProblem, found: Searched, effort: int) -> Searched:
    """What a better order to begin with, programs with cuts, and the most promising beginnings find."""
    order, bound, states = found.order, found.bound, found.states
    for turn in range(TURNS):
        order = improved(problem, order, min(FEW_TRIALS + TRIALS_EACH * effort, MOST_TRIALS), turn + 1)
    duals, priced = None, np.inf
    for width in (FEW_STATES, effort // problem.nodes):
        if duals is None or problem.cost(order) < priced:
            priced = problem.cost(order)
            duals = linear_bound(problem, priced, min(MOST_ROUNDS, 1 + effort // STATES_A_ROUND))
        found = searched(problem, duals, order, max(1, min(width, effort // problem.nodes)))
        order, bound, states = found.order, max(bound, found.bound), states + found.states
        if _proven(found):
            break
    return Searched(order, found.cost, min(found.cost, bound), states)
