"""The cheapest order that keeps precedences: as published, as counted one by one, bounded, and the same each time."""

from __future__ import annotations

from itertools import pairwise, permutations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.science.planning.sequential_ordering.published_instances import OPTIMUM
from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.planning.sequential_ordering import SequentialOrder, sequential_order

Matrix = list[list[float]]


@st.composite
def problems(draw: st.DrawFn) -> Matrix:
    """Up to 9 nodes, whole costs or not, and precedences that go along with one hidden order."""
    nodes = draw(st.integers(2, 9))
    hidden = [0, *draw(st.permutations(range(1, nodes - 1))), nodes - 1]
    cost = draw(st.sampled_from([st.integers(0, 30), st.integers(0, 3), st.floats(0.0, 30.0)]))
    costs = [[float(draw(cost)) for _ in range(nodes)] for _ in range(nodes)]
    for later in range(nodes):
        for earlier in range(later):
            if draw(st.integers(0, 3)) == 0:
                costs[hidden[later]][hidden[earlier]] = -1.0
    return costs


def cost_of(costs: Matrix, order: tuple[int, ...]) -> float:
    return sum(costs[a][b] for a, b in pairwise(order))


def keeps(costs: Matrix, order: tuple[int, ...]) -> bool:
    place = {node: at for at, node in enumerate(order)}
    return all(
        costs[later][earlier] != -1 or place[earlier] < place[later] for later in place for earlier in place
    )


def least_by_trying_all(costs: Matrix) -> float:
    between = permutations(range(1, len(costs) - 1))
    orders = ((0, *inner, len(costs) - 1) for inner in between)
    return min(cost_of(costs, order) for order in orders if keeps(costs, order))


def sound(costs: Matrix, found: SequentialOrder) -> bool:
    """Whether an answer is an order, costs what it says, and claims no more than its bound."""
    whole = sorted(found.order) == list(range(len(costs)))
    ends = found.order[0] == 0 and found.order[-1] == len(costs) - 1
    claims = found.is_optimal == (found.lower_bound >= found.cost - 1e-9 * max(1.0, found.cost))
    return (
        whole
        and ends
        and keeps(costs, found.order)
        and found.cost == pytest.approx(cost_of(costs, found.order))
        and found.lower_bound <= found.cost
        and claims
    )


@pytest.mark.parametrize("name", OPTIMUM)
def test_a_published_instance_comes_out_at_its_optimum_and_is_proven(name: str) -> None:
    costs, optimum = OPTIMUM[name]
    found = sequential_order(costs)
    assert (found.cost, found.lower_bound, found.is_optimal) == (optimum, optimum, True)
    assert sound([[float(cost) for cost in row] for row in costs], found)


@settings(deadline=None, max_examples=150)
@given(problems())
def test_no_order_of_up_to_9_nodes_is_cheaper(costs: Matrix) -> None:
    found = sequential_order(costs)
    assert sound(costs, found)
    assert found.is_optimal
    assert found.cost == pytest.approx(least_by_trying_all(costs), abs=1e-7)


@settings(deadline=None, max_examples=60)
@given(problems(), st.integers(1, 60))
def test_a_bound_is_below_the_cheapest_order_however_small_the_effort(costs: Matrix, effort: int) -> None:
    found = sequential_order(costs, effort)
    assert sound(costs, found)
    assert found.lower_bound <= least_by_trying_all(costs) + 1e-7 <= found.cost + 2e-7


def blocks(nodes: int, seed: int) -> Matrix:
    """Work with openings: what the next block needs open or closed is paid on the way; cards of five."""
    random = np.random.default_rng(seed)
    opened, minutes = random.integers(0, 2, (nodes, 8)), random.integers(2, 20, 8)
    opening = ((1 - opened[:, None, :]) * opened[None, :, :] * minutes).sum(axis=2)
    costs = (opening + opening.T // 2).astype(float)
    for node in range(1, nodes - 1):
        if node % 5 != 1:
            costs[node][node - 1] = -1.0
    return [[float(cost) for cost in row] for row in costs]


@pytest.mark.parametrize("nodes", [24, 40])
def test_what_is_too_much_for_the_effort_is_bounded_and_the_same_each_time(nodes: int) -> None:
    costs = blocks(nodes, 1)
    little, again, more = (
        sequential_order(costs, 500),
        sequential_order(costs, 500),
        sequential_order(costs, 3_000),
    )
    assert little == again
    assert sound(costs, little) and sound(costs, more)
    assert max(little.lower_bound, more.lower_bound) <= min(little.cost, more.cost)
    assert more.lower_bound >= little.lower_bound


def test_turned_round_the_optimum_is_the_same() -> None:
    costs = np.array(blocks(18, 3))
    there, back = sequential_order(costs), sequential_order(costs.T[::-1, ::-1])
    assert there.is_optimal and back.is_optimal
    assert there.cost == back.cost


def test_the_first_node_comes_first_and_the_last_one_last_without_saying_so() -> None:
    found = sequential_order([[0, 5, 5, 0], [0, 0, 1, 7], [0, 9, 0, 2], [0, 0, 0, 0]])
    assert (found.order, found.cost) == ((0, 1, 2, 3), 8.0)


def test_two_nodes_have_one_order() -> None:
    assert sequential_order([[0, 4], [-1, 0]]).order == (0, 1)


@pytest.mark.parametrize(
    ("costs", "words"),
    [
        ([[0, 1, 1, 1], [0, 0, -1, 1], [0, -1, 0, 1], [0, 0, 0, 0]], "node 1 before 2 before 1"),
        ([[0, -1, 1], [-1, 0, 1], [-1, -1, 0]], "node 0 before 1 before 0"),
        ([[0, 1, 1], [-1, 0, 1], [-1, -1, -1]], "node 2 before 2"),
        ([[0, 1, 1], [-1, 0, -0.5], [-1, -1, 0]], "cost from node 1 to node 2 must be 0 or more"),
        ([[0, 1, 1], [-1, 0, 1]], "as many rows as columns"),
        ([[0]], "as many rows as columns"),
        ([[0, 1], [-1]], "must be a number or an array of numbers"),
        ([[0, float("nan")], [-1, 0]], "missing"),
        ([[0, 2e9], [-1, 0]], "between -1 and"),
    ],
)
def test_what_is_no_problem_is_refused_and_says_where(costs: Matrix, words: str) -> None:
    with pytest.raises(OutOfRangeError, match=words):
        sequential_order(costs)


@pytest.mark.parametrize("effort", [0, 20_000_001, 1.5])
def test_an_effort_out_of_range_is_refused(effort: int) -> None:
    with pytest.raises(OutOfRangeError, match="effort"):
        sequential_order([[0, 4], [-1, 0]], effort)
