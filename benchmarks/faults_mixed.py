"""When is a look worth its minutes? Looks and repairs mixed as the next step says, until the fault is gone.

Cases with one cause, drawn from the fault table that judges them. A repair shows at once whether it was the one; if
not, that cause is ruled out and looking goes on. A look goes first if it saves more than so many times its minutes.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from benchmarks.faults import Flags, Floats, Shop, drawn, error, saved, shop
from tickover.science.faults import Evidence
from tickover.science.faults.posterior import Posterior, posterior
from tickover.science.faults.repair import repair_order

CASES, STEPS, SEED = 200, 150, 21
TIMES = (1.0, 2.0, 4.0, 8.0)


class Case(NamedTuple):
    """The cause, what shows, and what the owner told."""

    cause: int
    shows: Flags
    told: list[int]


class Spent(NamedTuple):
    """Until the fault is gone."""

    minutes: float
    looks: int
    repairs: int


def cases(here: Shop) -> Iterator[Case]:
    """Cases with one cause, and one or two findings told."""
    rng = np.random.default_rng(SEED)
    for causes, shows in drawn(here.network, here.questions, rng):
        if causes.sum() == 1:
            seen = rng.permutation(np.flatnonzero(shows[: here.questions]))[: rng.integers(1, 3)]
            yield Case(int(causes.argmax()), shows, seen.tolist())


def course(here: Shop, has: Flags, case: Case, times: float) -> Spent:
    """Look or repair, whatever comes next, until the cause is put right."""
    weights, asked = posterior(here.network).weights, np.zeros(len(here.minutes), dtype=bool)
    asked[case.told] = True
    weights = _scaled(weights * np.prod(here.network.shows[case.told], axis=0))
    opened, minutes, looks = np.zeros(len(here.opening_min), dtype=bool), 0.0, 0
    for step in range(STEPS):
        cost = here.minutes + (here.needs & ~opened) @ here.opening_min
        if (np.where(asked, 0.0, saved(here, weights) / cost) > times).any():
            now = Posterior(here.network, Evidence(), weights, 0.0, 0.0)
            pick = int(np.where(asked, -1.0, now.bits / cost).argmax())
            minutes, looks = minutes + float(cost[pick]), looks + 1
            opened, asked[pick] = opened | here.needs[pick], True
            likely = here.network.shows[pick]
            weights = _scaled(weights * (likely if case.shows[pick] else 1 - likely))
            continue
        shares = (here.network.table.members @ weights)[: len(has)]
        first = repair_order(shares, here.choices.repair_min).order[0]
        minutes += float(here.choices.repair_min[first])
        if first == case.cause:
            return Spent(minutes, looks, step + 1 - looks)
        weights = _scaled(weights * ~has[first])
    raise RuntimeError(f"not found in {STEPS} steps")


def _scaled(weights: Floats) -> Floats:
    return np.asarray(weights / weights.sum(), dtype=np.float64)


def main() -> None:
    """Print minutes, looks and repairs by how much a look must save, compared on the same cases."""
    here = shop()
    has = here.network.table.members[: len(here.network.causes)].toarray() > 0
    first: Floats | None = None
    for times in TIMES:
        spent = [course(here, has, case, times) for case, _ in zip(cases(here), range(CASES), strict=False)]
        minutes, looks, repairs = (np.array(column, dtype=np.float64) for column in zip(*spent, strict=True))
        first = minutes if first is None else first
        less = first - minutes
        print(
            f"a look must save {times:g} times its minutes: {minutes.mean():.0f} min +- {error(minutes):.0f}, half "
            f"{np.median(minutes):.0f}, {looks.mean():.0f} looks, {repairs.mean():.1f} repairs; "
            f"less than with 1 by {less.mean():.0f} +- {error(less):.0f}"
        )


if __name__ == "__main__":
    main()
