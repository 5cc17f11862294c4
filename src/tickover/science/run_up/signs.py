"""Which signs of trouble does a run-up show, and which does it rule out? The ids that fault-finding goes by.

A sign is a word of the trade for what was seen, whichever verdicts saw it: `static-rpm-low` whether the speed is below
the type's limit or below this engine's own. What a run did not measure, or was too near to tell, is neither seen nor
absent: fault-finding takes it as not looked at.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from tickover.science.core.kinds import kinds_checked
from tickover.science.run_up.findings import RunUpFinding, Severity

__all__ = ["SIGNS", "Sign", "Signs", "signs"]

_SEEN = (Severity.DANGER, Severity.OUTSIDE, Severity.UNLIKE_ITSELF)


@dataclass(frozen=True)
class Sign:
    """What a run-up can show: its title, and the verdicts that show it, each an id and its side."""

    id: str
    title: str
    shown_by: tuple[tuple[str, str], ...]


def _either(measure: str, side: str) -> tuple[tuple[str, str], ...]:
    """The verdict against the type and that against this engine itself."""
    return (measure, side), (f"{measure}-itself", side)


_STATIC_LOW = (*_either("static-rpm-20", "low"), *_either("static-rpm-60", "low"))
_STATIC_HIGH = (("rpm-stop", ""), *_either("static-rpm-20", "high"), *_either("static-rpm-60", "high"))
_CHT_HIGH = (
    ("cht-stop", ""),
    *_either("cht-full", "high"),
    ("cht-reference-itself", "high"),
    ("cht-rate", "high"),
)
_EGT_HIGH = (("egt-stop", ""), *_either("egt-full", "high"), ("egt-rate", "high"))

SIGNS = (
    Sign("idle-low", "Idle low", _either("idle-rpm", "low")),
    Sign("idle-high", "Idle high", _either("idle-rpm", "high")),
    Sign("idle-hunts", "Idle hunts", _either("idle-steadiness", "high")),
    Sign("slow-to-fall-back", "Slow to fall back to idle after a burst", _either("drop-back", "high")),
    Sign("idle-rises-after-burst", "Idle higher after a burst", (("idle-after-burst", "high"),)),
    Sign("hesitates-on-opening", "Hesitates or bogs as it opens", (("bog", "high"), ("flat-spots", "high"))),
    Sign("slow-to-open", "Slow to open", _either("opening", "high")),
    Sign("static-rpm-low", "Static rpm low", _STATIC_LOW),
    Sign("static-rpm-high", "Static rpm high", _STATIC_HIGH),
    Sign("static-thrust-low", "Static thrust low", _either("thrust-reference", "low")),
    Sign("sags-at-full", "Sags at full throttle", (("static-change", "low"),)),
    Sign("climbs-at-full", "Climbs at full throttle", (("climbs-at-full", ""), ("static-change", "high"))),
    Sign("steps-at-full", "Speed steps at full throttle", (("steps-at-full", ""),)),
    Sign("shakes-at-full", "Vibration steps at full throttle", (("shakes-at-full", ""),)),
    Sign("four-strokes-full", "Four-strokes at full throttle", (("four-stroking", "high"),)),
    Sign("never-four-strokes", "No four-stroking at all at full throttle", (("four-stroking", "low"),)),
    Sign("cht-high", "Cylinder head temperature high", _CHT_HIGH),
    Sign("egt-high", "Exhaust gas temperature high", _EGT_HIGH),
)


@dataclass(frozen=True)
class Signs:
    """Ids of the signs that a run shows, and of those that it was measured for and does not show."""

    seen: frozenset[str]
    absent: frozenset[str]


@kinds_checked
def signs(findings: Iterable[RunUpFinding]) -> Signs:
    """What the verdicts of a run say to fault-finding.

    Parameters
    ----------
    findings : iterable of Finding
        By `runup.judge`.
    """
    held = tuple(findings)
    shown = {(finding.id, finding.side) for finding in held if finding.weight in _SEEN}
    good = {finding.id for finding in held if finding.weight is Severity.GOOD}
    near = {(finding.id, finding.side) for finding in held if finding.weight is Severity.CANNOT_TELL}
    seen = frozenset(sign.id for sign in SIGNS if shown.intersection(sign.shown_by))
    absent = frozenset(
        sign.id
        for sign in SIGNS
        if sign.id not in seen
        and not near.intersection(sign.shown_by)
        and good.intersection(id for id, _ in sign.shown_by)
    )
    return Signs(seen, absent)
