"""How often is a finding told as a stray, and rightly? In cases drawn from the fault table.

Three kinds of cases: honest ones, where a finding comes by itself as often as the table says; the same with one
answer of the first four turned round; and cases whose cause is taken off the list before anybody looks.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np

from benchmarks.faults import BATCH, Batch, Floats, Places, Score, Shop, batches, by_information, by_lot, shop
from tickover.science.faults import Evidence
from tickover.science.faults.conflict import LIKELY_STRAY, by_itself
from tickover.science.faults.posterior import Posterior

CASES = 1000
LOOKS = (4, 8, 15)


@dataclass
class NumberedFinding:
    """One number for each case: told at all, told though caused, findings that came by themselves and those told."""

    told: list[float] = field(default_factory=list)
    wrongly: list[float] = field(default_factory=list)
    stray: float = 0.0
    stray_told: float = 0.0
    turned: int = 0
    turned_told: int = 0


def answered(here: Shop, score: Score, kind: str) -> Iterator[tuple[int, Batch, Places]]:
    """Batches after 4, 8 and 15 looks, with the finding whose answer was turned round, or -1."""
    rng = np.random.default_rng(7)
    for case in batches(here, lambda: here.network, seed=3, count=CASES):
        when, turned = rng.integers(0, min(LOOKS), BATCH), np.full(BATCH, -1)
        if kind == "cause off the list":
            _off_the_list(here, case)
        for n in range(max(LOOKS) + 1):
            if n in LOOKS:
                yield n, case, turned
            pick = case.next(here, score)
            rows = np.flatnonzero((when == n) & (kind == "answer turned round"))
            case.shows[rows, pick[rows]] ^= True
            turned[rows] = pick[rows]
            case.answer(here, pick)


def _off_the_list(here: Shop, case: Batch) -> None:
    has = here.network.table.members[: len(here.network.causes)].toarray() > 0
    for row, causes in enumerate(case.causes):
        left = case.weights[row] * ~has[causes].any(axis=0)
        case.weights[row] = left / left.sum()


def note(here: Shop, told: NumberedFinding, case: Batch, turned: Places) -> None:
    """Add a batch."""
    names = np.array(here.network.findings)
    for row, weights in enumerate(case.weights):
        seen = frozenset(names[case.asked[row] & case.shows[row]].tolist())
        chances = by_itself(Posterior(here.network, Evidence(seen), weights, 0.0, 0.0))
        flags = {name for name, chance in chances.items() if chance >= LIKELY_STRAY}
        alone = dict(zip(names.tolist(), _by_itself_in_truth(here, case, row), strict=True))
        told.told.append(float(bool(flags)))
        told.wrongly.append(1 - float(np.prod([alone[name] for name in flags])))
        told.stray += sum(alone[name] for name in seen)
        told.stray_told += sum(alone[name] for name in flags)
        if turned[row] >= 0 and case.shows[row, turned[row]]:
            told.turned += 1
            told.turned_told += names[turned[row]] in flags


def _by_itself_in_truth(here: Shop, case: Batch, row: int) -> Floats:
    """Chance that a finding, if it shows, was not brought about by what really is present."""
    silent = np.prod(1 - here.network.link[case.causes[row]], axis=0)
    return np.asarray(here.network.leak * silent / (1 - (1 - here.network.leak) * silent))


def main() -> None:
    """Print how often findings are told, by the way of looking, the kind of case, and the number of looks."""
    here = shop()
    ways: dict[str, Score] = {"by information per minute": by_information, "by lot": by_lot(5)}
    for way, score in ways.items():
        for kind in ("honest", "answer turned round", "cause off the list"):
            tallies = {n: NumberedFinding() for n in LOOKS}
            for n, case, turned in answered(here, score, kind):
                note(here, tallies[n], case, turned)
            for n, told in tallies.items():
                print(
                    f"{way}, {kind}, {n:2} looks: told in {np.mean(told.told):5.1%} of cases{_more(kind, told)}"
                )


def _more(kind: str, told: NumberedFinding) -> str:
    if kind == "honest":
        return (
            f", though caused in {np.mean(told.wrongly):.1%}; "
            f"told of those that came by themselves {told.stray_told / told.stray:.0%}"
        )
    if kind == "answer turned round":
        return f"; of answers turned to seen {told.turned_told / told.turned:.0%} told"
    return ""


if __name__ == "__main__":
    main()
