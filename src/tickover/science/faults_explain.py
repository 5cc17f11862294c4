"""Why is this cause suspected, and what would change the answer? In words that can be checked.

A finding's effect on a cause is the chance of the cause with it over the chance without it, everything else
being known: "makes an intake leak about five times as likely as before".

References
----------
F.V. Jensen, B. Chamberlain, T. Nordahl, F. Jensen, "Analysis in HUGIN of data conflict", *Proceedings of the
Sixth Conference on Uncertainty in Artificial Intelligence* (1990), for the measure of conflict.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from tickover.science.faults import Evidence, Floats
from tickover.science.faults_posterior import Posterior, posterior
from tickover.science.working import Quantity, Working

CONFLICT_BITS = 3.0
"""Findings that fit together eight times worse than by chance are told. [bit]"""

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
        state = titles[self.finding] + ("" if self.seen else " (looked for and absent)")
        return f"{state}: makes {titles[self.suspect]} {times_as_likely(self.ratio)}"


@dataclass(frozen=True)
class Turn:
    """An answer still open that would put another suspect first. `chance` of that answer; its new share. [-]"""

    finding: str
    seen: bool
    chance: float
    leader: str
    share: float

    def in_words(self, titles: Mapping[str, str]) -> str:
        """For example "Oily wet at a seal, if seen (chance 12 in 100): Crank seal leaks would lead, 36 %"."""
        answer = "if seen" if self.seen else "if looked for and absent"
        chance = "less than 1" if self.chance < 0.01 else f"{self.chance * 100:.0f}"
        return (
            f"{titles[self.finding]}, {answer} (chance {chance} in 100): "
            f"{titles[self.leader]} would lead, {self.share * 100:.0f} %"
        )


@dataclass(frozen=True)
class Conflict:
    """How badly findings fit together, and the two that fit worst. [bit]"""

    bits: float
    pair: tuple[str, str]
    pair_bits: float


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


def effects(now: Posterior, suspect: str) -> tuple[Effect, ...]:
    """What each finding looked for does to a suspect (a cause or a group of twins), the strongest first."""
    share = _share(now, suspect)
    found = []
    for finding in sorted(now.evidence.seen | now.evidence.absent):
        before = _share(posterior(now.network, now.evidence.without(finding)), suspect)
        ratio = share / before if before > 0 else 1.0
        found.append(Effect(suspect, finding, finding in now.evidence.seen, ratio))
    return tuple(sorted(found, key=lambda effect: -abs(np.log(max(effect.ratio, 1e-12)))))


def turns(now: Posterior, open_findings: Iterable[str]) -> tuple[Turn, ...]:
    """Answers that would put another suspect first, the likeliest answer first."""
    names = [name for name in open_findings if name not in now.evidence.seen | now.evidence.absent]
    columns = [now.network.finding(name) for name in names]
    groups = now.network.groups
    present = now.joint_groups(now.weights[None, :])
    seen = now.joint_groups(now.network.shows[columns] * now.weights)
    leader = int(present[:, 0].argmax())
    found = []
    for n, name in enumerate(names):
        chance = float(now.chances[columns[n]])
        for is_seen, joint, likely in ((True, seen, chance), (False, present - seen, 1 - chance)):
            first = int(joint[:, n].argmax())
            if first != leader and likely > 0:
                found.append(Turn(name, is_seen, likely, groups[first], float(joint[first, n] / likely)))
    return tuple(sorted(found, key=lambda turn: -turn.chance))


def conflict(now: Posterior) -> Conflict | None:
    """Whether the findings contradict each other, and which two do so most; None where they do not.

    The measure is the logarithm of the product of each finding's own chance over the chance of all together.
    """
    before = posterior(now.network, Evidence(found=now.evidence.found, ruled_out=now.evidence.ruled_out))
    names = sorted(now.evidence.seen | now.evidence.absent)
    if len(names) < 2:
        return None
    chance, pairs = _chances(before, now, names)
    together = (now.log10_chance - before.log10_chance) * np.log2(10)
    bits = float(np.log2(chance).sum() - together)
    np.fill_diagonal(pairs, np.inf)
    one, other = divmod(int(pairs.argmin()), len(names))
    if max(bits, -pairs[one, other]) < CONFLICT_BITS:
        return None
    return Conflict(bits, (names[min(one, other)], names[max(one, other)]), float(-pairs[one, other]))


def share_working(now: Posterior, suspect: str, titles: Mapping[str, str]) -> Working:
    """How the chance of a suspect comes about."""
    start = _share(posterior(now.network), suspect)
    told = [
        Quantity(titles[effect.finding], effect.ratio, "times", "seen" if effect.seen else "absent")
        for effect in effects(now, suspect)
    ]
    return Working(
        title=f"chance of {titles[suspect]}",
        formula="sum of odds x chance of the findings over sets with the cause / the same sum over all sets",
        inputs=(Quantity("before any finding", start, ""), *told),
        result=Quantity("chance that it is present", _share(now, suspect), ""),
        validity=(
            f"causes independent, up to {now.network.most} at a time; more hold at most {now.beyond:.1%}. "
            "Each factor is taken with all other findings known: together they do not multiply"
        ),
        source="noisy-OR, J. Pearl (1988), section 4.3.2",
        standing="from memory",
    )


def _chances(before: Posterior, now: Posterior, names: list[str]) -> tuple[Floats, Floats]:
    """Chance of each finding as it was found; for each pair, how much better than by chance it fits. [-] [bit]"""
    rows = now.network.shows[[now.network.finding(name) for name in names]]
    absent = np.array([name in now.evidence.absent for name in names])
    likely = np.where(absent[:, None], 1 - rows, rows)
    chance = np.maximum(likely @ before.weights, 1e-300)
    both = np.maximum((likely * before.weights) @ likely.T, 1e-300)
    return chance, np.log2(both / np.outer(chance, chance))


def _share(now: Posterior, suspect: str) -> float:
    if suspect in now.network.groups:
        place = now.network.groups.index(suspect)
        return float(now.joint_groups(now.weights[None, :])[place, 0])
    return now.share(suspect)
