"""Order work with set-up costs and precedences: this program's search, and CP-SAT of OR-Tools in as much time."""

from __future__ import annotations

import time
from typing import NamedTuple

import numpy as np

from tickover.science.planning.sequential_ordering import sequential_order

Matrix = list[list[int]]


class Case(NamedTuple):
    """Blocks in so many cards, each of which keeps its own order, and how much effort they may take."""

    name: str
    blocks: int
    cards: int
    effort: int


CASES = (
    Case("a visit of 20 blocks", 20, 5, 50_000),
    Case("a visit of 30 blocks", 30, 5, 50_000),
    Case("a visit of 40 blocks", 40, 5, 50_000),
    Case("30 blocks of 15 cards", 30, 15, 50_000),
    Case("50 blocks of 5 cards", 50, 5, 50_000),
    Case("50 blocks of 12 cards", 50, 12, 50_000),
)
SEEDS = (1, 2)


def blocks(count: int, cards: int, seed: int) -> Matrix:
    """Made-up blocks behind eight openings, dear to open and half as dear to close, in cards that keep their order."""
    random = np.random.default_rng(seed)
    opened, minutes = random.integers(0, 2, (count, 8)), random.integers(2, 20, 8)
    opening = ((1 - opened[:, None, :]) * opened[None, :, :] * minutes).sum(axis=2)
    costs = opening + opening.T // 2
    card = random.integers(0, cards, count)
    for later in range(1, count - 1):
        for earlier in range(1, later):
            if card[later] == card[earlier]:
                costs[later, earlier] = -1
    costs[1:, 0] = costs[-1, :-1] = -1
    return [[int(cost) for cost in row] for row in costs]


def by_cp_sat(costs: Matrix, seconds: float) -> tuple[float, float]:
    """Cost and bound that CP-SAT comes to in so many seconds on one core; infinite where it finds no order."""
    from ortools.sat.python import cp_model

    nodes = len(costs)
    model = cp_model.CpModel()
    place = [model.new_int_var(0, nodes - 1, f"place {node}") for node in range(nodes)]
    arcs = [(nodes - 1, 0, model.new_constant(1))]
    terms = []
    for a in range(nodes):
        for b in range(nodes):
            if a == b or costs[a][b] == -1 or (a, b) == (0, nodes - 1):
                continue
            used = model.new_bool_var(f"{a} {b}")
            arcs.append((a, b, used))
            terms.append(costs[a][b] * used)
            model.add(place[b] == place[a] + 1).only_enforce_if(used)
        for b in range(nodes):
            if costs[a][b] == -1 and a != b:
                model.add(place[b] < place[a])
    model.add_circuit(arcs)
    model.minimize(sum(terms))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers, solver.parameters.random_seed = 1, 1
    solver.parameters.max_time_in_seconds = seconds
    status = solver.solve(model)
    found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    return (solver.objective_value if found else float("inf")), solver.best_objective_bound


def main() -> None:
    """For each case: milliseconds, cost and bound here, then cost and bound there in the same time."""
    print("  cost and bound: here | CP-SAT, one core, the same seconds")
    for case in CASES:
        for seed in SEEDS:
            costs = blocks(case.blocks, case.cards, seed)
            begun = time.perf_counter()
            here = sequential_order(costs, case.effort)
            seconds = time.perf_counter() - begun
            cost, bound = by_cp_sat(costs, seconds)
            proven = "proven" if here.is_optimal else "not proven"
            print(
                f"  {case.name:22} {1000 * seconds:7.0f} ms   {here.cost:5.0f} {here.lower_bound:5.0f} "
                f"{proven:10} | {cost:5.0f} {bound:5.0f}",
                flush=True,
            )


if __name__ == "__main__":
    main()
