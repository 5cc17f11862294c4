"""What if one thing that was looked for had not been? All at once, from the weights of the sets.

The weight of a set is a product with one factor for each finding, so that one finding is taken out by dividing by
its factor. Where a factor is too small to divide by, everything is weighed again.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tickover.science.faults.network import Evidence
from tickover.science.faults.posterior import Posterior, posterior
from tickover.science.faults.sets import Floats

LEAST_FACTOR = 1e-9


def looked_for(evidence: Evidence) -> list[str]:
    """Findings seen or absent, in the order of the alphabet."""
    return sorted(evidence.seen | evidence.absent)


def factor(now: Posterior, name: str) -> Floats:
    """Chance of a finding as it was found, with each set, shape (sets,). [-]"""
    shows = now.network.shows[now.network.finding(name)]
    return np.asarray(1 - shows if name in now.evidence.absent else shows, dtype=np.float64)


def shares_without(now: Posterior, names: Sequence[str], rows: Sequence[int]) -> Floats:
    """Shares of some rows of `members` without each finding in turn, shape (rows, names). [-]"""
    members = now.network.table.members[list(rows)]
    weights = (_weights_without(now, name) for name in names)
    shares = [members @ one / one.sum() for one in weights]
    return np.array(shares, dtype=np.float64).reshape(len(names), len(rows)).T


def _weights_without(now: Posterior, name: str) -> Floats:
    """Weights of the sets without a finding, up to a factor, shape (sets,)."""
    divisor = factor(now, name)
    if divisor.min() < LEAST_FACTOR:
        return posterior(now.network, now.evidence.without(name)).weights
    return np.asarray(now.weights / divisor, dtype=np.float64)
