"""What causes what on an engine in trouble, as numbers: causes, findings, and how sure each makes the other.

A network of two layers. A cause is present or not, several may be; a finding shows when at least one cause that
is present brings it about, or by itself (noisy-OR with leak). A finding has three states: seen, looked for and
absent, and not looked; the last says nothing at all.

Notes
-----
==================================  =====================================================================
assumption                          what follows
==================================  =====================================================================
causes come independently           a cause that brings another about is not drawn as such
causes act independently            n causes of one finding: 1 - (1 - leak) (1 - link 1) ... (1 - link n)
an engine in trouble has a cause    the empty set is left out (``least`` = 1)
at most ``most`` causes at a time   sets are counted one by one, which is exact; `faults_tail` bounds the rest
what is not listed shows as usual   it brings each finding about as often as the listed causes do on average
==================================  =====================================================================

References
----------
J. Pearl, *Probabilistic Reasoning in Intelligent Systems* (1988), section 4.3.2, for noisy-OR.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import chain, combinations

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq
from scipy.special import entr

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

NOT_LISTED = "not-on-this-list"
"""The id of the cause that stands for everything the list of causes does not have."""


@dataclass(frozen=True)
class Evidence:
    """What is known: findings seen or looked for and absent, causes found or ruled out by looking at the part.

    What is in none of the four has not been looked at.
    """

    seen: frozenset[str] = frozenset()
    absent: frozenset[str] = frozenset()
    found: frozenset[str] = frozenset()
    ruled_out: frozenset[str] = frozenset()

    def __post_init__(self) -> None:
        if both := sorted((self.seen & self.absent) | (self.found & self.ruled_out)):
            raise ValueError(f"{', '.join(both)}: cannot be there and not be there; keep the later look only")

    def without(self, finding: str) -> Evidence:
        """The same with one finding not looked at."""
        return Evidence(self.seen - {finding}, self.absent - {finding}, self.found, self.ruled_out)


@dataclass(frozen=True, eq=False)
class Grades:
    """A table of causes (rows) and findings (columns).

    weights : how common each cause is among engines in trouble, any scale [-]
    alone : chance of each finding when that cause alone is present, shape (causes, findings) [-]
    leak : chance of each finding with no cause present: false finding or habit [-]
    twins : a name for each cause; causes of one name are told apart last and shown together
    """

    causes: tuple[str, ...]
    findings: tuple[str, ...]
    weights: Floats
    alone: Floats
    leak: Floats
    twins: tuple[str, ...]

    def __post_init__(self) -> None:
        shape = (len(self.causes), len(self.findings))
        sizes = (self.weights.size, len(self.twins), self.leak.size)
        if self.alone.shape != shape or sizes != (shape[0], shape[0], shape[1]):
            raise ValueError(f"{shape[0]} causes and {shape[1]} findings need a table of that shape")
        for row, column in zip(*np.nonzero(~((self.alone >= 0) & (self.alone <= 1))), strict=True):
            raise ValueError(
                f"row {self.causes[row]}, column {self.findings[column]}: a chance of "
                f"{self.alone[row, column]:g} is not within 0 to 1"
            )
        _refuse(self.findings, ~((self.leak >= 0) & (self.leak < 1)), "the leak is not within 0 to below 1")
        _refuse(self.causes, ~((self.weights > 0) & np.isfinite(self.weights)), "the weight is not above 0")
        _refuse(self.findings, ~(self.alone > self.leak).any(axis=0), "no cause brings it about")


@dataclass(frozen=True, eq=False)
class Network:
    """Causes with prior odds, findings with links and leaks. All chances [-].

    odds : prior odds of each cause, on its own account, shape (causes,)
    link : chance that a cause brings a finding about by itself, shape (causes, findings)
    leak : chance of a finding without any cause, shape (findings,)
    twins : name of each cause's group; alone in it under its own id
    least, most : fewest and most causes present at a time
    """

    causes: tuple[str, ...]
    findings: tuple[str, ...]
    odds: Floats
    link: Floats
    leak: Floats
    twins: tuple[str, ...]
    least: int = 1
    most: int = 3

    def cause(self, name: str) -> int:
        """Position of a cause; ValueError when there is none of that id."""
        return _position(name, self.causes, "cause")

    def finding(self, name: str) -> int:
        """Position of a finding; ValueError when there is none of that id."""
        return _position(name, self.findings, "finding")

    @property
    def groups(self) -> tuple[str, ...]:
        """Names of the groups of twins, each once."""
        return tuple(dict.fromkeys(self.twins))

    @property
    def sets(self) -> Ints:
        """Every set of causes as positions, one column a set; a row not needed holds the number of causes."""
        return _sets(len(self.causes), self.least, min(self.most, len(self.causes)))

    @cached_property
    def shows(self) -> Floats:
        """Chance of each finding with each set, shape (findings, sets)."""
        stays_away = np.vstack([1 - self.link, np.ones(len(self.findings))]).T.copy()
        silent = np.repeat(1 - self.leak[:, None], self.sets.shape[1], axis=1)
        for member in self.sets:
            silent *= stays_away[:, member]
        return 1 - silent

    @cached_property
    def entropy(self) -> Floats:
        """Uncertainty of each finding when the set is known, shape (findings, sets). [bit]"""
        return binary_entropy(self.shows)


def network(grades: Grades, *, mean_causes: float = 1.15, not_listed: float = 0.05, most: int = 3) -> Network:
    """The network of a table.

    Parameters
    ----------
    grades : Grades
    mean_causes : float
        Causes present at a time on an engine in trouble, on average, above 1 and below `most`. [-]
    not_listed : float
        Share of engines in trouble whose cause is on no list, 0 to below 1. [-]
    most : int
        Most causes counted at a time; 3 with fifty causes takes 22,000 sets. [-]

    Notes
    -----
    Weights become odds, ``odds = s * weight``, with one factor s for all, such that the mean number of causes
    comes out as asked. With one cause at a time the shares are then the weights' own shares. A link is what a
    cause adds to the leak, ``1 - (1 - alone) / (1 - leak)``, so that a cause alone gives back the table.
    """
    if not 0 <= not_listed < 1:
        raise ValueError(f"a share of {not_listed:g} not on the list is not within 0 to below 1")
    link = np.maximum(0.0, 1 - (1 - grades.alone) / (1 - grades.leak))
    causes, weights, twins = grades.causes, grades.weights, grades.twins
    if not_listed > 0:
        link = np.vstack([link, weights @ link / weights.sum()])
        weights = np.append(weights, weights.sum() * not_listed / (1 - not_listed))
        causes, twins = (*causes, NOT_LISTED), (*twins, NOT_LISTED)
    odds = odds_of(weights, mean_causes, most)
    return Network(causes, grades.findings, odds, link, grades.leak, twins, most=most)


def odds_of(weights: Floats, mean_causes: float, most: int) -> Floats:
    """Odds in proportion to weights, with that mean number of causes in sets of 1 to `most`. [-]"""
    if not 1 < mean_causes < min(most, len(weights)):
        raise ValueError(
            f"a mean of {mean_causes:g} causes is not above 1 and below {min(most, len(weights))}"
        )
    share = weights / weights.sum()
    sums = symmetric_sums(share.tolist(), most)
    sizes = np.arange(1, most + 1)

    def surplus(log_scale: float) -> float:
        mass = sums[1:] * np.exp(log_scale * sizes)
        return float(mass @ sizes / mass.sum()) - mean_causes

    return np.asarray(np.exp(brentq(surplus, -30.0, 30.0)) * share, dtype=np.float64)


def symmetric_sums(odds: list[float], most: int) -> Floats:
    """Sum over all sets of 0, 1, ... `most` members of the product of their odds, shape (most + 1,)."""
    sums = [1.0] + [0.0] * most
    for one in odds:
        for size in range(most, 0, -1):
            sums[size] += one * sums[size - 1]
    return np.array(sums)


def binary_entropy(chance: Floats) -> Floats:
    """Uncertainty of yes or no. [bit]"""
    return np.asarray((entr(chance) + entr(1 - chance)) / np.log(2), dtype=np.float64)


@lru_cache(maxsize=8)
def _sets(causes: int, least: int, most: int) -> Ints:
    columns = []
    for size in range(least, most + 1):
        members = np.fromiter(chain.from_iterable(combinations(range(causes), size)), dtype=np.intp)
        found = members.reshape(-1, size).T if size else np.empty((0, 1), dtype=np.intp)
        columns.append(np.vstack([found, np.full((most - size, found.shape[1]), causes, dtype=np.intp)]))
    sets = np.hstack(columns)
    sets.flags.writeable = False
    return sets


def _position(name: str, names: tuple[str, ...], noun: str) -> int:
    if name not in names:
        raise ValueError(f'there is no {noun} called "{name}" in this table')
    return names.index(name)


def _refuse(names: tuple[str, ...], wrong: NDArray[np.bool_] | np.bool_, why: str) -> None:
    if found := [name for name, bad in zip(names, np.atleast_1d(wrong), strict=True) if bad]:
        raise ValueError(f"{', '.join(found)}: {why}")
