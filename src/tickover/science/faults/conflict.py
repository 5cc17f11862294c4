"""Is there a finding that nothing likely explains, so that it may be mistaken?

A finding that was seen came from a cause that is present, or by itself: by mistake, by habit, or from something
that is on no list. How likely the latter is, after all the evidence, is a chance like any other: of the findings
told with 70 %, seven in ten came by themselves, if the table is right. A finding that is absent though its cause
is present is no conflict: the table says how often that happens.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tickover.science.core.kinds import kinds_checked
from tickover.science.faults.network import Evidence
from tickover.science.faults.posterior import Posterior, posterior
from tickover.science.faults.sets import Floats
from tickover.science.faults.without import factor, looked_for

LIKELY_STRAY = 0.6
"""A finding at least this likely to have come by itself is told. Chosen by simulation: four to eight looks in,
then at most one case in twenty-five has a finding told that a cause did bring about. [-]"""


@dataclass(frozen=True)
class Conflict:
    """A finding that came by itself, it seems, and what was found that fits it worst.

    stray : the finding seen; `chance` that no cause that is present brought it about [-]
    other : what else was looked for and goes with it least
    fit : how much more often the two come together than by chance, below 1 if less often [-]
    """

    stray: str
    chance: float
    other: str
    fit: float

    @property
    def pair(self) -> tuple[str, str]:
        """The two that go together least."""
        return self.stray, self.other


@kinds_checked
def conflict(now: Posterior) -> Conflict | None:
    """The finding that is least explained by the others, and what it goes with least; None where all are."""
    stray, chance = max(by_itself(now).items(), key=lambda item: item[1], default=("", 0.0))
    others = [name for name in looked_for(now.evidence) if name != stray]
    if chance < LIKELY_STRAY or not others:
        return None
    before = posterior(now.network, Evidence(found=now.evidence.found, ruled_out=now.evidence.ruled_out))
    joint = before.weights * factor(now, stray)
    fits = {name: _fit(before.weights, joint, factor(now, name)) for name in others}
    worst = min(others, key=lambda name: fits[name])
    return Conflict(stray, chance, worst, fits[worst])


@kinds_checked
def by_itself(now: Posterior) -> dict[str, float]:
    """For each finding seen, the chance that no cause that is present brought it about. [-]

    With leak l and a set of causes S that finding alone would show by itself in
    ``l (1 - P(f | S)) / ((1 - l) P(f | S))`` of the times it shows; this is the mean over all sets.
    """
    found = {}
    for name in sorted(now.evidence.seen):
        leak, shows = (
            now.network.leak[now.network.finding(name)],
            now.network.shows[now.network.finding(name)],
        )
        if leak < 1:
            odds = np.divide(1 - shows, shows, out=np.zeros_like(shows), where=shows > 0)
            found[name] = float(leak / (1 - leak) * (now.weights * odds).sum())
    return found


def _fit(weights: Floats, joint: Floats, other: Floats) -> float:
    apart = float((weights * other).sum() * joint.sum())
    return float((joint * other).sum()) / apart if apart > 0 else 1.0
