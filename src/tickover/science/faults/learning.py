"""How common is each cause, after a workshop has confirmed some itself?

The weights of the table count as cases seen before, as many as they are said to be worth; each confirmed cause
adds one (Dirichlet prior, multinomial counts). With few cases the table stays, with many the counts take over.

References
----------
A. Gelman and others, *Bayesian Data Analysis*, 3rd ed. (2013), sections 2.4 and 3.4.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from scipy.special import betaincinv

from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.core.kinds import kinds_checked
from tickover.science.core.working import Quantity, Working


@dataclass(frozen=True)
class CauseFrequency:
    """How common a cause is among causes confirmed. All shares [-].

    listed : by the table alone
    count, of : times it was confirmed, of all causes confirmed
    worth : cases the table counts as
    share : mean after the counts; `low` and `high` hold it with the chance asked for
    """

    listed: float
    count: int
    of: int
    worth: float
    share: float
    low: float
    high: float

    def working(self, title: str) -> Working:
        """How the share comes about."""
        return Working(
            title=f"how common: {title}",
            formula="(share by the table x cases it is worth + times confirmed) / (cases worth + all confirmed)",
            inputs=(
                Quantity("share by the table", self.listed, ""),
                Quantity("cases the table is worth", self.worth, ""),
                Quantity("times confirmed", float(self.count), ""),
                Quantity("causes confirmed in all", float(self.of), ""),
            ),
            result=Quantity("share", self.share, ""),
            validity=f"between {self.low:.1%} and {self.high:.1%}; cases independent, causes confirmed by the part",
            source="Gelman and others, Bayesian Data Analysis (2013), section 3.4",
            authority="from memory",
        )


@kinds_checked
def cause_frequencies(
    weights: Mapping[str, float], counts: Mapping[str, int], *, worth: float = 50.0, level: float = 0.9
) -> dict[str, CauseFrequency]:
    """Share of each cause after confirmed ones were counted.

    Parameters
    ----------
    weights : mapping
        How common each cause is by the table, above 0, any scale.
    counts : mapping
        Times each cause was confirmed; what is left out was not.
    worth : float
        Cases that the table counts as, above 0. [-]
    level : float
        Chance that `low` to `high` holds the share, between 0 and 1. [-]

    Returns
    -------
    dict[str, CauseFrequency]

    Raises
    ------
    OutOfRangeError
        For fewer than two causes, a weight not above 0, a count below 0 or of a cause that has no weight, and
        `worth` or `level` out of range.

    Examples
    --------
    >>> found = cause_frequencies({"reed": 3.0, "leak": 1.0}, {"leak": 10})
    >>> {name: round(one.share, 3) for name, one in found.items()}
    {'reed': 0.625, 'leak': 0.375}
    """
    _refuse(weights, counts, worth, level)
    total, every = sum(weights.values()), sum(counts.values())
    found = {}
    for name, weight in weights.items():
        listed, count = weight / total, counts.get(name, 0)
        mine, others = listed * worth + count, (1 - listed) * worth + every - count
        low, high = (float(betaincinv(mine, others, (1 + side * level) / 2)) for side in (-1, 1))
        found[name] = CauseFrequency(listed, count, every, worth, mine / (mine + others), low, high)
    return found


def _refuse(weights: Mapping[str, float], counts: Mapping[str, int], worth: float, level: float) -> None:
    if len(weights) < 2:
        raise OutOfRangeError("shares are of two causes or more")
    for name, weight in weights.items():
        if not 0 < weight < float("inf"):
            raise OutOfRangeError(f"{name}: a weight of {weight:g} is not above 0")
    for name, count in counts.items():
        if name not in weights:
            raise OutOfRangeError(f'there is no cause called "{name}" in this table')
        if count < 0:
            raise OutOfRangeError(f"{name}: confirmed {count} times cannot be")
    if not 0 < worth < float("inf"):
        raise OutOfRangeError(f"a table worth {worth:g} cases cannot be; give a number above 0")
    if not 0 < level < 1:
        raise OutOfRangeError(f"a level of {level:g} is not between 0 and 1")
