"""The cheapest order by its beginnings, a node longer each time: of those with the same nodes and the same last one,
only the cheapest is kept, and none that cannot become better than what is known.

What a beginning can still become is bounded from below by the costs that the duals of a linear program leave. Where
there are more beginnings than the effort allows, the most promising are kept, and the bound is that of the rest.

References
----------
R.E. Bellman, "Dynamic programming treatment of the travelling salesman problem", Journal of the ACM 9 (1962) 61;
E. Balas, P. Toth, "Branch and bound methods", in: Lawler et al., The Traveling Salesman OrderingProblem, Wiley 1985
(both from memory).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tickover.science.planning.sequential_ordering.linear_bound import ReducedCosts
from tickover.science.planning.sequential_ordering.problem import OrderingProblem

__all__ = ["Searched", "gone_through", "searched"]

FAR = 1e15
"""Instead of infinity, which would make NaN of differences."""
ROWS_AT_ONCE = 512
LOOKED_AT = 3
"""Beginnings of which what they leave is counted, for each that is kept."""


@dataclass(frozen=True)
class Searched:
    """The best order found, a cost that no order is below, and how many beginnings were continued."""

    order: tuple[int, ...]
    cost: float
    bound: float
    states: int


@dataclass(frozen=True, eq=False)
class _Layer:
    """Beginnings of one length: nodes in it, last node, cost so far, reduced cost so far, and what came before."""

    seen: NDArray[np.bool_]
    last: NDArray[np.int64]
    spent: NDArray[np.float64]
    reduced: NDArray[np.float64]
    parent: NDArray[np.int64]
    least: NDArray[np.float64]

    def without_nodes(self) -> _Layer:
        return replace(self, seen=self.seen[:0])

    def rows(self, which: NDArray[np.int64] | NDArray[np.bool_]) -> _Layer:
        return _Layer(
            self.seen[which],
            self.last[which],
            self.spent[which],
            self.reduced[which],
            self.parent[which],
            self.least[which],
        )


def searched(problem: OrderingProblem, duals: ReducedCosts, known: tuple[int, ...], width: int) -> Searched:
    """The cheapest order, or what `width` beginnings of each length find.

    Parameters
    ----------
    problem : OrderingProblem
        The nodes, their costs and precedences.
    duals : ReducedCosts
        Costs that a linear program leaves, and the bound that goes with them.
    known : tuple of int
        An order that is allowed.
    width : int
        Beginnings of one length that are kept, 1 or more.

    Returns
    -------
    Searched
        The known order where none is better; the bound is its cost where that is proven.

    Raises
    ------
    OutOfRangeError
        Nothing of its own: the problem has been checked.

    References
    ----------
    As of the module.

    Examples
    --------
    >>> from tickover.science.planning.sequential_ordering.linear_bound import linear_bound
    >>> problem = OrderingProblem.of([[0, 2, 1, 9], [-1, 0, 1, 5], [-1, 1, 0, 1], [-1, -1, -1, 0]])
    >>> searched(problem, linear_bound(problem, 7.0, 1), (0, 2, 1, 3), 100).order
    (0, 1, 2, 3)
    """
    most = problem.improves_on(problem.cost(known))
    ways_on = _ways_on(problem, duals)
    layers = [_beginning(problem, duals)]
    dropped, states = np.inf, 0
    for length in range(1, problem.nodes):
        states += len(layers[-1].last)
        layer = _continued(problem, duals, layers[-1], ways_on[length], most)
        layer, left_out = _most_promising(layer, LOOKED_AT * width)
        dropped = min(dropped, left_out)
        if len(layer.last) and length < problem.nodes - 2:
            layer = _still_promising(problem, duals, layer, most)
        layer, left_out = _most_promising(layer, width)
        dropped = min(dropped, left_out)
        layers = [*layers[:-1], layers[-1].without_nodes(), layer]
        if not len(layer.last):
            break
    return _found(problem, layers, known, max(dropped, duals.bound), states)


def gone_through(
    problem: OrderingProblem, duals: ReducedCosts, known: tuple[int, ...], effort: int
) -> Searched | None:
    """The cheapest order, by all beginnings; None where these are more than `effort`. Arguments as of `searched`.

    Cards with an order of their own leave few beginnings: nothing but equal ones has to be ruled out.
    """
    most = problem.improves_on(problem.cost(known))
    ways_on = _ways_on(problem, duals)
    layers = [_beginning(problem, duals)]
    states = 0
    for length in range(1, problem.nodes):
        states += len(layers[-1].last)
        if states > effort:
            return None
        layer = _continued(problem, duals, layers[-1], ways_on[length], most)
        layers = [*layers[:-1], layers[-1].without_nodes(), layer]
        if not len(layer.last):
            break
    return _found(problem, layers, known, np.inf, states)


def _beginning(problem: OrderingProblem, duals: ReducedCosts) -> _Layer:
    """The first node alone."""
    start = np.zeros((1, problem.nodes), dtype=np.bool_)
    start[0, 0] = True
    none, zero = np.zeros(1), np.zeros(1, dtype=np.int64)
    return _Layer(start, zero, none, none, zero, none + duals.bound)


def _found(
    problem: OrderingProblem, layers: list[_Layer], known: tuple[int, ...], others: float, states: int
) -> Searched:
    """The order of the last layer where there is one, else the known one; no other order costs less than `others`."""
    order = _order(layers) if len(layers[-1].last) else known
    cost = problem.cost(order)
    return Searched(order, cost, problem.rounded_up(min(cost, others)), states)


def _most_promising(layer: _Layer, width: int) -> tuple[_Layer, float]:
    """Those of the lowest bounds, and the lowest bound of the others; infinite where there are none."""
    if len(layer.last) <= width:
        return layer, np.inf
    by_promise = np.argsort(layer.least, kind="stable")
    return layer.rows(np.sort(by_promise[:width])), float(layer.least[by_promise[width]])


def _ways_on(problem: OrderingProblem, duals: ReducedCosts) -> NDArray[np.float64]:
    """The least reduced cost from a node at a place to the end, any node as often as wanted; shape (nodes, nodes)."""
    nodes = problem.nodes
    earliest = problem.before.sum(axis=0)
    latest = nodes - 1 - problem.before.sum(axis=1)
    least = np.full((nodes, nodes), FAR)
    least[-1, -1] = 0.0
    for place in range(nodes - 2, -1, -1):
        on = (duals.costs + least[place + 1][None, :]).min(axis=1)
        least[place] = np.where((earliest <= place) & (place <= latest), np.minimum(on, FAR), FAR)
    return least


def _continued(
    problem: OrderingProblem, duals: ReducedCosts, layer: _Layer, ways_on: NDArray[np.float64], most: float
) -> _Layer:
    """Beginnings a node longer, of equals only the cheapest one."""
    left = ~layer.seen
    ready = left & (left.astype(np.float32) @ problem.before.astype(np.float32) < 0.5)
    reduced = layer.reduced[:, None] + duals.costs[layer.last]
    # what an equal, dearer beginning is bound by holds for the cheaper one less the difference: `least` is handed on
    promise = np.maximum(duals.bound + reduced + ways_on[None, :], layer.least[:, None])
    parent, node = np.nonzero(ready & (promise <= most))
    spent = layer.spent[parent] + problem.costs[layer.last[parent], node]
    seen = layer.seen[parent]
    seen[np.arange(len(node)), node] = True
    longer = _Layer(seen, node, spent, reduced[parent, node], parent, promise[parent, node])
    words = np.packbits(seen, axis=1)
    words = np.pad(words, ((0, 0), (0, -words.shape[1] % 8))).view(np.uint64)
    by_equal = np.lexsort((-longer.least, spent, node, *words.T))
    first = np.ones(len(node), dtype=np.bool_)
    first[1:] = (node[by_equal][1:] != node[by_equal][:-1]) | (
        words[by_equal][1:] != words[by_equal][:-1]
    ).any(axis=1)
    return longer.rows(by_equal[first])


def _still_promising(problem: OrderingProblem, duals: ReducedCosts, layer: _Layer, most: float) -> _Layer:
    """Beginnings that the nodes they leave do not rule out: each has to be entered and left, whatever the order."""
    costs = np.minimum(duals.costs, FAR)
    left_over = np.empty(len(layer.last))
    for start in range(0, len(layer.last), ROWS_AT_ONCE):
        part = slice(start, start + ROWS_AT_ONCE)
        left_over[part] = _to_enter_and_leave(costs, ~layer.seen[part], layer.last[part])
    least = np.maximum(layer.least, duals.bound + layer.reduced + left_over)
    return replace(layer, least=least).rows(least <= most)


def _to_enter_and_leave(
    costs: NDArray[np.float64], left: NDArray[np.bool_], last: NDArray[np.int64]
) -> NDArray[np.float64]:
    """The least reduced cost of leaving each node but the end, then of entering each on top of that."""
    rows, nodes = left.shape
    leaving = left.copy()
    leaving[np.arange(rows), last] = True
    leaving[:, -1] = False
    entered = np.where(left, 0.0, FAR)
    out = np.full((rows, nodes), FAR)
    for node in range(1, nodes):
        np.minimum(out, costs[:, node][None, :] + entered[:, [node]], out=out)
    out = np.where(leaving, out, 0.0)
    base = np.where(leaving, -out, FAR)
    into = np.full((rows, nodes), FAR)
    for node in range(nodes - 1):
        np.minimum(into, costs[node][None, :] + base[:, [node]], out=into)
    return np.asarray(np.minimum(out.sum(axis=1) + np.where(left, into, 0.0).sum(axis=1), FAR))


def _order(layers: list[_Layer]) -> tuple[int, ...]:
    """The cheapest of the last layer, from its end to its beginning and turned round."""
    at = int(np.argmin(layers[-1].spent))
    order = []
    for layer in reversed(layers):
        order.append(int(layer.last[at]))
        at = int(layer.parent[at])
    return tuple(reversed(order))
