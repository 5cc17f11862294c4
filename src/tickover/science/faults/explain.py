"""Why is this cause suspected, and what would change the answer? In words that can be checked.

A finding's effect on a cause is the chance of the cause with it over the chance without it, everything else
being known: "makes an intake leak about five times as likely as before".

References
----------
J. Pearl, *Probabilistic Reasoning in Intelligent Systems* (1988), section 4.3.2, for noisy-OR (from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import entr

from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.core.kinds import kinds_checked
from tickover.science.core.results import NamedFigures
from tickover.science.core.working import Quantity, Working
from tickover.science.faults.posterior import Posterior, posterior
from tickover.science.faults.sets import Floats
from tickover.science.faults.without import looked_for, shares_without

_TIMES = (
    "",
    "",
    "twice",
    "three times",
    "four times",
    "five times",
    "six times",
    "seven times",
    "eight times",
)
_PARTS = ("", "", "half", "a third", "a quarter", "a fifth", "a sixth", "a seventh", "an eighth")


@dataclass(frozen=True)
class Effect:
    """What one finding does to one suspect. `ratio`: chance with the finding over chance without it. [-]"""

    suspect: str
    finding: str
    seen: bool
    ratio: float

    def in_words(self, titles: Mapping[str, str]) -> str:
        """For example "Idle races: makes Intake leak about five times as likely as before"."""
        state = titles[self.finding] + ("" if self.seen else " (not there)")
        return f"{state}: makes {titles[self.suspect]} {times_as_likely(self.ratio)}"


@dataclass(frozen=True)
class Sensitivity:
    """An answer still open that would put another suspect first. `chance` of that answer; its new share. [-]"""

    finding: str
    seen: bool
    chance: float
    leader: str
    share: float

    def in_words(self, titles: Mapping[str, str]) -> str:
        """For example "Oily wet at a seal, if seen (chance 12 in 100): Crank seal leaks would lead, 36 %"."""
        answer = "if seen" if self.seen else "if not there"
        chance = "less than 1" if self.chance < 0.01 else f"{self.chance * 100:.0f}"
        return (
            f"{titles[self.finding]}, {answer} ({chance} in 100): "
            f"{titles[self.leader]} would lead, {self.share * 100:.0f} %"
        )


def times_as_likely(ratio: float) -> str:
    """A ratio in words: "about five times as likely as before". [-]"""
    if 0.8 < ratio < 1.25:
        return "about as likely as before"
    if 0.6 < ratio < 1.75:
        return "somewhat more likely than before" if ratio > 1 else "somewhat less likely than before"
    whole = round(max(ratio, 1 / max(ratio, 1e-9)))
    if whole > 50:
        return (
            "more than fifty times as likely as before"
            if ratio > 1
            else "less than a fiftieth as likely as before"
        )
    words = _TIMES if ratio > 1 else _PARTS
    if whole < len(words):
        return f"about {words[whole]} as likely as before"
    return f"about {whole} times as likely as before" if ratio > 1 else f"about 1/{whole} as likely as before"


@kinds_checked
def effects(now: Posterior, suspect: str) -> tuple[Effect, ...]:
    """What each finding looked for does to a suspect (a cause or a group of twins), the strongest first.

    Parameters
    ----------
    now : Posterior
        The evidence, weighed.
    suspect : str
        Name of a cause, or of a group of twins.

    Returns
    -------
    tuple[Effect, ...]

    Raises
    ------
    OutOfRangeError
        For a cause or a finding that the network does not have.

    Examples
    --------
    >>> from tickover.science.faults.network import noisy_or
    >>> from tickover.science.faults.posterior import posterior
    >>> links = {"worn reed": {"hard to start": 0.8}, "leak": {"hard to start": 0.5, "idle races": 0.9}}
    >>> net = noisy_or({"worn reed": 0.2, "leak": 0.1}, links, 0.01)
    >>> now = posterior(net, {"hard to start": True, "idle races": False})
    >>> [(e.finding, round(e.ratio, 2)) for e in effects(now, "leak")]
    [('idle races', 0.13), ('hard to start', 3.38)]
    """
    return effects_on(now, [suspect])[suspect]


@kinds_checked
def effects_on(now: Posterior, suspects: Sequence[str]) -> dict[str, tuple[Effect, ...]]:
    """As `effects`, for several suspects at once, which takes hardly longer than for one.

    Parameters
    ----------
    now : Posterior
        The evidence, weighed.
    suspects : sequence of str
        Names of causes, or of groups of twins.

    Returns
    -------
    dict[str, tuple[Effect, ...]]

    Raises
    ------
    OutOfRangeError
        For a cause or a finding that the network does not have.

    Examples
    --------
    >>> from tickover.science.faults.network import noisy_or
    >>> from tickover.science.faults.posterior import posterior
    >>> links = {"worn reed": {"hard to start": 0.8}, "leak": {"hard to start": 0.5, "idle races": 0.9}}
    >>> net = noisy_or({"worn reed": 0.2, "leak": 0.1}, links, 0.01)
    >>> now = posterior(net, {"hard to start": True, "idle races": False})
    >>> list(effects_on(now, ["leak", "worn reed"]))
    ['leak', 'worn reed']
    """
    names, table = looked_for(now.evidence), now.network.table
    rows = [now.network.row(suspect) for suspect in suspects]
    before = shares_without(now, names, rows)
    share = (table.members[rows] @ now.weights)[:, None]
    ratios = np.divide(share, before, out=np.ones_like(before), where=before > 0)
    return {
        suspect: tuple(
            Effect(suspect, names[n], names[n] in now.evidence.seen, float(line[n]))
            for n in np.argsort(-np.abs(np.log(np.maximum(line, 1e-12))), kind="stable")
        )
        for suspect, line in zip(suspects, ratios, strict=True)
    }


@kinds_checked
def sensitivities(now: Posterior, open_findings: Iterable[str]) -> tuple[Sensitivity, ...]:
    """Answers that would put another suspect first, the likeliest answer first.

    Parameters
    ----------
    now : Posterior
        The evidence, weighed.
    open_findings : iterable of str
        Findings that may be looked for; those that were are left out.

    Returns
    -------
    tuple[Sensitivity, ...]

    Raises
    ------
    OutOfRangeError
        For a cause or a finding that the network does not have.

    Examples
    --------
    >>> from tickover.science.faults.network import noisy_or
    >>> from tickover.science.faults.posterior import posterior
    >>> links = {"worn reed": {"hard to start": 0.8}, "leak": {"hard to start": 0.5, "idle races": 0.9}}
    >>> net = noisy_or({"worn reed": 0.2, "leak": 0.1}, links, 0.01)
    >>> now = posterior(net, {"hard to start": True, "idle races": False})
    >>> now = posterior(net, {"hard to start": True})
    >>> [(s.finding, s.seen, s.leader) for s in sensitivities(now, ["idle races"])]
    [('idle races', True, 'leak')]
    """
    names = [name for name in open_findings if name not in now.evidence.seen | now.evidence.absent]
    columns = [now.network.finding(name) for name in names]
    leader = now.network.groups[int(now.group_shares.argmax())]
    found = [
        Sensitivity(name, seen, chance, then, share)
        for seen in (True, False)
        for name, (chance, then, share) in zip(names, _leaders(now, columns, seen=seen), strict=True)
        if then != leader and chance > 0
    ]
    return tuple(sorted(found, key=lambda turn: -turn.chance))


def bits_about(now: Posterior, suspect: str) -> Floats:
    """Expected information of each finding about one suspect alone, shape (findings,). [bit]"""
    share, joint = now.share(suspect), now.joint_with_seen(suspect)
    four = np.array([joint, now.chances - joint, share - joint, 1 - share - now.chances + joint])
    apart = entr([share, 1 - share]).sum() + entr(now.chances) + entr(1 - now.chances)
    shared = (apart - entr(np.clip(four, 0.0, 1.0)).sum(axis=0)) / np.log(2)
    return np.asarray(np.maximum(shared, 0.0), dtype=np.float64)


@dataclass(frozen=True)
class Leader(NamedFigures):
    """The probable cause that would lead, and its chance. [-]"""

    suspect: str
    share: float


@kinds_checked
def leader_after(now: Posterior, finding: str, *, seen: bool) -> Leader:
    """Who would lead after that answer, and with what chance [-]; what was answered before is let go.

    Parameters
    ----------
    now : Posterior
        The evidence, weighed.
    finding : str
        Name of the finding.
    seen : bool
        Whether it would be seen, or looked for and absent.

    Returns
    -------
    Leader

    Raises
    ------
    OutOfRangeError
        For a cause or a finding that the network does not have.

    Examples
    --------
    >>> from tickover.science.faults.network import noisy_or
    >>> from tickover.science.faults.posterior import posterior
    >>> links = {"worn reed": {"hard to start": 0.8}, "leak": {"hard to start": 0.5, "idle races": 0.9}}
    >>> net = noisy_or({"worn reed": 0.2, "leak": 0.1}, links, 0.01)
    >>> now = posterior(net, {"hard to start": True, "idle races": False})
    >>> leader_after(now, "idle races", seen=True).suspect
    'leak'
    """
    if finding in now.evidence.seen | now.evidence.absent:
        now = posterior(now.network, now.evidence.without(finding))
    _, name, share = _leaders(now, [now.network.finding(finding)], seen=seen)[0]
    return Leader(name, share)


def _leaders(now: Posterior, columns: list[int], *, seen: bool) -> list[tuple[float, str, float]]:
    """For each finding the chance of that answer, who would lead then, and with what chance. [-]"""
    joint = now.group_shares_and_seen[:, columns]
    joint = joint if seen else np.maximum(now.group_shares[:, None] - joint, 0.0)
    chance = now.chances[columns] if seen else 1 - now.chances[columns]
    first = joint.argmax(axis=0)
    share = joint[first, np.arange(len(columns))] / np.maximum(chance, 1e-300)
    return [(float(c), now.network.groups[n], float(s)) for c, n, s in zip(chance, first, share, strict=True)]


@kinds_checked
def share_working(now: Posterior, suspect: str, titles: Mapping[str, str]) -> Working:
    """How the chance of a suspect comes about.

    Parameters
    ----------
    now : Posterior
        The evidence, weighed.
    suspect : str
        Name of a cause, or of a group of twins.
    titles : mapping from str to str
        What causes and findings are called for a person.

    Returns
    -------
    Working

    Raises
    ------
    OutOfRangeError
        For a name that has no title, and for a cause that the network does not have.

    Examples
    --------
    >>> from tickover.science.faults.network import noisy_or
    >>> from tickover.science.faults.posterior import posterior
    >>> links = {"worn reed": {"hard to start": 0.8}, "leak": {"hard to start": 0.5, "idle races": 0.9}}
    >>> net = noisy_or({"worn reed": 0.2, "leak": 0.1}, links, 0.01)
    >>> now = posterior(net, {"hard to start": True, "idle races": False})
    >>> titles = {name: name for name in (*net.causes, *net.findings)}
    >>> print(f"{share_working(now, 'leak', titles).result.value:.3f}")
    0.037
    """
    if untitled := sorted(
        {suspect, *now.evidence.seen, *now.evidence.absent, *now.network.multipliers} - set(titles)
    ):
        raise OutOfRangeError(f"{', '.join(untitled)}: has no title here")
    start = posterior(now.network).share(suspect)
    raised = [
        Quantity(f"odds of {titles[name]} multiplied", factor, "times")
        for name, factor in now.network.multipliers.items()
        if suspect in (name, now.network.twins[now.network.cause(name)])
    ]
    if raised:
        listed = posterior(now.network.as_tabled()).share(suspect)
        raised.insert(0, Quantity("by the table alone", listed, ""))
    effects_shown = [
        Quantity(titles[effect.finding], effect.ratio, "times", "seen" if effect.seen else "absent")
        for effect in effects(now, suspect)
    ]
    return Working(
        title=f"chance of {titles[suspect]}",
        formula="sum of odds x chance of the findings over sets with the cause / the same sum over all sets",
        inputs=(*raised, Quantity("before any finding", start, ""), *effects_shown),
        result=Quantity("chance that it is present", now.share(suspect), ""),
        validity=(
            f"causes independent, up to {now.network.most} at a time; more hold at most {now.beyond:.1%}. "
            "Each factor is taken with all other findings known: together they do not multiply"
        ),
        source="noisy-OR, J. Pearl (1988), section 4.3.2",
        authority="from memory",
    )
