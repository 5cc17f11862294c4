"""How many minutes until the fault is gone, looks and repairs together? For several ways to go about it.

Cases are drawn from the fault table that judges them, as in the bench of faults. Repairs go by chance over minutes
until every cause that is present is put right; a repair is supposed to show at once whether it was one.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from benchmarks.faults import (
    Batch,
    Flags,
    Floats,
    Score,
    Shop,
    batches,
    by_information,
    by_saving,
    error,
    lists,
    shop,
)
from tickover.science.faults import Evidence
from tickover.science.faults.next import repair_minutes_after
from tickover.science.faults.posterior import Posterior
from tickover.science.faults.repair import repair_order

LOOKS, CASES = 30, 1000
JUDGED_EVERY = 5


@dataclass
class Course:
    """Minutes of each case with repairs begun after so many looks; whether a look still paid then."""

    total: list[Floats]
    pays: list[Flags]


def repairing(here: Shop, case: Batch) -> Floats:
    """Minutes of repairs from here until every cause that is present is put right, shape (cases,)."""
    shares = (here.network.table.members @ case.weights.T)[: len(here.network.causes)].T
    order = np.argsort(-shares / here.choices.repair_min, axis=1, kind="stable")
    spent = np.cumsum(here.choices.repair_min[order], axis=1)
    present = np.take_along_axis(case.causes, order, axis=1)
    last = present.shape[1] - 1 - present[:, ::-1].argmax(axis=1)
    return np.asarray(spent[np.arange(len(last)), last])


def paying(here: Shop, case: Batch) -> Flags:
    """Whether some look saves more minutes of repair than it takes, shape (cases,)."""
    cost = case.cost(here)
    found = []
    for weights, asked, minutes in zip(case.weights, case.asked, cost, strict=True):
        now = Posterior(here.network, Evidence(), weights, 0.0, 0.0)
        after = repair_minutes_after(now, range(len(minutes)), here.choices.repair_min)
        saves = repair_order(now.shares, here.choices.repair_min).expected_min - after - minutes
        found.append(bool((saves[~asked] > 0).any()))
    return np.array(found)


def courses(here: Shop, score: Score, *, judged: bool) -> Course:
    """All cases, look after look; `judged`: with whether looking on pays, asked every few looks."""
    totals: list[list[Floats]] = [[] for _ in range(LOOKS + 1)]
    pays: list[list[Flags]] = [[] for _ in range(LOOKS + 1)]
    for case in batches(here, lambda: here.network, seed=1, count=CASES):
        for n in range(LOOKS + 1):
            totals[n].append(case.minutes + repairing(here, case))
            judge = judged and n % JUDGED_EVERY == 0
            pays[n].append(paying(here, case) if judge else np.ones(len(case.minutes), dtype=bool))
            case.look(here, score)
    return Course([np.concatenate(t) for t in totals], [np.concatenate(p) for p in pays])


def stopped(course: Course) -> tuple[Floats, Floats]:
    """Minutes when repairs begin as soon as no look pays, and the looks taken up to then."""
    pays = np.array(course.pays)
    at = np.where(pays.all(axis=0), LOOKS, (~pays).argmax(axis=0))
    return np.array(course.total)[at, np.arange(pays.shape[1])], at.astype(np.float64)


def lines(here: Shop) -> Iterator[tuple[str, Floats]]:
    """Each way to go about it, with the minutes of all cases."""
    adaptive: dict[str, Score] = {"information": by_information, "minutes saved": by_saving}
    for name, score in adaptive.items():
        course = courses(here, score, judged=True)
        total, looks = stopped(course)
        if name == "information":
            yield "repair at once", course.total[0]
        yield f"looks by {name} per minute while one pays ({looks.mean():.1f} looks)", total
        yield best(f"looks by {name} per minute, always", course)
    for name, score in lists(here).items():
        yield best(name, courses(here, score, judged=False))


def best(name: str, course: Course) -> tuple[str, Floats]:
    """The number of looks for all that takes the fewest minutes on average."""
    n = int(np.argmin([total.mean() for total in course.total]))
    return f"{name} {n} looks", course.total[n]


def main() -> None:
    """Print minutes until the fault is gone, with 95 % of the error of drawing, against repairing at once."""
    at_once: Floats | None = None
    for name, total in lines(shop()):
        at_once = total if at_once is None else at_once
        less = at_once - total
        print(
            f"{name}: {total.mean():.0f} min +- {error(total):.0f}, half of them {np.median(total):.0f}; "
            f"saves {less.mean():.0f} +- {error(less):.0f}"
        )


if __name__ == "__main__":
    main()
