"""The weight of every set of causes, from odds and evidence; by logarithms where plain numbers grow too small."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.faults.network import Evidence, Network
from tickover.science.faults.sets import Floats
from tickover.science.faults.tail import Uncounted

Flags = NDArray[np.bool_]

LEAST_TOTAL = 1e-150
"""Sums below this are made again by logarithms. [-]"""


def odds_left(network: Network, known: Evidence) -> tuple[Floats, list[int]]:
    """Odds with what was ruled out at 0, and 1 for what is sure to be present; which that is."""
    found = {network.cause(name) for name in known.found}
    sure = sorted(found | set(np.flatnonzero(np.isinf(network.odds)).tolist()))
    if len(sure) > network.most:
        raise OutOfRangeError(
            f"{len(sure)} causes are sure, and no more than {network.most} at a time are counted"
        )
    odds = np.where(np.isinf(network.odds), 1.0, network.odds)
    odds[[network.cause(name) for name in known.ruled_out]] = 0.0
    return odds, sure


def weighed(
    network: Network, odds: Floats, link_absent: Floats, sure: list[int], seen: list[int]
) -> tuple[Floats, float]:
    """Weights of the sets, sum 1, and the natural logarithm of their sum as it was."""
    mass = product(odds * np.prod(1 - link_absent, axis=1), network, sure)
    for finding in seen:
        mass *= network.shows[finding]
    total = float(mass.sum())
    if total > LEAST_TOTAL:
        return mass / total, float(np.log(total))
    with np.errstate(divide="ignore"):  # so small that sets may have been lost on the way: by logarithms
        log_odds = np.append(np.log(odds) + np.log1p(-link_absent).sum(axis=1), 0.0)
        logs = log_odds[network.sets].sum(axis=0) + np.log(network.shows[seen]).sum(axis=0)
    logs[~_has(network, sure)] = -np.inf
    if (top := float(logs.max())) == -np.inf:
        return mass, -np.inf
    mass = np.exp(logs - top)
    return mass / mass.sum(), top + float(np.log(mass.sum()))


def product(odds: Floats, network: Network, sure: list[int]) -> Floats:
    """Odds of every set, 0 where one that is sure to be present is missing."""
    padded = np.append(odds, 1.0)
    mass = np.asarray(np.prod(padded[network.sets], axis=0), dtype=np.float64)
    return mass * _has(network, sure) if sure else mass


def _has(network: Network, sure: list[int]) -> Flags:
    has = np.ones(network.sets.shape[1], dtype=bool)
    for cause in sure:
        has &= (network.sets == cause).any(axis=0)
    return has


def log_prior(network: Network) -> float:
    """Natural logarithm of the odds of all sets together, before any evidence."""
    odds, sure = odds_left(network, Evidence())
    return float(np.log(product(odds, network, sure).sum()))


def log_larger(network: Network, odds: Floats, seen: list[int], sure: list[int]) -> float:
    """Natural logarithm of a bound on what sets of more causes than are counted hold."""
    counted = network.most - len(sure)
    rest = np.setdiff1d(np.arange(len(network.causes)), sure)
    if len(rest) <= counted:
        return -np.inf
    link = network.link[:, seen]
    silent = (1 - network.leak[seen]) * np.prod(1 - link[sure], axis=0)
    certain = float(np.log(np.maximum(odds[sure], 1e-300)).sum())
    return certain + Uncounted(odds[rest], link[rest], silent, counted).log_bound()
