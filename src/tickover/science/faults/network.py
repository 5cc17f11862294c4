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
at most ``most`` causes at a time   sets are counted one by one, which is exact; `faults.tail` bounds the rest
what is not listed shows as usual   it brings each finding about as often as the listed causes do on average
==================================  =====================================================================

References
----------
J. Pearl, *Probabilistic Reasoning in Intelligent Systems* (1988), section 4.3.2, for noisy-OR.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.core.kinds import checked_fields, kinds_checked
from tickover.science.faults.refusals import refuse, refuse_chances, refuse_other_shapes
from tickover.science.faults.sets import Floats, Ints, Sets, most_that_fit

NOT_LISTED = "not-on-this-list"
"""The id of the cause that stands for everything the list of causes does not have."""
LARGEST_MULTIPLIER = 100.0
"""No more than this, and no less than its inverse, is laid on the odds of a cause. [-]"""


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
        for name in ("seen", "absent", "found", "ruled_out"):
            if isinstance(given := getattr(self, name), str):
                raise OutOfRangeError(f'{name}: a set of ids is wanted, not the text "{given}"')
        checked_fields(self)
        for name in ("seen", "absent", "found", "ruled_out"):
            given = getattr(self, name)
            object.__setattr__(self, name, frozenset(given))
        if both := sorted((self.seen & self.absent) | (self.found & self.ruled_out)):
            raise OutOfRangeError(
                f"{', '.join(both)}: cannot be there and not be there; keep the later look only"
            )

    @classmethod
    @kinds_checked
    def of(cls, findings: Mapping[str, bool | None]) -> Evidence:
        """Findings by their state: True seen, False looked for and absent, None not looked.

        Parameters
        ----------
        findings : mapping from str to bool or None
            State of each finding.

        Returns
        -------
        Evidence

        Raises
        ------
        OutOfRangeError
            For a state that is none of the three.

        Examples
        --------
        >>> Evidence.of({"hard to start": True, "idle races": None}).seen
        frozenset({'hard to start'})
        """
        return cls(
            frozenset(name for name, state in findings.items() if state),
            frozenset(name for name, state in findings.items() if state is not None and not state),
        )

    @kinds_checked
    def without(self, finding: str) -> Evidence:
        """The same with one finding not looked at."""
        return Evidence(self.seen - {finding}, self.absent - {finding}, self.found, self.ruled_out)


@dataclass(frozen=True, eq=False)
class Network:
    """Causes with prior odds, findings with links and leaks. All chances [-].

    odds : prior odds of each cause, on its own account, shape (causes,); infinite for one that is certain
    link : chance that a cause brings a finding about by itself, shape (causes, findings)
    leak : chance of a finding without any cause, shape (findings,)
    twins : name of each cause's group; alone in it under its own id
    least, most : fewest and most causes present at a time
    multipliers : what the odds were multiplied with, see `with_odds`
    """

    causes: tuple[str, ...]
    findings: tuple[str, ...]
    odds: Floats
    link: Floats
    leak: Floats
    twins: tuple[str, ...]
    least: int = 1
    most: int = 3
    multipliers: Mapping[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        checked_fields(self)
        refuse_other_shapes(self.causes, self.findings, self.link, (self.odds, self.leak), self.twins)
        refuse_chances(self.causes, self.findings, self.link)
        refuse(self.findings, ~((self.leak >= 0) & (self.leak <= 1)), "the leak is not within 0 to 1")
        refuse(self.causes, ~(self.odds >= 0), "the odds are below 0")
        if not 0 <= self.least <= min(self.most, len(self.causes)):
            raise OutOfRangeError(
                f"{self.least} to {self.most} of {len(self.causes)} causes at a time cannot be"
            )

    @kinds_checked
    def cause(self, name: str) -> int:
        """Position of a cause; OutOfRangeError when there is none of that id."""
        return _position(name, self.causes, "cause")

    @kinds_checked
    def finding(self, name: str) -> int:
        """Position of a finding; OutOfRangeError when there is none of that id."""
        return _position(name, self.findings, "finding")

    @kinds_checked
    def with_odds(self, multipliers: Mapping[str, float]) -> Network:
        """The same network with the prior odds of some causes multiplied.

        For what makes a cause more or less common on this engine than on others: it was touched by the last
        work, its task is overdue. Odds of 1 to 50, times 2, are 1 to 25. The causes are independent, so that
        each keeps its own multiplier whatever the others have; asked twice, multipliers multiply.

        Raises
        ------
        OutOfRangeError
            For a cause the network does not have, or a multiplier not within 1/100 to 100.
        """
        factors = np.ones(len(self.causes))
        for name, factor in multipliers.items():
            if not 1 / LARGEST_MULTIPLIER <= factor <= LARGEST_MULTIPLIER:
                raise OutOfRangeError(f"{name}: odds are multiplied with 0.01 to 100, not {factor:g}")
            factors[self.cause(name)] = factor
        both = {name: self.multipliers.get(name, 1.0) * factor for name, factor in multipliers.items()}
        return self._with(self.odds * factors, {**self.multipliers, **both})

    def as_tabled(self) -> Network:
        """The network without multipliers."""
        factors = np.array([self.multipliers.get(name, 1.0) for name in self.causes])
        return self._with(self.odds / factors, {})

    @kinds_checked
    def row(self, name: str) -> int:
        """The row of `table.members` of a group of twins or a cause; OutOfRangeError when there is neither."""
        if name in self.groups:
            return int(self.table.rows_of_groups[self.groups.index(name)])
        return self.cause(name)

    @property
    def groups(self) -> tuple[str, ...]:
        """Names of the groups of twins, each once."""
        return self.table.groups

    @cached_property
    def table(self) -> Sets:
        """Every set of causes, and how each finding shows with it."""
        return Sets(self.link, self.leak, self.twins, self.least, self.most)

    @property
    def sets(self) -> Ints:
        """Every set of causes as positions, one column a set; a row not needed holds the number of causes."""
        return self.table.columns

    @property
    def shows(self) -> Floats:
        """Chance of each finding with each set, shape (findings, sets)."""
        return self.table.shows

    def _with(self, odds: Floats, multipliers: Mapping[str, float]) -> Network:
        other = replace(self, odds=odds, multipliers=multipliers)
        other.__dict__["table"] = self.table  # the large part of it does not depend on the odds
        return other


@kinds_checked
def noisy_or(
    priors: Mapping[str, float],
    links: Mapping[str, Mapping[str, float]],
    leaks: Mapping[str, float] | float = 0.0,
    *,
    least: int = 0,
    most: int | None = None,
) -> Network:
    """A network of independent causes from dictionaries. All chances [-].

    Parameters
    ----------
    priors : mapping
        Chance of each cause, 0 to 1.
    links : mapping
        For each cause, the chance that it brings each finding about by itself; what is left out is 0. From the
        chance with that cause alone, leak included, `link_of` makes it.
    leaks : mapping or float
        Chance of each finding without a cause, or one for all. What is left out is 0.
    least, most : int
        Fewest and most causes at a time; by default from none to all, or to as many as can be counted.

    Returns
    -------
    Network

    Raises
    ------
    OutOfRangeError
        For a chance that is not within 0 to 1, with row and column, and for links of an unknown cause.

    Examples
    --------
    >>> links = {"worn reed": {"hard to start": 0.8}, "leak": {"hard to start": 0.5}}
    >>> net = noisy_or({"worn reed": 0.2, "leak": 0.1}, links)
    >>> net.causes
    ('worn reed', 'leak')
    """
    if unknown := sorted(set(links) - set(priors)):
        raise OutOfRangeError(f"{', '.join(unknown)}: has links, but no prior")
    causes = tuple(priors)
    named = leaks if isinstance(leaks, Mapping) else {}
    findings = tuple(dict.fromkeys([name for row in links.values() for name in row] + list(named)))
    prior = np.array([priors[name] for name in causes], dtype=np.float64)
    refuse(causes, ~((prior >= 0) & (prior <= 1)), "the prior is not within 0 to 1")
    with np.errstate(divide="ignore"):
        odds = prior / (1 - prior)
    link = [[links.get(cause, {}).get(finding, 0.0) for finding in findings] for cause in causes]
    leak = [leaks.get(name, 0.0) if isinstance(leaks, Mapping) else leaks for name in findings]
    return Network(
        causes=causes,
        findings=findings,
        odds=odds,
        link=np.array(link, dtype=np.float64).reshape(len(causes), len(findings)),
        leak=np.array(leak, dtype=np.float64),
        twins=causes,
        least=least,
        most=most_that_fit(len(causes)) if most is None else most,
    )


def _position(name: str, names: tuple[str, ...], noun: str) -> int:
    if name not in names:
        raise OutOfRangeError(f'there is no {noun} called "{name}" in this table')
    return names.index(name)
