"""Find faults in cases drawn from the fault table itself: how soon the cause leads, and can shares be believed?

This is self-consistency, not accuracy in the field: the cases come from the same table that judges them, or in
the second part from one disturbed by up to 30 %.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tickover.science.faults import NOT_LISTED, Evidence, Network
from tickover.science.faults.next import Choices, repair_minutes_after
from tickover.science.faults.posterior import Posterior, posterior
from tickover.science.faults.repair import repair_order
from tickover.science.planning.access import opened_for
from tickover.sheets import shipped_sheets

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Places = NDArray[np.intp]

TYPE, BUILD = "velisk-130", "iron-cylinder"
CASES, BATCH = 2000, 200
REPORTED = (0, 1, 2, 3, 5, 8, 12, 20)
EDGES = np.array([0, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0])


@dataclass(frozen=True)
class Shop:
    """The table as numbers: minutes of each look, and which openings it needs, shape (looks, openings)."""

    network: Network
    choices: Choices
    questions: int
    minutes: Floats
    needs: Flags
    opening_min: Floats


@dataclass
class Tally:
    """Cases after each reported number of looks; `minutes` taken up to then."""

    first: list[list[bool]]
    third: list[list[bool]]
    minutes: list[list[float]]
    stated: list[Floats]
    true: list[Flags]


@dataclass
class Batch:
    """Cases at work: what is true of them, what is known, what has been done. First axis: the case."""

    causes: Flags
    shows: Flags
    weights: Floats
    asked: Flags
    opened: Flags
    minutes: Floats

    def look(self, here: Shop, score: Score) -> None:
        """The look of the highest score at each case, with its answer."""
        self.answer(here, self.next(here, score))

    def next(self, here: Shop, score: Score) -> Places:
        """The look of the highest score at each case."""
        scores = np.where(self.asked, -np.inf, score(here, self.weights, self.cost(here)))
        return np.asarray(scores.argmax(axis=1), dtype=np.intp)

    def answer(self, here: Shop, pick: Places) -> None:
        """Look, and weigh again."""
        rows = np.arange(len(self.causes))
        self.minutes = self.minutes + self.cost(here)[rows, pick]
        self.opened |= here.needs[pick]
        self.asked[rows, pick] = True
        likely = here.network.shows[pick]
        self.weights *= np.where(self.shows[rows, pick][:, None], likely, 1 - likely)
        self.weights /= self.weights.sum(axis=1, keepdims=True)

    def cost(self, here: Shop) -> Floats:
        """Minutes of each look with the openings still closed, shape (cases, looks)."""
        closed = here.needs[None] & ~self.opened[:, None]
        return here.minutes + closed @ here.opening_min


Score = Callable[[Shop, Floats, Floats], Floats]
"""Score of each look from the weights of the sets and the minutes it still takes, shape (cases, looks)."""


def shop() -> Shop:
    """The shipped fault table for one build."""
    sheet = shipped_sheets()[TYPE].for_build(BUILD)
    assert sheet.faults is not None
    choices = sheet.faults.choices(sheet.access)
    opened = [{o.id for o in opened_for(look.access, sheet.access)} for look in choices.looks]
    needs = np.array([[group.id in ids for group in sheet.access] for ids in opened])
    return Shop(
        network=sheet.faults.network(),
        choices=choices,
        questions=len(sheet.faults.findings),
        minutes=np.array([look.minutes for look in choices.looks]),
        needs=needs,
        opening_min=np.array([group.minutes for group in sheet.access]),
    )


def drawn(network: Network, questions: int, rng: np.random.Generator) -> Iterator[tuple[Flags, Flags]]:
    """Causes present and findings that show, with something to complain of."""
    while True:
        causes = rng.random(len(network.causes)) < network.odds / (1 + network.odds)
        silent = (1 - network.leak) * np.prod(1 - network.link[causes], axis=0)
        shows = rng.random(len(network.findings)) >= silent
        if causes.any() and shows[:questions].any():
            yield causes, shows


def disturbed(network: Network, rng: np.random.Generator) -> Network:
    """Odds, links and leaks each off by up to 30 % either way."""
    off = [1 + rng.uniform(-0.3, 0.3, values.shape) for values in (network.odds, network.link, network.leak)]
    return replace(
        network,
        odds=network.odds * off[0],
        link=np.minimum(network.link * off[1], 0.99),
        leak=network.leak * off[2],
    )


def by_information(here: Shop, weights: Floats, cost: Floats) -> Floats:
    """Expected bits for each minute."""
    chance = np.clip(weights @ here.network.shows.T, 1e-12, 1 - 1e-12)
    unsure = -(chance * np.log2(chance) + (1 - chance) * np.log2(1 - chance))
    scores: Floats = (unsure - weights @ here.network.table.entropy.T) / cost
    return scores


def by_saving(here: Shop, weights: Floats, cost: Floats) -> Floats:
    """Expected minutes of repair saved for each minute."""
    return np.array([saved(here, row) for row in weights]) / cost


def saved(here: Shop, weights: Floats) -> Floats:
    """Expected minutes of repair that knowing each finding saves. [min]"""
    now = Posterior(here.network, Evidence(), weights, 0.0, 0.0)
    after = repair_minutes_after(now, range(len(here.minutes)), here.choices.repair_min)
    return np.asarray(repair_order(now.shares, here.choices.repair_min).expected_min - after)


def by_list(order: Floats) -> Score:
    """One fixed order, the highest first."""
    return lambda here, weights, cost: np.broadcast_to(order, cost.shape)


def by_lot(seed: int) -> Score:
    """Any look."""
    rng = np.random.default_rng(seed)
    return lambda here, weights, cost: rng.random(cost.shape)


def lists(here: Shop) -> dict[str, Score]:
    """Fixed orders, and none."""
    alone = here.minutes + here.needs @ here.opening_min
    now = posterior(here.network)
    return {
        "one list for all, by information per minute": by_list(now.bits / alone),
        "one list for all, by grade per minute": by_list((now.chances - here.network.leak) / alone),
        "in the order of the sheet": by_list(-np.arange(len(alone), dtype=np.float64)),
        "by lot": by_lot(5),
    }


def run(here: Shop, truth: Callable[[], Network], score: Score, seed: int) -> Tally:
    """Look after look at all cases, with the answers that the cases give; the same cases for the same seed."""
    tally = Tally([[] for _ in REPORTED], [[] for _ in REPORTED], [[] for _ in REPORTED], [], [])
    for case in batches(here, truth, seed):
        for n in range(max(REPORTED) + 1):
            if n in REPORTED:
                _note(here, tally, REPORTED.index(n), case)
            case.look(here, score)
    return tally


def batches(here: Shop, truth: Callable[[], Network], seed: int, count: int = CASES) -> Iterator[Batch]:
    """All cases, some at a time, after the complaint."""
    rng = np.random.default_rng(seed)
    start = posterior(here.network).weights
    for _ in range(count // BATCH):
        cases = drawn(truth(), here.questions, rng)
        causes, shows = (np.array(rows) for rows in zip(*(next(cases) for _ in range(BATCH)), strict=True))
        weights, asked = np.tile(start, (BATCH, 1)), np.zeros(shows.shape, dtype=bool)
        _complain(here, shows, weights, asked, rng)
        opened = np.zeros((BATCH, len(here.opening_min)), dtype=bool)
        yield Batch(causes, shows, weights, asked, opened, np.zeros(BATCH))


def _complain(here: Shop, shows: Flags, weights: Floats, asked: Flags, rng: np.random.Generator) -> None:
    """One or two of the findings that show, as the owner tells them."""
    for row in range(len(shows)):
        seen = rng.permutation(np.flatnonzero(shows[row, : here.questions]))[: rng.integers(1, 3)]
        for finding in seen:
            asked[row, finding] = True
            weights[row] *= here.network.shows[finding]
        weights[row] /= weights[row].sum()


def _note(here: Shop, tally: Tally, n: int, case: Batch) -> None:
    table = here.network.table
    stated = (table.members @ case.weights.T)[table.rows_of_groups].T
    present = np.array([case.causes[:, _twins(here, name)].any(axis=1) for name in table.groups]).T
    hit = np.take_along_axis(present, np.argsort(-stated, axis=1), axis=1)
    tally.first[n] += np.asarray(hit[:, 0]).tolist()
    tally.third[n] += np.asarray(hit[:, :3].any(axis=1)).tolist()
    tally.minutes[n] += case.minutes.tolist()
    tally.stated.append(stated.ravel())
    tally.true.append(present.ravel())


def _twins(here: Shop, group: str) -> list[int]:
    return [n for n, name in enumerate(here.network.twins) if name == group]


def show(name: str, tally: Tally, against: Tally | None = None) -> None:
    """One line for each reported number of looks, with 95 % of the error of drawing; the same cases compared."""
    print(name)
    for n, looks in enumerate(REPORTED):
        line = f"  {looks:2} looks, {np.mean(tally.minutes[n]):5.1f} min:"
        for title, hits in (("first", tally.first[n]), ("in the first three", tally.third[n])):
            line += f" {title} {np.mean(hits):5.1%} +- {error(hits):.1%}"
        if against is not None:
            less = np.array(against.first[n], dtype=float) - np.array(tally.first[n], dtype=float)
            line += f"; first less often by {less.mean():.1%} +- {error(less):.1%}"
        print(line)


def error(values: object) -> float:
    """Half of the 95 % interval of a mean."""
    numbers = np.asarray(values, dtype=np.float64)
    return float(1.96 * numbers.std() / np.sqrt(numbers.size))


def reliability(tally: Tally) -> None:
    """Stated shares against how often they were true, over all suspects, cases and reported looks."""
    stated, true = np.concatenate(tally.stated), np.concatenate(tally.true)
    bins = np.clip(np.digitize(stated, EDGES) - 1, 0, len(EDGES) - 2)
    print("  stated  true   number")
    for n in range(len(EDGES) - 1):
        inside = bins == n
        print(f"  {stated[inside].mean():6.1%} {true[inside].mean():6.1%} {inside.sum():7}")
    print(
        f"  Brier score {np.mean((stated - true) ** 2):.4f}, knowing nothing {true.mean() * (1 - true.mean()):.4f}"
    )


def main() -> None:
    """Print hits by look for several ways of asking, and reliability."""
    here = shop()
    sizes = (len(here.network.causes), here.questions, len(here.choices.looks) - here.questions)
    print(f"{sizes[0]} causes with {NOT_LISTED}, {sizes[1]} findings, {sizes[2]} tests, {CASES} cases")
    told = run(here, lambda: here.network, by_information, seed=1)
    show("information per minute", told)
    reliability(told)
    others: dict[str, Score] = {"minutes of repair saved per minute": by_saving} | lists(here)
    for name, score in others.items():
        show(name, run(here, lambda: here.network, score, 1), told)
    rng = np.random.default_rng(2)
    off = run(here, lambda: disturbed(here.network, rng), by_information, seed=1)
    show("information per minute, the cases drawn from tables disturbed by up to 30 %", off)
    reliability(off)


if __name__ == "__main__":
    main()
