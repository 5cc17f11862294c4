"""A good order to begin with: the cheapest next node each time, then neighbouring segments exchanged.

Two neighbouring segments change places where no node of the first comes before one of the second. No segment is
turned round, so that costs may differ there and back. A dearer order is taken now and then, ever more rarely.

References
----------
L.M. Gambardella, M. Dorigo, "An ant colony system hybridized with a new local search for the sequential ordering
problem", INFORMS Journal on Computing 12 (2000) 237: the exchange of segments that keeps precedences;
S. Kirkpatrick, C.D. Gelatt, M.P. Vecchi, "Optimization by simulated annealing", Science 220 (1983) 671
(both from memory).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from tickover.science.planning.sequential_ordering.problem import OrderingProblem

__all__ = ["improved", "next_cheapest"]

SHORT, LONG = 4, 40
"""Most nodes in one of the two segments, and in the other."""
WARMEST, COLDEST = 2.0, 0.01
"""Shares of the mean cost of a move by which an order may become dearer, at the beginning and at the end."""


def next_cheapest(problem: OrderingProblem) -> tuple[int, ...]:
    """From the first node on, the nearest of those that have nothing left before them.

    There is always one: the precedences are in order, and a move is missing only where another node comes between.
    """
    waits = problem.before.sum(axis=0) - problem.before[0]
    order, left = [0], set(range(1, problem.nodes))
    while left:
        ready = [node for node in sorted(left) if waits[node] == 0]
        nearest = min(ready, key=lambda node: problem.costs[order[-1], node])
        order.append(nearest)
        left.discard(nearest)
        waits = waits - problem.before[nearest]
    return tuple(order)


def improved(problem: OrderingProblem, order: Sequence[int], trials: int, seed: int) -> tuple[int, ...]:
    """The cheapest order that a number of exchanges comes by, the same each time; not proven the cheapest.

    Parameters
    ----------
    problem : OrderingProblem
        The nodes, their costs and precedences.
    order : sequence of int
        An order that is allowed.
    trials : int
        Exchanges tried, 0 or more.
    seed : int
        Of the random choice, 0 or more.

    Returns
    -------
    tuple of int
        An allowed order that costs no more than the given one.

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
    >>> improved(problem, (0, 2, 1, 3), 100, 1)
    (0, 1, 2, 3)
    """
    nodes = problem.nodes
    if nodes < 4:
        return tuple(order)
    costs = problem.costs.tolist()
    after = [sum(1 << int(node) for node in np.flatnonzero(row)) for row in problem.before]
    now, spent = list(order), problem.cost(order)
    best, least = list(now), spent
    for place, first, both, dearer in _exchanges(nodes, spent / (nodes - 1), trials, seed):
        start, middle, end = place, place + first, place + both
        if end >= nodes - 1:
            continue
        # the node before the two segments, the first and last of each, and the node after them
        a, b, c, d, e, f = (now[start], now[start + 1], now[middle], now[middle + 1], now[end], now[end + 1])
        saved = costs[a][b] + costs[c][d] + costs[e][f] - (costs[a][d] + costs[e][b] + costs[c][f])
        if saved < -dearer or _clash(after, now[start + 1 : middle + 1], now[middle + 1 : end + 1]):
            continue
        now[start + 1 : end + 1] = now[middle + 1 : end + 1] + now[start + 1 : middle + 1]
        spent -= saved
        if spent < least - 1e-9:
            best, least = list(now), spent
    return tuple(best)


def _exchanges(nodes: int, mean: float, trials: int, seed: int) -> Iterator[tuple[int, int, int, float]]:
    """Place before two segments, nodes in the first and in both, and by how much the order may become dearer."""
    random = np.random.default_rng(seed)
    most = nodes - 3
    short = random.integers(1, min(SHORT, most) + 1, trials)
    long = random.integers(1, min(LONG, most) + 1, trials)
    first = np.where(random.integers(0, 2, trials) == 0, short, long)
    dearer = np.geomspace(WARMEST, COLDEST, trials) * mean * random.exponential(1.0, trials)
    places = random.integers(0, nodes - 3, trials)
    return zip(places.tolist(), first.tolist(), (short + long).tolist(), dearer.tolist(), strict=True)


def _clash(after: Sequence[int], first: Sequence[int], second: Sequence[int]) -> bool:
    """Whether a node of the first segment comes before one of the second; bits of `after` are nodes."""
    follows = 0
    for node in first:
        follows |= after[node]
    return any(follows >> node & 1 for node in second)
