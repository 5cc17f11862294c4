"""How long work takes in one workshop beside what the cards say: a factor, and how far a visit may be off.

References
----------
Lognormal shares with a normal prior on the mean: A. Gelman et al., Bayesian Data Analysis, 3rd ed., section 2.5
(from memory). The prior itself is our supposition until a workshop has timed its own visits.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from tickover.science.core.input_checks import OutOfRangeError, checked_one
from tickover.science.core.kinds import kinds_checked

PRIOR_SD = 0.25
"""Of a workshop's mean, as a share: most work within a quarter of what the cards say. From memory."""
SPREAD = 0.15
"""Of one visit beside its workshop's mean, as a share: from memory, until visits were timed."""
WEIGHT = 5.0
"""Visits that the supposed spread counts for."""
LEAST_MIN, MOST_MIN = 5.0, 6000.0
"""A visit takes five minutes at least, and a hundred hours at most: what is out of that is in another unit."""


@dataclass(frozen=True)
class BenchPace:
    """Minutes worked are `factor` times those of the card; one visit is within `spread` of that, two times of three."""

    factor: float
    spread: float
    visits: int


@kinds_checked
def bench_pace(by_card_min: Sequence[float], worked_min: Sequence[float]) -> BenchPace:
    """What a workshop's timed visits say of the next one.

    Parameters
    ----------
    by_card_min, worked_min : sequence of float
        Minutes of each visit by its card, and as worked; 5 to 6,000, of one length. [min]

    Returns
    -------
    BenchPace
        The factor 1 without any visit. [-]

    Raises
    ------
    OutOfRangeError
        For minutes outside of that, and for lists of two lengths.

    Examples
    --------
    >>> pace = bench_pace([100.0] * 12, [130.0] * 12)
    >>> round(pace.factor, 2), pace.visits
    (1.3, 12)
    """
    if len(by_card_min) != len(worked_min):
        raise OutOfRangeError("minutes by the card and minutes worked have to be of the same visits")
    logs = [
        math.log(
            checked_one("minutes worked", worked, LEAST_MIN, MOST_MIN, "min")
            / checked_one("minutes by the card", card, LEAST_MIN, MOST_MIN, "min")
        )
        for card, worked in zip(by_card_min, worked_min, strict=True)
    ]
    n = len(logs)
    mean = sum(logs) / n if n else 0.0
    off = sum((log - mean) ** 2 for log in logs)
    spread = math.sqrt((WEIGHT * SPREAD**2 + off) / (WEIGHT + max(0, n - 1)))
    towards = n * PRIOR_SD**2 / (n * PRIOR_SD**2 + spread**2)
    return BenchPace(math.exp(towards * mean), spread, n)
