"""A day for each thing: kept apart, opened once, and sound when the search is cut short."""

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tickover.science.planning.schedule_solver import Item, cheapest_days, cost_of

PRICES = {"hood": 18.0, "cover": 6.0, "nothing": 0.0}
THINGS = st.builds(
    Item,
    st.sampled_from(["plug", "reed", "hose"]),
    st.dictionaries(st.integers(0, 5), st.integers(0, 40), min_size=1, max_size=4),
    st.frozensets(st.sampled_from(list(PRICES))),
)


def apart(things: list[Item], days: tuple[int, ...]) -> bool:
    falls = [(thing.name, day) for thing, day in zip(things, days, strict=True)]
    return len(set(falls)) == len(falls)


@settings(deadline=None, max_examples=80)
@given(st.lists(THINGS, max_size=5), st.sampled_from([1e-9, 3.0]))
def test_no_other_choice_of_days_is_cheaper(things: list[Item], effort: float) -> None:
    every = [days for days in product(*(t.costs for t in things)) if apart(things, days)]
    if not every:
        with pytest.raises(ValueError, match=r"too few days|too small"):
            cheapest_days(things, PRICES, effort)
        return
    least = min(cost_of(days, things, PRICES) for days in every)
    try:
        choice = cheapest_days(things, PRICES, effort)
    except ValueError as error:
        assert effort < 1.0 and "too small" in str(error)
        return
    assert choice.days in every
    assert choice.bound <= least <= choice.cost
    assert choice.proven == (choice.bound == choice.cost) or effort < 1.0
    assert choice.cost == least or not choice.proven


def test_a_shared_opening_draws_two_things_to_one_day() -> None:
    kit, reed = (
        Item(name, {day: 0.0, day + 5: 4.0}, frozenset({"hood"})) for name, day in (("a", 5), ("b", 10))
    )
    choice = cheapest_days([kit, reed], PRICES)
    assert (choice.days, choice.cost, choice.proven) == ((10, 10), 22.0, True)


def test_the_same_task_is_not_done_twice_on_one_day() -> None:
    plugs = [Item("plug", {5: 0.0, 6: 3.0}, frozenset({"hood"}))] * 2
    assert sorted(cheapest_days(plugs, PRICES).days) == [5, 6]


def test_one_day_for_two_times_of_a_task_is_refused() -> None:
    with pytest.raises(ValueError, match="things of one name have too few days between them"):
        cheapest_days([Item("plug", {5: 0.0})] * 2, {})


def test_a_thing_without_a_day_is_named() -> None:
    with pytest.raises(ValueError, match="plug has no day it may fall on"):
        cheapest_days([Item("plug", {})], {})


@pytest.mark.parametrize("effort", [0.0, -1.0, float("nan")])
def test_an_effort_of_nothing_is_refused(effort: float) -> None:
    with pytest.raises(ValueError, match="effort must be above 0"):
        cheapest_days([Item("plug", {5: 0.0})], {}, effort)
