"""A table of causes and findings, as a person grades them, and the network that it makes.

References
----------
J. Pearl, *Probabilistic Reasoning in Intelligent Systems* (1988), section 4.3.2, for noisy-OR (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tickover.science.core.input_checks import OutOfRangeError, checked_whole
from tickover.science.core.kinds import checked_fields, kinds_checked
from tickover.science.faults.network import NOT_LISTED, Network
from tickover.science.faults.refusals import refuse, refuse_chances, refuse_other_shapes
from tickover.science.faults.sets import Floats

MOST_AT_A_TIME = 6
"""Causes present together. Nobody meets more at once, and every one more multiplies the sets to be counted."""


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
        checked_fields(self)
        refuse_other_shapes(self.causes, self.findings, self.alone, (self.weights, self.leak), self.twins)
        refuse_chances(self.causes, self.findings, self.alone)
        refuse(self.findings, ~((self.leak >= 0) & (self.leak < 1)), "the leak is not within 0 to below 1")
        refuse(self.causes, ~((self.weights > 0) & np.isfinite(self.weights)), "the weight is not above 0")
        refuse(self.findings, ~(self.alone > self.leak).any(axis=0), "no cause brings it about")


@kinds_checked
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
        Most causes counted at a time; 3 with fifty causes takes 20,875 sets. [-]

    Returns
    -------
    Network

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Notes
    -----
    Weights become odds, ``odds = s * weight``, with one factor s for all, such that the mean number of causes
    comes out as asked. With one cause at a time the shares are then the weights' own shares. A link is what a
    cause adds to the leak, ``1 - (1 - alone) / (1 - leak)``, so that a cause alone gives back the table.

    Examples
    --------
    >>> table = Grades(
    ...     ("worn reed", "leak"), ("hard to start",), np.array([2.0, 1.0]),
    ...     np.array([[0.8], [0.5]]), np.array([0.01]), ("worn reed", "leak"),
    ... )
    >>> network(table, most=2).causes
    ('worn reed', 'leak', 'not-on-this-list')
    """
    checked_whole("most causes at a time", most, 2, MOST_AT_A_TIME, "", "each more takes many times as long")
    if not 0 <= not_listed < 1:
        raise OutOfRangeError(f"a share of {not_listed:g} not on the list is not within 0 to below 1")
    link = link_of(grades.alone, grades.leak)
    causes, weights, twins = grades.causes, grades.weights, grades.twins
    if not_listed > 0:
        link = np.vstack([link, weights @ link / weights.sum()])
        weights = np.append(weights, weights.sum() * not_listed / (1 - not_listed))
        causes, twins = (*causes, NOT_LISTED), (*twins, NOT_LISTED)
    odds = odds_of(weights, mean_causes, most)
    return Network(causes, grades.findings, odds, link, grades.leak, twins, most=most)


def link_of(alone: Floats, leak: Floats) -> Floats:
    """What a cause adds to the leak, from the chance with that cause alone, leak included. [-]"""
    return np.asarray(np.maximum(0.0, 1 - (1 - alone) / (1 - leak)), dtype=np.float64)


def odds_of(weights: Floats, mean_causes: float, most: int) -> Floats:
    """Odds in proportion to weights, with that mean number of causes in sets of 1 to `most`. [-]"""
    if not 1 < mean_causes < min(most, len(weights)):
        raise OutOfRangeError(
            f"a mean of {mean_causes:g} causes is not above 1 and below {min(most, len(weights))}"
        )
    share = weights / weights.sum()
    sums = symmetric_sums(share.tolist(), most)
    sizes = np.arange(1, most + 1)

    def surplus(log_scale: float) -> float:
        mass = sums[1:] * np.exp(log_scale * sizes)
        return float(mass @ sizes / mass.sum()) - mean_causes

    from scipy.optimize import brentq  # slow to read, and asked for only where a sheet is read

    return np.asarray(np.exp(brentq(surplus, -30.0, 30.0)) * share, dtype=np.float64)


def symmetric_sums(odds: list[float], most: int) -> Floats:
    """Sum over all sets of 0, 1, ... `most` members of the product of their odds, shape (most + 1,)."""
    sums = [1.0] + [0.0] * most
    for one in odds:
        for size in range(most, 0, -1):
            sums[size] += one * sums[size - 1]
    return np.array(sums)
