"""Which causes are likely after what was seen, what was absent, and what nobody looked at?

Every set of up to ``most`` causes is weighed by its odds and by how well it explains the evidence; nothing is
sampled. The result is exact for such sets, and `Posterior.beyond` bounds what larger ones could hold.

References
----------
J. Pearl, *Probabilistic Reasoning in Intelligent Systems* (1988), section 4.3.2, for noisy-OR (from memory).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from tickover.science.core.input_checks import InsufficientDataError, checked_one
from tickover.science.core.kinds import kinds_checked
from tickover.science.faults.network import Evidence, Network
from tickover.science.faults.sets import Floats, added_up, binary_entropy
from tickover.science.faults.weighing import log_larger, log_prior, odds_left, product, weighed


class ContradictionError(InsufficientDataError):
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
        return self._rows[: len(self.network.causes)]

    @cached_property
    def group_shares(self) -> Floats:
        """As `shares`, for groups of twins: the chance that at least one of a group is present, (groups,)."""
        return np.asarray(self._rows[self.network.table.rows_of_groups], dtype=np.float64)

    @cached_property
    def chances(self) -> Floats:
        """Chance of each finding to be seen, if looked for now, shape (findings,)."""
        return np.clip(_over_sets(self.network.shows, self.weights), 0.0, 1.0)

    @cached_property
    def bits(self) -> Floats:
        """Expected information of each finding about the causes, shape (findings,). [bit]"""
        gained = binary_entropy(self.chances) - _over_sets(self.network.table.entropy, self.weights)
        return np.maximum(gained, 0.0)

    @kinds_checked
    def share(self, name: str) -> float:
        """Chance of a cause, or of at least one of a group of twins, to be present. [-]"""
        return float(self._rows[self.network.row(name)])

    @kinds_checked
    def chance(self, finding: str) -> float:
        """Chance of that finding to be seen, if looked for now. [-]"""
        return float(self.chances[self.network.finding(finding)])

    @property
    def shares_and_seen(self) -> Floats:
        """Chance of each cause together with each finding seen, shape (causes, findings). [-]"""
        return self._with_seen[: len(self.network.causes)]

    @property
    def group_shares_and_seen(self) -> Floats:
        """As `shares_and_seen`, for groups of twins, shape (groups, findings). [-]"""
        return np.asarray(self._with_seen[self.network.table.rows_of_groups], dtype=np.float64)

    @kinds_checked
    def joint_with_seen(self, name: str) -> Floats:
        """Chance of a cause, or a group of twins, together with each finding seen, shape (findings,). [-]"""
        return np.asarray(self._with_seen[self.network.row(name)], dtype=np.float64)

    @cached_property
    def _rows(self) -> Floats:
        return np.asarray(np.minimum(self.network.table.members @ self.weights, 1.0), dtype=np.float64)

    @cached_property
    def _with_seen(self) -> Floats:
        table = self.network.table
        return added_up(table.members, self.weights, table.shows_by_set)

    def suspects(self) -> tuple[Suspect, ...]:
        """Groups of twins and single causes, the likeliest first."""
        network, found = self.network, []
        for name, share in zip(network.groups, self.group_shares, strict=True):
            members = [n for n, group in enumerate(network.twins) if group == name]
            causes = tuple(network.causes[n] for n in members)
            found.append(Suspect(name, causes, float(share), tuple(float(self.shares[n]) for n in members)))
        return tuple(sorted(found, key=lambda suspect: -suspect.share))

    @kinds_checked
    def several(self, least_share: float = 0.01) -> tuple[Together, ...]:
        """Pairs and larger sets of at least that share, the likeliest first. [-]"""
        checked_one("least share", least_share, 0.0, 0.9, "1")
        sets, none = self.network.sets, len(self.network.causes)
        large = np.flatnonzero((self.weights >= least_share) & ((sets < none).sum(axis=0) > 1))
        order = large[np.argsort(-self.weights[large], kind="stable")]
        names = [tuple(self.network.causes[n] for n in sets[:, place] if n < none) for place in order]
        return tuple(Together(n, float(self.weights[p])) for n, p in zip(names, order, strict=True))


@kinds_checked
def posterior(
    network: Network,
    evidence: Evidence | Mapping[str, bool | None] = Evidence(),  # noqa: B008
) -> Posterior:
    """Weigh every set of causes.

    Parameters
    ----------
    network : Network
    evidence : Evidence or mapping
        A mapping says of each finding: True seen, False looked for and absent, None not looked.

    Returns
    -------
    Posterior

    Raises
    ------
    OutOfRangeError
        For a finding or a cause that the network does not have, or more causes found than it counts.
    ContradictionError
        When no set explains the evidence at all, which takes leaks of 0 or causes ruled out.

    Examples
    --------
    >>> from tickover.science.faults.network import noisy_or
    >>> links = {"worn reed": {"hard to start": 0.8}, "leak": {"hard to start": 0.5}}
    >>> net = noisy_or({"worn reed": 0.2, "leak": 0.1}, links)
    >>> [(s.name, round(s.share, 2)) for s in posterior(net, {"hard to start": True}).suspects()]
    [('worn reed', 0.8), ('leak', 0.29)]
    """
    known = evidence if isinstance(evidence, Evidence) else Evidence.of(evidence)
    seen = [network.finding(name) for name in sorted(known.seen)]
    absent = [network.finding(name) for name in sorted(known.absent)]
    odds, sure = odds_left(network, known)
    with np.errstate(divide="ignore"):
        missing = float(np.log(1 - network.leak[absent]).sum())
    stays = np.prod(1 - network.link[:, absent], axis=1)
    mass, log_total = weighed(network, odds, network.link[:, absent], sure, seen)
    if not np.isfinite(log_total + missing):
        raise ContradictionError(_excluding_pair(network, known))
    log_chance = log_total + missing - log_prior(network)
    larger = log_larger(network, odds * stays, seen, sure) - log_total
    beyond = float(np.exp(-np.logaddexp(0.0, -larger)))
    return Posterior(network, known, mass, float(log_chance / np.log(10)), beyond)


def _over_sets(rows: Floats, weights: Floats) -> Floats:
    """Rows times weights on one core: several wait for each other longer than this takes."""
    return np.asarray(np.einsum("ij,j->i", rows, weights), dtype=np.float64)


def _excluding_pair(network: Network, evidence: Evidence) -> tuple[str, ...]:
    """The first two findings that no set explains together; all of them where it takes more than two."""
    odds, sure = odds_left(network, evidence)
    prior = product(odds, network, sure)
    likely = {name: network.shows[network.finding(name)] for name in sorted(evidence.seen)}
    likely |= {name: 1 - network.shows[network.finding(name)] for name in sorted(evidence.absent)}
    names = list(likely)
    for n, one in enumerate(names):
        for other in names[:n]:
            if not (prior * likely[one] * likely[other]).any():
                return other, one
    return tuple(names) or tuple(sorted(evidence.ruled_out | evidence.found))
