"""On which day does each of many things fall, when things on one day share what has to be opened?

Each thing has its own cost on each day it may fall on. What a day opens is paid once, whatever number of
things need it. The cheapest choice is an integer program, solved by branch and bound with a lower bound: the
answer says whether it is proven the cheapest, or how far from it it may be.

Notes
-----
Costs are counted in thousandths, since the solver counts in whole numbers. One thread, a fixed seed and a limit
on the work done rather than on the clock give the same answer each time, with one version of the solver.

References
----------
CP-SAT of OR-Tools, Apache-2.0, https://developers.google.com/optimization
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from tickover.science.core.input_checks import OutOfRangeError, checked_one
from tickover.science.core.kinds import checked_fields, kinds_checked

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

__all__ = ["EFFORT", "Item", "Schedule", "cheapest_days", "cost_of"]

THOUSANDTHS = 1000
COSTLIEST = 1e9
"""The solver counts in 64 bits: sums of larger costs would not fit."""
EFFORT = 3.0
"""Work before the solver stops without a proof, in its own unit: some one to three seconds each."""


Falls = Sequence[Mapping[int, "cp_model.IntVar"]]


@dataclass(frozen=True)
class Item:
    """Something that falls on one day.

    `costs`: its own cost, 0 or more, on each day it may fall on. `opens`: what has to be open for it. Things of
    the same `name` never share a day.
    """

    name: str
    costs: Mapping[int, float]
    opens: frozenset[str] = frozenset()

    def __post_init__(self) -> None:
        checked_fields(self)
        for cost in self.costs.values():
            checked_one(f"cost of {self.name}", cost, 0.0, COSTLIEST)


@dataclass(frozen=True)
class SolverResult:
    """What a search came to; no cost is below `bound`."""

    days: tuple[int, ...]
    bound: float
    proven: bool


@dataclass(frozen=True)
class Schedule:
    """A day for each thing; no other choice costs less than `bound`."""

    days: tuple[int, ...]
    cost: float
    bound: float
    proven: bool


@kinds_checked
def cheapest_days(things: Sequence[Item], prices: Mapping[str, float], effort: float = EFFORT) -> Schedule:
    """Choose a day for each thing so that their costs and what their days open cost least together.

    Parameters
    ----------
    things : sequence of Thing
    prices : mapping from str to float
        What each opening costs on each day it is needed, 0 or more.
    effort : float
        Work before the solver stops without a proof.

    Returns
    -------
    Schedule

    Raises
    ------
    OutOfRangeError
        For a thing with no day to fall on, things of one name with too few days between them, or an effort
        that is not above 0.
    """
    from ortools.sat.python import cp_model  # here, since every start would pay for it

    for thing in things:
        _refuse_unpriced(thing, prices)
        if not thing.costs:
            raise OutOfRangeError(f"{thing.name} has no day it may fall on")
    model = cp_model.CpModel()
    falls = [
        {day: model.new_bool_var(f"{n} on {day}") for day in things[n].costs} for n in range(len(things))
    ]
    _one_day_each_and_apart(model, things, falls)
    opened = _open_once(model, things, falls, prices)
    own = [(things[n].costs[day], flag) for n, days in enumerate(falls) for day, flag in days.items()]
    terms = own + [(prices[name], flag) for (name, _), flag in opened.items()]
    model.minimize(sum(round(THOUSANDTHS * cost) * flag for cost, flag in terms))
    found = best(model, falls, _first_guess(things, prices), effort)
    cost = cost_of(found.days, things, prices)
    return Schedule(found.days, cost, cost if found.proven else min(cost, found.bound), found.proven)


def best(model: cp_model.CpModel, falls: Falls, guess: Sequence[int], effort: float) -> SolverResult:
    """Search for the least of a cost that is nowhere below 0, beginning from a guess.

    Parameters
    ----------
    model : cp_model.CpModel
        With its objective, in thousandths; the hints it has are replaced.
    falls : sequence of mappings from day to flag
        For each thing, the flag of each day it may fall on.
    guess : sequence of int
        A possible day for each thing, the answer if the effort finds none better; empty where none is known.
    effort : float
        Work before the search stops.
    """
    from ortools.sat.python import cp_model

    if not effort > 0.0:
        raise OutOfRangeError(f"the effort must be above 0, not {effort}")
    model.clear_hints()  # type: ignore[no-untyped-call]
    for on, day in zip(falls, guess, strict=False):
        for other, flag in on.items():
            model.add_hint(flag, other == day)
    search = _same_each_time(effort)
    status = search.solve(model)
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        days = tuple(next(day for day, flag in on.items() if search.boolean_value(flag)) for on in falls)
        bound = max(0.0, search.best_objective_bound) / THOUSANDTHS
        return SolverResult(days, bound, status == cp_model.OPTIMAL)
    if status == cp_model.INFEASIBLE:
        raise OutOfRangeError("things of one name have too few days between them")
    if len(guess) < len(falls):
        raise OutOfRangeError(f"an effort of {effort:g} was too small to find any choice: give more")
    return SolverResult(tuple(guess), 0.0, False)


def _same_each_time(effort: float) -> cp_model.CpSolver:
    from ortools.sat.python import cp_model

    search = cp_model.CpSolver()
    search.parameters.num_workers = 1
    search.parameters.random_seed = 1
    search.parameters.linearization_level = 2  # bounds from the linear program, which are nearly sharp here
    search.parameters.max_deterministic_time = effort
    return search


def _first_guess(things: Sequence[Item], prices: Mapping[str, float]) -> list[int]:
    """Each thing in turn where it adds least; empty when one finds its days taken by its own name."""
    opened: set[tuple[str, int]] = set()
    taken: set[tuple[str, int]] = set()
    days: list[int] = []
    for thing in things:
        free = [day for day in thing.costs if (thing.name, day) not in taken]
        if not free:
            return []
        added = {
            day: thing.costs[day] + sum(prices[o] for o in sorted(thing.opens) if (o, day) not in opened)
            for day in free
        }
        days.append(min(free, key=lambda day: added[day]))
        taken.add((thing.name, days[-1]))
        opened.update((o, days[-1]) for o in thing.opens)
    return days


@kinds_checked
def cost_of(days: Sequence[int], things: Sequence[Item], prices: Mapping[str, float]) -> float:
    """What a choice of days costs: each thing on its day, and on each day each opening once.

    Returns
    -------
    float

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.
    """
    if len(days) != len(things):
        raise OutOfRangeError(f"each thing needs its day; got {len(days)} days for {len(things)} things")
    for day, thing in zip(days, things, strict=True):
        _refuse_unpriced(thing, prices)
        if day not in thing.costs:
            raise OutOfRangeError(
                f"{thing.name} may not fall on day {day}; it may on {', '.join(map(str, thing.costs))}"
            )
    opened = {(day, name) for day, thing in zip(days, things, strict=True) for name in thing.opens}
    own = sum(thing.costs[day] for day, thing in zip(days, things, strict=True))
    return own + sum(prices[name] for _, name in opened)


def _refuse_unpriced(thing: Item, prices: Mapping[str, float]) -> None:
    for name in sorted(thing.opens):
        if name not in prices:
            raise OutOfRangeError(f"{thing.name} needs {name} open, and that has no price")
        checked_one(f"price of {name}", prices[name], 0.0, COSTLIEST)


def _one_day_each_and_apart(model: cp_model.CpModel, things: Sequence[Item], falls: Falls) -> None:
    same: dict[tuple[str, int], list[cp_model.IntVar]] = {}
    for thing, days in zip(things, falls, strict=True):
        model.add_exactly_one(days.values())
        for day, flag in days.items():
            same.setdefault((thing.name, day), []).append(flag)
    for flags in same.values():
        model.add_at_most_one(flags)


def _open_once(
    model: cp_model.CpModel, things: Sequence[Item], falls: Falls, prices: Mapping[str, float]
) -> dict[tuple[str, int], cp_model.IntVar]:
    """A flag for each opening on each day, true when a thing that needs it falls there."""
    opened: dict[tuple[str, int], cp_model.IntVar] = {}
    for thing, days in zip(things, falls, strict=True):
        for name in sorted(name for name in thing.opens if prices[name] > 0.0):
            for day, flag in days.items():
                if (name, day) not in opened:
                    opened[name, day] = model.new_bool_var(f"{name} on {day}")
                model.add_implication(flag, opened[name, day])
    return opened
