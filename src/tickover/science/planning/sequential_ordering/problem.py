"""Which orders does a matrix of costs and precedences allow, and which moves from one node to the next?

References
----------
N. Ascheuer, M. Jünger, G. Reinelt, "A branch & cut algorithm for the asymmetric traveling salesman problem with
precedence constraints", Computational Optimization and Applications 17 (2000) 61 (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tickover.science.core.input_checks import OutOfRangeError, checked

__all__ = ["COSTLIEST", "MOST_NODES", "OrderingProblem"]

MOST_NODES = 400
COSTLIEST = 1e9
BEFORE = -1.0


@dataclass(frozen=True, eq=False)
class OrderingProblem:
    """Nodes to put in order, the first one first and the last one last.

    `costs`: from row to column, infinite where no order has the two one after the other; shape (nodes, nodes).
    `before`: whether the row's node comes before the column's, what follows from others included.
    `whole`: whether all costs are whole numbers, so that a better order is better by 1 or more.
    """

    costs: NDArray[np.float64]
    before: NDArray[np.bool_]
    whole: bool

    @property
    def nodes(self) -> int:
        """How many nodes there are, the first and the last one included."""
        return len(self.costs)

    def cost(self, order: Sequence[int]) -> float:
        """What an order costs, in the unit of the costs; infinite for one that is not allowed."""
        return float(self.costs[list(order[:-1]), list(order[1:])].sum())

    def improves_on(self, cost: float) -> float:
        """The most that a better order than one of this cost may cost."""
        return cost - 1.0 + 1e-6 if self.whole else cost - 1e-9 * max(1.0, abs(cost))

    def rounded_up(self, bound: float) -> float:
        """The least cost that an order can have when none is below `bound`."""
        return float(np.ceil(bound - 1e-6)) if self.whole and np.isfinite(bound) else bound

    def reversed(self) -> OrderingProblem:
        """The same nodes from the last to the first."""
        return OrderingProblem(self.costs.T[::-1, ::-1].copy(), self.before.T[::-1, ::-1].copy(), self.whole)

    @classmethod
    def of(cls, matrix: ArrayLike) -> OrderingProblem:
        """The problem that a matrix gives; OutOfRangeError for a matrix that is none, or that contradicts itself."""
        given = checked("costs", matrix, BEFORE, COSTLIEST)
        shape = np.shape(given)
        if len(shape) != 2 or shape[0] != shape[1] or not 2 <= shape[0] <= MOST_NODES:
            raise OutOfRangeError(
                f"costs must have as many rows as columns, 2 to {MOST_NODES}; their shape is {shape}"
            )
        if (wrong := np.argwhere((given < 0.0) & (given != BEFORE))).size:
            row, column = (int(at) for at in wrong[0])
            raise OutOfRangeError(
                f"cost from node {row} to node {column} must be 0 or more, or -1 for 'comes before'; "
                f"got {given[row, column]:.10g}"
            )
        direct = (given == BEFORE).T
        direct[0, 1:] = direct[:-1, -1] = True
        before = _with_what_follows(direct)
        between = before.astype(np.float32) @ before.astype(np.float32) > 0.5
        allowed = ~(before.T | between | np.eye(shape[0], dtype=np.bool_))
        costs = np.where(allowed & (given != BEFORE), given, np.inf)
        return cls(costs, before, bool((given == np.round(given)).all()))


def _with_what_follows(direct: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Precedences and all that follows from them; refused when a node would come before itself."""
    before = direct.copy()
    for node in range(len(before)):
        before |= before[:, [node]] & before[[node], :]
    if before.diagonal().any():
        ring = _ring(direct, before)
        words = " before ".join(str(node) for node in ring)
        raise OutOfRangeError(f"precedences contradict each other: node {words}. Take one of them out")
    return before


def _ring(direct: NDArray[np.bool_], before: NDArray[np.bool_]) -> list[int]:
    """Nodes that come before one another all the way round, as few as there are, the first one again at the end."""
    rings = [_back_to(int(start), direct) for start in np.flatnonzero(before.diagonal())]
    return min(rings, key=len)


def _back_to(start: int, direct: NDArray[np.bool_]) -> list[int]:
    """The shortest way from a node back to itself."""
    ways = [[start]]
    seen: set[int] = set()
    while True:
        longer = []
        for way in ways:
            for node in (int(node) for node in np.flatnonzero(direct[way[-1]])):
                if node == start:
                    return [*way, start]
                if node not in seen:
                    seen.add(node)
                    longer.append([*way, node])
        ways = longer
