"""How exact are the chances of causes, and how long do they take? On the shipped fault table.

Sets of up to three causes are weighed one by one. Here that is set against all sets, however large, summed by the
formula for subsets of the findings seen: D. Heckerman, "A tractable inference algorithm for diagnosing multiple
diseases", *Uncertainty in Artificial Intelligence* 5 (1989). It takes 2 to the power of the findings seen.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator

import numpy as np
from numpy.typing import NDArray

from benchmarks.faults import Shop, drawn, shop
from tickover.science.faults import Evidence, Network
from tickover.science.faults.conflict import conflict
from tickover.science.faults.explain import effects_on, sensitivities
from tickover.science.faults.next import advise
from tickover.science.faults.posterior import Posterior, posterior

CASES = 100
LOOKED = (2, 5, 10, 20, 30, 50)
MOST_SEEN = 12


def by_all_sets(network: Network, known: Evidence) -> NDArray[np.float64]:
    """Chance of each cause with sets of any size, from `network.least`, 0 or 1, to all causes. [-]"""
    absent = [network.finding(name) for name in known.absent]
    odds = network.odds.astype(np.longdouble)
    stays = np.prod(1 - network.link[:, absent], axis=1).astype(np.longdouble)[None, :]
    sign = np.ones(1, dtype=np.longdouble)
    for finding in (network.finding(name) for name in known.seen):
        stays = np.vstack([stays, stays * (1 - network.link[:, finding])])
        sign = np.append(sign, -sign * (1 - network.leak[finding]))
    terms = 1 + odds * stays
    every = sign * np.prod(terms, axis=1)
    none = np.prod(network.leak[[network.finding(name) for name in known.seen]]) if network.least else 0.0
    shares = every @ (odds * stays / terms) / (every.sum() - none)
    return np.asarray(shares, dtype=np.float64)


def evidence(here: Shop, looked: int, seed: int) -> Iterator[Evidence]:
    """What so many looks at random find, in cases drawn from the table."""
    rng = np.random.default_rng(seed)
    names = np.array(here.network.findings)
    for _, shows in drawn(here.network, here.questions, rng):
        at = rng.permutation(len(names))[:looked]
        yield Evidence(frozenset(names[at][shows[at]].tolist()), frozenset(names[at][~shows[at]].tolist()))


def reasoning(here: Shop, known: Evidence) -> Posterior:
    """Everything that a page needs after an answer."""
    now = posterior(here.network, known)
    suspects = [suspect.name for suspect in now.suspects()[:3]]
    advise(now, here.choices)
    sensitivities(now, here.network.findings)
    effects_on(now, suspects)
    conflict(now)
    return now


def error(here: Shop, looked: int) -> None:
    """Print the largest error of a share against all sets, and the bound that is told."""
    errors, bounds = [], []
    for known, _ in zip(evidence(here, looked, seed=looked), range(CASES), strict=False):
        now = posterior(here.network, known)
        bounds.append(now.beyond)
        if len(known.seen) <= MOST_SEEN:
            errors.append(float(np.abs(now.shares - by_all_sets(here.network, known)).max()))
    line = (
        f"{looked:3} looked at: a share is off by {np.median(errors):.2%} (half), {max(errors):.2%} (worst of"
    )
    print(
        f"{line} {len(errors)}); told to be at most {np.median(bounds):.2%} (half), {max(bounds):.1%} (worst)"
    )


def spent(ask: Callable[[Evidence], object], cases: list[Evidence]) -> str:
    """Half and worst milliseconds of the processor, so that other work on the machine does not count."""
    times = []
    for known in cases:
        begin = time.process_time()
        ask(known)
        times.append(1000 * (time.process_time() - begin))
    return f"{np.median(times):.1f} ms (half), {max(times):.1f} (worst)"


def main() -> None:
    """Print errors against all sets, and times, for ever more evidence."""
    here = shop()
    begin = time.process_time()
    reasoning(here, Evidence())
    print(f"the first time a table is used: {time.process_time() - begin:.2f} s")
    for looked in LOOKED:
        error(here, looked)
    for looked in (*LOOKED, len(here.network.findings)):
        cases = [known for known, _ in zip(evidence(here, looked, seed=3), range(CASES), strict=False)]
        alone = spent(lambda known: posterior(here.network, known).shares, cases)
        print(
            f"{looked:3} looked at: chances {alone}; all reasons {spent(lambda k: reasoning(here, k), cases)}"
        )
    names = here.network.findings
    worst = [Evidence(frozenset(names[: n + 1]), frozenset(names[n + 1 :])) for n in range(len(names))]
    alone = spent(lambda known: posterior(here.network, known).shares, worst)
    every = spent(lambda known: reasoning(here, known), worst)
    print(f"all {len(names)} looked at, 1 to all seen: chances {alone}; all reasons {every}")


if __name__ == "__main__":
    main()
