"""A cost that no order is below, by a linear program with cuts, and what it leaves of each move's cost.

Each node but the last is left once, each but the first entered once. What that allows and no order does is cut off,
from sets of nodes S, with W the nodes that come before or after some of S:

- the last of S to come is followed by a node outside of S that does not come before any of S,
- the first of S to come follows a node outside of S that does not come after any of S,
- where i comes before j, the way from i to j leaves each set with i in it and j outside, by nodes that come neither
  before i nor after j.

Sets that are violated are found as smallest cuts of a network. Whatever the solver's rounding, the bound is that of the
multipliers it names: it is counted again from them.

References
----------
E. Balas, M. Fischetti, W.R. Pulleyblank, "The precedence-constrained asymmetric traveling salesman polytope",
Mathematical Programming 68 (1995) 241 (from memory). HiGHS by scipy.optimize.linprog.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog
from scipy.sparse import csr_array, vstack
from scipy.sparse.csgraph import breadth_first_order, maximum_flow

from tickover.science.planning.sequential_ordering.problem import OrderingProblem

__all__ = ["ReducedCosts", "linear_bound"]

WHOLE = 1_000_000
"""Flows are counted in millionths."""
VIOLATED = 0.02
IDLE_ROUNDS = 6
STALLED_ROUNDS = 8
STALLED_SHARE = 3e-4


@dataclass(frozen=True, eq=False)
class ReducedCosts:
    """The cost of any allowed order is at least `bound` and the sum of its moves' `costs`, which are 0 or more.

    `costs`: infinite for moves that no better order than the known one has; shape (nodes, nodes).
    """

    bound: float
    costs: NDArray[np.float64]


@dataclass(eq=False)
class _Cut:
    """Moves of which an order has at least one, by their place in the flat matrix; rounds it has not been felt."""

    moves: NDArray[np.int64]
    idle: int = 0


def linear_bound(problem: OrderingProblem, known_cost: float, rounds: int) -> ReducedCosts:
    """The bound of the linear program after up to `rounds` rounds of cuts, and the costs it leaves.

    Parameters
    ----------
    problem : OrderingProblem
        The nodes, their costs and precedences.
    known_cost : float
        Cost of an order that is allowed.
    rounds : int
        Programs solved at most, 1 or more.

    Returns
    -------
    ReducedCosts
        Those of the best bound.

    Raises
    ------
    OutOfRangeError
        Nothing of its own: the problem has been checked.

    References
    ----------
    As of the module.

    Examples
    --------
    >>> problem = OrderingProblem.of([[0, 2, 1, 9], [-1, 0, 1, 5], [-1, 1, 0, 1], [-1, -1, -1, 0]])
    >>> round(linear_bound(problem, 4.0, 5).bound, 6)
    4.0
    """
    most = problem.improves_on(known_cost)
    costs = problem.costs.copy()
    best = ReducedCosts(-np.inf, costs)
    cuts: list[_Cut] = []
    gains: list[float] = []
    for _ in range(rounds):
        solved = _solved(costs, cuts)
        if solved is None:
            break
        reduced, used = solved
        if reduced.bound > best.bound:
            best = reduced
        gains.append(best.bound)
        costs = np.where(reduced.bound + reduced.costs > most, np.inf, costs)
        cuts = [cut for cut in cuts if cut.idle <= IDLE_ROUNDS]
        if best.bound > most or _stalled(gains):
            break
        found = list(_violated(problem, used))
        if not found:
            break
        cuts += found
    return ReducedCosts(best.bound, np.where(best.bound + best.costs > most, np.inf, best.costs))


def _stalled(gains: list[float]) -> bool:
    if len(gains) <= STALLED_ROUNDS:
        return False
    return gains[-1] - gains[-1 - STALLED_ROUNDS] < STALLED_SHARE * max(1.0, abs(gains[-1]))


def _solved(costs: NDArray[np.float64], cuts: list[_Cut]) -> tuple[ReducedCosts, NDArray[np.float64]] | None:
    """What the program leaves, and how much of each move it uses; None where it has no answer."""
    nodes = len(costs)
    flat = np.flatnonzero(np.isfinite(costs))
    tails, heads = np.divmod(flat, nodes)
    column = np.full(nodes * nodes, -1)
    column[flat] = np.arange(len(flat))
    places = np.r_[np.arange(len(flat)), np.arange(len(flat))]
    degrees = csr_array(
        (np.ones(2 * len(flat)), (np.r_[tails, nodes - 2 + heads], places)), shape=(2 * nodes - 2, len(flat))
    )
    rows = [column[cut.moves] for cut in cuts]
    kept = [row[row >= 0] for row in rows]
    lengths = np.r_[0, np.cumsum([len(row) for row in kept])].astype(np.int64)
    cut_rows = csr_array(
        (-np.ones(int(lengths[-1])), np.concatenate([*kept, np.empty(0, dtype=np.int64)]), lengths),
        shape=(len(cuts), len(flat)),
    )
    answer = linprog(  # type: ignore[call-overload]
        costs.reshape(-1)[flat],
        A_ub=cut_rows if cuts else None,
        b_ub=-np.ones(len(cuts)) if cuts else None,
        A_eq=degrees,
        b_eq=np.ones(2 * nodes - 2),
        bounds=(0.0, None),
        method="highs-ds",
    )
    if answer.status != 0:
        return None
    weights = np.maximum(-answer.ineqlin.marginals, 0.0) if cuts else np.zeros(0)
    for cut, weight in zip(cuts, weights, strict=True):
        cut.idle = 0 if weight > 1e-9 else cut.idle + 1
    potentials = np.asarray(answer.eqlin.marginals)
    both = vstack([degrees, -cut_rows]) if cuts else degrees
    left = costs.reshape(-1)[flat] - both.T @ np.r_[potentials, weights]
    reduced = np.full(nodes * nodes, np.inf)
    reduced[flat] = left
    used = np.zeros(nodes * nodes)
    used[flat] = answer.x
    constant = float(potentials.sum() + weights.sum())
    return _not_below_0(constant, reduced.reshape(nodes, nodes)), used.reshape(nodes, nodes)


def _not_below_0(constant: float, reduced: NDArray[np.float64]) -> ReducedCosts:
    """Costs that rounding left a hair below 0 go into the bound: each node but the last is left once."""
    below = np.minimum(reduced[:-1].min(axis=1), 0.0)
    reduced[:-1] -= below[:, None]
    return ReducedCosts(constant + float(below.sum()), reduced)


def _violated(problem: OrderingProblem, used: NDArray[np.float64]) -> Iterator[_Cut]:
    """Cuts that the used moves do not keep, no two of them the same."""
    seen: set[bytes] = set()
    first, last, before = 0, problem.nodes - 1, problem.before
    direct = before & ~(before.astype(np.float32) @ before.astype(np.float32) > 0.5)
    for node in range(1, last):
        for source, sink, out in (
            (first, node, before[node]),
            (node, last, before[:, node]),
        ):
            side = _source_side(used, source, sink, out)
            if side is None:
                continue
            entering = np.asarray(before[~side & ~out].any(axis=0), dtype=np.bool_)
            leaving = np.asarray(before[:, side].any(axis=1), dtype=np.bool_)
            yield from _new(side, entering if sink == node else leaving, seen)
    for i, j in np.argwhere(direct[1:-1, 1:-1]) + 1:
        out = before[:, i] | before[j]
        side = _source_side(used, int(i), int(j), out)
        if side is not None:
            yield from _new(side, out, seen)


def _new(side: NDArray[np.bool_], out: NDArray[np.bool_], seen: set[bytes]) -> Iterator[_Cut]:
    moves = np.flatnonzero((side & ~out)[:, None] & (~side & ~out)[None, :])
    if (key := moves.tobytes()) not in seen:
        seen.add(key)
        yield _Cut(moves)


def _source_side(
    used: NDArray[np.float64], source: int, sink: int, out: NDArray[np.bool_]
) -> NDArray[np.bool_] | None:
    """Nodes on the source's side of a smallest cut, with those taken out on neither; None where enough flows."""
    kept = np.where(out[:, None] | out[None, :], 0.0, used)
    capacity = csr_array(np.floor(kept * WHOLE + 0.5).astype(np.int32))
    flow = maximum_flow(capacity, source, sink)
    if flow.flow_value >= WHOLE * (1.0 - VIOLATED):
        return None
    rest = csr_array(capacity - flow.flow)
    rest.data[rest.data < 0] = 0
    rest.eliminate_zeros()
    reached = breadth_first_order(rest, source, return_predecessors=False)
    side = np.zeros(len(used), dtype=np.bool_)
    side[reached] = True
    return side
