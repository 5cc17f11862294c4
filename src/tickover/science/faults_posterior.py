"""Which causes are likely after what was seen, what was absent, and what nobody looked at?

Every set of up to ``most`` causes is weighed by its odds and by how well it explains the evidence; nothing is
sampled. The result is exact for such sets, and `Posterior.beyond` bounds what larger ones could hold.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from tickover.science.faults import Evidence, Floats, Ints, Network, binary_entropy
from tickover.science.faults_tail import Uncounted


class ContradictionError(ValueError):
    """No set of causes explains the evidence at all; `pair` holds two findings that exclude each other."""

    def __init__(self, pair: tuple[str, ...]) -> None:
        self.pair = pair
        super().__init__(
            f"nothing on the list explains {' and '.join(pair)} together; look at one of them again"
        )


@dataclass(frozen=True)
class Together:
    """Causes present at the same time, and the chance of exactly these. [-]"""

    causes: tuple[str, ...]
    share: float


@dataclass(frozen=True)
class Suspect:
    """A cause, or twins that are shown together, with the chance that it, or one of them, is present. [-]"""

    name: str
    causes: tuple[str, ...]
    share: float
    shares: tuple[float, ...]


@dataclass(frozen=True, eq=False)
class Posterior:
    """Weight of every set of causes after the evidence.

    weights : of the sets of the network, sum 1 [-]
    log10_chance : chance of this evidence on an engine in trouble, as a decimal logarithm
    beyond : sets of more causes than were counted hold no larger share than this [-]
    """

    network: Network
    evidence: Evidence
    weights: Floats
    log10_chance: float
    beyond: float

    @cached_property
    def shares(self) -> Floats:
        """Chance of each cause to be present, alone or with others, shape (causes,)."""
        return self.joint(self.weights[None, :])[:, 0]

    @cached_property
    def chances(self) -> Floats:
        """Chance of each finding to be seen, if looked for now, shape (findings,)."""
        return np.clip(self.network.shows @ self.weights, 0.0, 1.0)

    @cached_property
    def bits(self) -> Floats:
        """Expected information of each finding about the causes, shape (findings,). [bit]"""
        told = binary_entropy(self.chances) - self.network.entropy @ self.weights
        return np.maximum(told, 0.0)

    def share(self, cause: str) -> float:
        """Chance of that cause to be present. [-]"""
        return float(self.shares[self.network.cause(cause)])

    def joint(self, weights: Floats) -> Floats:
        """Sum of weights, shape (rows, sets), over the sets each cause is in, shape (causes, rows)."""
        return _added_up(self.network.sets, weights, len(self.network.causes))

    def joint_groups(self, weights: Floats) -> Floats:
        """As `joint`, for groups of twins: a set with two of them counts once, shape (groups, rows)."""
        groups = self.network.groups
        numbers = [groups.index(name) for name in self.network.twins] + [len(groups)]
        members = np.array(numbers, dtype=np.intp)[self.network.sets]
        for row in range(1, len(members)):
            members[row][(members[:row] == members[row]).any(axis=0)] = len(groups)
        return _added_up(members, weights, len(groups))

    def suspects(self) -> tuple[Suspect, ...]:
        """Groups of twins and single causes, the likeliest first."""
        network, shares = self.network, self.joint_groups(self.weights[None, :])[:, 0]
        found = []
        for name, share in zip(network.groups, shares, strict=True):
            members = [n for n, group in enumerate(network.twins) if group == name]
            causes = tuple(network.causes[n] for n in members)
            found.append(Suspect(name, causes, float(share), tuple(float(self.shares[n]) for n in members)))
        return tuple(sorted(found, key=lambda suspect: -suspect.share))

    def several(self, least_share: float = 0.01) -> tuple[Together, ...]:
        """Pairs and larger sets of at least that share, the likeliest first. [-]"""
        sets, none = self.network.sets, len(self.network.causes)
        large = np.flatnonzero((self.weights >= least_share) & ((sets < none).sum(axis=0) > 1))
        order = large[np.argsort(-self.weights[large], kind="stable")]
        names = [tuple(self.network.causes[n] for n in sets[:, place] if n < none) for place in order]
        return tuple(Together(n, float(self.weights[p])) for n, p in zip(names, order, strict=True))


def posterior(network: Network, evidence: Evidence = Evidence()) -> Posterior:  # noqa: B008
    """Weigh every set of causes.

    Raises
    ------
    ValueError
        For a finding or a cause that the network does not have.
    ContradictionError
        When no set explains the evidence at all, which takes leaks of 0 or causes ruled out.
    """
    seen = [network.finding(name) for name in sorted(evidence.seen)]
    absent = [network.finding(name) for name in sorted(evidence.absent)]
    odds = network.odds * np.prod(1 - network.link[:, absent], axis=1)
    odds[[network.cause(name) for name in evidence.ruled_out]] = 0.0
    found = [network.cause(name) for name in evidence.found]
    mass = _product(odds, network)
    for cause in found:
        mass = mass * (network.sets == cause).any(axis=0)
    for finding in seen:
        mass = mass * network.shows[finding]
    total = float(mass.sum())
    if total <= 0.0:
        raise ContradictionError(_excluding_pair(network, evidence))
    prior = float(_product(network.odds, network).sum())
    missing = float(np.log10(1 - network.leak[absent]).sum())
    larger = _log_larger(network, odds, seen, found) - np.log(total)
    beyond = float(np.exp(-np.logaddexp(0.0, -larger)))
    return Posterior(network, evidence, mass / total, float(np.log10(total / prior)) + missing, beyond)


def _product(odds: Floats, network: Network) -> Floats:
    padded = np.append(odds, 1.0)
    return np.asarray(np.prod(padded[network.sets], axis=0), dtype=np.float64)


def _log_larger(network: Network, odds: Floats, seen: list[int], found: list[int]) -> float:
    counted = network.most - len(found)
    rest = np.setdiff1d(np.arange(len(network.causes)), found)
    if len(rest) <= counted or counted < 0:
        return -np.inf
    link = network.link[:, seen]
    silent = (1 - network.leak[seen]) * np.prod(1 - link[found], axis=0)
    certain = float(np.log(np.maximum(odds[found], 1e-300)).sum())
    return certain + Uncounted(odds[rest], link[rest], silent, counted).log_bound()


def _added_up(members: Ints, weights: Floats, rows: int) -> Floats:
    sums = np.zeros((rows + 1, len(weights)))
    for member in members:
        for row, weight in enumerate(weights):
            sums[:, row] += np.bincount(member, weights=weight, minlength=rows + 1)
    return sums[:rows]


def _excluding_pair(network: Network, evidence: Evidence) -> tuple[str, ...]:
    """The first two findings that no set explains together; all of them where it takes more than two."""
    prior = _product(network.odds, network)
    for cause in evidence.ruled_out | evidence.found:
        has = (network.sets == network.cause(cause)).any(axis=0)
        prior = prior * (has if cause in evidence.found else ~has)
    likely = {name: network.shows[network.finding(name)] for name in sorted(evidence.seen)}
    likely |= {name: 1 - network.shows[network.finding(name)] for name in sorted(evidence.absent)}
    names = list(likely)
    for n, one in enumerate(names):
        for other in names[:n]:
            if not (prior * likely[one] * likely[other]).any():
                return other, one
    return tuple(names) or tuple(sorted(evidence.ruled_out | evidence.found))
