"""Find faults in cases drawn from the fault table itself: how soon the cause leads, and can shares be believed?

This is self-consistency, not accuracy in the field: the cases come from the same table that judges them, or in
the second part from one disturbed by up to 30 %.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tickover.science.access import opened_for
from tickover.science.faults import NOT_LISTED, Evidence, Network
from tickover.science.faults_explain import effects, turns
from tickover.science.faults_next import Choices, advise
from tickover.science.faults_posterior import posterior
from tickover.sheets import shipped_sheets

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

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
    """Cases after each reported number of looks."""

    first: list[list[bool]]
    third: list[list[bool]]
    minutes: list[list[float]]
    stated: list[Floats]
    true: list[Flags]


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


def by_information(here: Shop, weights: Floats, cost: Floats, _: int) -> Floats:
    """Score of each look: expected bits for each minute it still takes."""
    chance = np.clip(weights @ here.network.shows.T, 1e-12, 1 - 1e-12)
    unsure = -(chance * np.log2(chance) + (1 - chance) * np.log2(1 - chance))
    scores: Floats = (unsure - weights @ here.network.entropy.T) / cost
    return scores


def by_list(order: Floats) -> Callable[[Shop, Floats, Floats, int], Floats]:
    """Score that asks in one fixed order, the highest first."""
    return lambda here, weights, cost, n: np.broadcast_to(order, cost.shape)


def run(here: Shop, truth: Callable[[], Network], score: Callable[..., Floats], seed: int) -> Tally:
    """Look after look at all cases, with the answers that the cases give."""
    rng = np.random.default_rng(seed)
    tally = Tally([[] for _ in REPORTED], [[] for _ in REPORTED], [[] for _ in REPORTED], [], [])
    start = posterior(here.network).weights
    for _ in range(CASES // BATCH):
        cases = drawn(truth(), here.questions, rng)
        causes, shows = (np.array(rows) for rows in zip(*(next(cases) for _ in range(BATCH)), strict=True))
        weights, asked = np.tile(start, (BATCH, 1)), np.zeros(shows.shape, dtype=bool)
        _complain(here, shows, weights, asked, rng)
        opened = np.zeros((BATCH, len(here.opening_min)), dtype=bool)
        minutes = np.zeros(BATCH)
        for n in range(max(REPORTED) + 1):
            if n in REPORTED:
                _note(here, tally, REPORTED.index(n), weights, causes, minutes)
            closed = here.needs[None] & ~opened[:, None]
            cost = here.minutes + closed @ here.opening_min
            pick = np.where(asked, -np.inf, score(here, weights, cost, n)).argmax(axis=1)
            rows = np.arange(BATCH)
            minutes = minutes + cost[rows, pick]
            opened |= here.needs[pick]
            asked[rows, pick] = True
            _answer(here, weights, pick, shows[rows, pick])
    return tally


def _complain(here: Shop, shows: Flags, weights: Floats, asked: Flags, rng: np.random.Generator) -> None:
    """One or two of the findings that show, as the owner tells them."""
    for row in range(len(shows)):
        seen = rng.permutation(np.flatnonzero(shows[row, : here.questions]))[: rng.integers(1, 3)]
        for finding in seen:
            asked[row, finding] = True
            weights[row] *= here.network.shows[finding]
        weights[row] /= weights[row].sum()


def _answer(here: Shop, weights: Floats, pick: NDArray[np.intp], seen: Flags) -> None:
    likely = here.network.shows[pick]
    weights *= np.where(seen[:, None], likely, 1 - likely)
    weights /= weights.sum(axis=1, keepdims=True)


def _note(here: Shop, tally: Tally, n: int, weights: Floats, causes: Flags, minutes: Floats) -> None:
    groups = here.network.groups
    member = np.array([[twin == group for twin in here.network.twins] for group in groups])
    stated = posterior(here.network).joint_groups(weights).T
    present = causes @ member.T > 0
    order = np.argsort(-stated, axis=1)
    hit = np.take_along_axis(present, order, axis=1)
    tally.first[n] += hit[:, 0].tolist()
    tally.third[n] += hit[:, :3].any(axis=1).tolist()
    tally.minutes[n] += minutes.tolist()
    tally.stated.append(stated.ravel())
    tally.true.append(present.ravel())


def show(name: str, tally: Tally) -> None:
    """One line for each reported number of looks."""
    print(name)
    for n, looks in enumerate(REPORTED):
        first, third, minutes = (np.mean(values[n]) for values in (tally.first, tally.third, tally.minutes))
        print(f"  {looks:2} looks, {minutes:5.1f} min: first {first:5.1%}, in the first three {third:5.1%}")


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


def times(here: Shop) -> None:
    """Milliseconds of one question to the network, for ever more evidence."""
    rng, network = np.random.default_rng(3), here.network
    names = np.array(network.findings)
    cases = drawn(network, here.questions, rng)
    for looked in (2, 10, 30, len(names)):
        spent, beyond = [], []
        for _ in range(100):
            _, shows = next(cases)
            at = rng.permutation(len(names))[:looked]
            known = Evidence(frozenset(names[at][shows[at]]), frozenset(names[at][~shows[at]]))
            begin = time.perf_counter()
            now = posterior(network, known)
            shares = now.shares
            spent.append(1000 * (time.perf_counter() - begin))
            beyond.append(now.beyond)
            assert np.isfinite(shares).all()
        print(
            f"{looked:3} looked at: posterior {np.median(spent):.1f} ms, at most {max(spent):.1f}; left to more "
            f"causes than counted at most {np.median(beyond):.2%} (half), {np.quantile(beyond, 0.95):.1%} (95 %)"
        )
    now = posterior(network, Evidence(frozenset({"idle-races"}), frozenset({"bubbles-in-line"})))
    for name, ask in (
        ("next step", lambda: advise(now, here.choices)),
        ("what would change it", lambda: turns(now, network.findings)),
        ("reasons", lambda: effects(now, "intake-leak")),
    ):
        begin = time.perf_counter()
        ask()
        print(f"{name}: {1000 * (time.perf_counter() - begin):.0f} ms")


def main() -> None:
    """Print times, hits by look for three ways of asking, and reliability."""
    here = shop()
    sizes = (len(here.network.causes), here.questions, len(here.choices.looks) - here.questions)
    print(f"{sizes[0]} causes with {NOT_LISTED}, {sizes[1]} findings, {sizes[2]} tests")
    times(here)
    before = posterior(here.network)
    told = run(here, lambda: here.network, by_information, seed=1)
    show("information per minute", told)
    reliability(told)
    show(
        "in the order of the sheet",
        run(here, lambda: here.network, by_list(-np.arange(len(here.minutes))), 1),
    )
    alone = here.minutes + here.needs @ here.opening_min
    show(
        "one list for all, by information per minute",
        run(here, lambda: here.network, by_list(before.bits / alone), 1),
    )
    rng = np.random.default_rng(2)
    off = run(here, lambda: disturbed(here.network, rng), by_information, seed=1)
    show("information per minute, the cases drawn from tables disturbed by up to 30 %", off)
    reliability(off)


if __name__ == "__main__":
    main()
