"""Every set of causes that may be present together, and how each finding shows with each of them.

Nothing here depends on how likely a cause is, so that networks which differ in their odds alone share it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import chain, combinations
from math import comb

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array
from scipy.special import entr

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

MOST_SETS = 300_000
"""More sets than this take more memory than a workshop's computer has to spare."""


@dataclass(frozen=True, eq=False)
class Sets:
    """Sets of `least` to `most` causes.

    link : chance that a cause brings a finding about by itself, shape (causes, findings) [-]
    leak : chance of a finding without any cause, shape (findings,) [-]
    twins : name of each cause's group
    """

    link: Floats
    leak: Floats
    twins: tuple[str, ...]
    least: int
    most: int

    @property
    def columns(self) -> Ints:
        """Each set as positions of its causes, one column a set; a row not needed holds their number."""
        return _columns(len(self.link), self.least, min(self.most, len(self.link)))

    @cached_property
    def shows(self) -> Floats:
        """Chance of each finding with each set, shape (findings, sets)."""
        with np.errstate(divide="ignore"):
            stays_away = np.vstack([np.log1p(-self.link), np.zeros(len(self.leak))]).T.copy()
            silent = np.repeat(np.log1p(-self.leak)[:, None], self.columns.shape[1], axis=1)
        for member in self.columns:
            silent += stays_away[:, member]
        return np.asarray(-np.expm1(silent, out=silent), dtype=np.float64)

    @cached_property
    def shows_by_set(self) -> Floats:
        """The same, shape (sets, findings)."""
        return np.ascontiguousarray(self.shows.T)

    @cached_property
    def entropy(self) -> Floats:
        """Uncertainty of each finding when the set is known, shape (findings, sets). [bit]"""
        return binary_entropy(self.shows)

    @property
    def groups(self) -> tuple[str, ...]:
        """Names of the groups of twins, each once."""
        return tuple(dict.fromkeys(self.twins))

    @cached_property
    def members(self) -> csr_array:
        """1 where a set has a cause, or one of a group of twins, shape (causes + groups of several, sets)."""
        causes, count = len(self.link), self.columns.shape[1]
        place = np.broadcast_to(np.arange(count), self.columns.shape)
        inside = self.columns < causes
        rows, at = [self.columns[inside]], [place[inside]]
        for n, group in enumerate(self._of_several):
            has = np.isin(self.columns, [c for c, name in enumerate(self.twins) if name == group]).any(axis=0)
            rows.append(np.full(int(has.sum()), causes + n, dtype=np.intp))
            at.append(np.flatnonzero(has))
        row, column = np.concatenate(rows), np.concatenate(at)
        shape = (causes + len(self._of_several), count)
        return csr_array((np.ones(len(row)), (row, column)), shape=shape)

    @cached_property
    def rows_of_groups(self) -> Ints:
        """The row of `members` that stands for each group."""
        several = {name: len(self.twins) + n for n, name in enumerate(self._of_several)}
        return np.array([several.get(name, self.twins.index(name)) for name in self.groups], dtype=np.intp)

    @property
    def _of_several(self) -> tuple[str, ...]:
        return tuple(name for name in self.groups if self.twins.count(name) > 1)


def added_up(members: csr_array, weights: Floats, values: Floats) -> Floats:
    """Sum of weight times value over the sets of each row; `values` of shape (sets, columns)."""
    weighed = csr_array((weights[members.indices], members.indices, members.indptr), shape=members.shape)
    return np.asarray(weighed @ values, dtype=np.float64)


def most_that_fit(causes: int) -> int:
    """Most causes at a time with no more than `MOST_SETS` sets."""
    sizes, total = 0, 1
    while sizes < causes and (total := total + comb(causes, sizes + 1)) <= MOST_SETS:
        sizes += 1
    return sizes


def binary_entropy(chance: Floats) -> Floats:
    """Uncertainty of yes or no. [bit]"""
    return np.asarray((entr(chance) + entr(1 - chance)) / np.log(2), dtype=np.float64)


@lru_cache(maxsize=8)
def _columns(causes: int, least: int, most: int) -> Ints:
    blocks = []
    for size in range(least, most + 1):
        members = np.fromiter(chain.from_iterable(combinations(range(causes), size)), dtype=np.intp)
        found = members.reshape(-1, size).T if size else np.empty((0, 1), dtype=np.intp)
        blocks.append(np.vstack([found, np.full((most - size, found.shape[1]), causes, dtype=np.intp)]))
    sets = np.hstack(blocks)
    sets.flags.writeable = False
    return sets
