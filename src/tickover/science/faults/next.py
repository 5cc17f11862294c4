"""What is worth looking at next: a question, a test, or is it time to repair?

Danger comes first: a finding that says stop is told before anything else, and one that is likely is looked for
before anything else. Then the look that tells most for its minutes, openings counted only where they are still
closed. A look that destroys evidence says that a photograph comes first, and pays for it.

Notes
-----
Information is about the whole set of causes. [bit] Whether looking beats repairing at once is judged one look
ahead, by the expected minutes of `faults.repair`: minutes of the look, and of the repairs in the order that each
answer would give. That supposes one fault; two looks that pay only together are not seen.

References
----------
D.V. Lindley, "On a measure of the information provided by an experiment", *Annals of Mathematical Statistics* 27
(1956) 986, for expected information.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from tickover.science.core.input_checks import OutOfRangeError, checked, checked_one
from tickover.science.core.kinds import checked_fields, kinds_checked
from tickover.science.core.plausible import REPAIR_MIN
from tickover.science.faults.posterior import Posterior
from tickover.science.faults.repair import RepairOrder, expected_minutes, repair_order
from tickover.science.faults.sets import Floats
from tickover.science.planning.access import Opening, opened_for

LONGEST_MIN = 1e5
"""Two hundred working days: no look and no repair of a small engine takes longer. [min]"""
PHOTO_MIN = 1.0
"""A photograph before evidence goes. [min]"""
LIKELY_DANGER = 0.15
"""A danger at least this likely is looked for first. [-]"""
LEAST_BITS = 1e-4
WORTH_TIMES = 4.0
"""A look goes before repairs if it saves more than this many times its minutes: the sum of `faults.repair` leaves
out that one looks again after a repair that failed, so that looks seem to save too much. Chosen by simulation. [-]"""


@dataclass(frozen=True)
class Check:
    """A question or a test. `minutes` without its openings [min]; `danger`: what to do when it is seen.

    `running`: it shows only while the engine runs, or is being started; `after`: looks whose evidence it takes
    away, which come first while they still say something.
    """

    id: str
    minutes: float
    access: tuple[str, ...] = ()
    running: bool = False
    destroys_evidence: bool = False
    danger: str = ""
    after: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        checked_fields(self)
        checked_one(f"minutes of {self.id}", self.minutes, 0.0, LONGEST_MIN, "min")


@dataclass(frozen=True)
class SessionContext:
    """The engine as it stands: what is open, what has been photographed, what cannot be done here."""

    open_now: frozenset[str] = frozenset()
    photographed: frozenset[str] = frozenset()
    not_possible: frozenset[str] = frozenset()

    def __post_init__(self) -> None:
        checked_fields(self)
        for name in ("open_now", "photographed", "not_possible"):
            object.__setattr__(self, name, frozenset(getattr(self, name)))


@dataclass(frozen=True)
class NextCheck:
    """A look that may come next.

    chance : that the finding is seen [-]
    bits : expected information [bit]
    minutes : with what has to be opened for it, and the photograph [min]
    expected_min : until the fault is gone, with this look first [min]
    opens : openings it needs that are still closed
    before : findings of danger to look for before the engine runs for it
    """

    look: Check
    chance: float
    bits: float
    minutes: float
    expected_min: float
    opens: tuple[str, ...]
    photo_first: bool
    before: tuple[str, ...]

    @property
    def bits_per_minute(self) -> float:
        """What the ranking goes by. [bit/min]"""
        return self.bits / self.minutes


@dataclass(frozen=True)
class CheckAdvice:
    """The next step.

    step : "stop" on a danger seen, "look" while one is worth its minutes, "repair" when none is
    stops : findings seen that say stop, with what to do
    looks : what may be looked at, the first to do first
    repairs : order of repairs, positions of the network's causes
    saves_min : what the look that saves most saves against repairing now, negative where none does, minus infinite
        where there is none [min]
    """

    step: Literal["stop", "look", "repair"]
    stops: Mapping[str, str]
    looks: tuple[NextCheck, ...]
    repairs: RepairOrder
    saves_min: float


@dataclass(frozen=True, eq=False)
class Choices:
    """What there is to choose from. `repair_min` in the order of the network's causes. [min]"""

    looks: Sequence[Check]
    repair_min: Floats
    access: Sequence[Opening] = field(default=())

    def __post_init__(self) -> None:
        checked_fields(self)


@kinds_checked
def advise(now: Posterior, choices: Choices, bench: SessionContext = SessionContext()) -> CheckAdvice:
    """The next step after the evidence.

    Parameters
    ----------
    now : Posterior
        The evidence, weighed.
    choices : Choices
        Checks that can be made, with minutes, and the minutes of each repair. [min]
    bench : SessionContext, optional
        What is open, photographed or running already.

    Returns
    -------
    CheckAdvice

    Raises
    ------
    OutOfRangeError
        For a look the network does not know, an opening that is not in `access`, minutes not above 0.

    Examples
    --------
    >>> from tickover.science.faults.network import noisy_or
    >>> from tickover.science.faults.posterior import posterior
    >>> links = {"worn reed": {"hard to start": 0.8}, "leak": {"hard to start": 0.5, "idle races": 0.9}}
    >>> net = noisy_or({"worn reed": 0.2, "leak": 0.1}, links, 0.01)
    >>> now = posterior(net, {"hard to start": True})
    >>> found = advise(now, Choices((Check("idle races", 1.0),), np.array([60.0, 30.0])))
    >>> found.step, [one.look.id for one in found.looks]
    ('look', ['idle races'])
    """
    stops = dangers_seen(now, choices)
    repairs = repair_order(now.shares, choices.repair_min)
    looks = next_checks(now, choices, bench)
    saves = max((repairs.expected_min - one.expected_min for one in looks), default=-np.inf)
    worth = any(_saved(one, repairs) > WORTH_TIMES * one.minutes for one in looks)
    step: Literal["stop", "look", "repair"] = "stop" if stops else "look" if worth else "repair"
    return CheckAdvice(step, stops, looks, repairs, float(saves))


def next_checks(
    now: Posterior, choices: Choices, bench: SessionContext = SessionContext()
) -> tuple[NextCheck, ...]:
    """Everything not looked at yet that tells something, the first to do first.

    While a danger that was seen stands, nothing that the engine would run for; while one is likely and not looked
    for, what is seen with the engine still comes first. No look comes before one whose evidence it takes away.
    """
    known = now.evidence.seen | now.evidence.absent | bench.not_possible
    stopped = bool(dangers_seen(now, choices))
    looks = [look for look in choices.looks if look.id not in known and not (stopped and look.running)]
    columns = [now.network.finding(look.id) for look in looks]
    dangers = [look.id for look in looks if look.danger and not look.running and not look.access]
    later = repair_minutes_after(now, columns, choices.repair_min)
    found = []
    for look, column, repair_min in zip(looks, columns, later, strict=True):
        closed = [o for o in opened_for(look.access, choices.access) if o.id not in bench.open_now]
        photo = look.destroys_evidence and look.id not in bench.photographed
        minutes = look.minutes + sum(o.minutes for o in closed) + PHOTO_MIN * photo
        if minutes <= 0:
            raise OutOfRangeError(f"{look.id}: minutes of a look must be above 0, not {minutes:g}")
        found.append(
            NextCheck(
                look=look,
                chance=float(now.chances[column]),
                bits=float(now.bits[column]),
                minutes=minutes,
                expected_min=minutes + float(repair_min),
                opens=tuple(o.id for o in closed),
                photo_first=photo,
                before=tuple(dangers) if look.running else (),
            )
        )
    return _in_order([one for one in found if one.bits >= LEAST_BITS or _pressing(one)])


def _in_order(telling: Sequence[NextCheck]) -> tuple[NextCheck, ...]:
    risky = any(_pressing(one) for one in telling)
    best = sorted(
        telling, key=lambda one: (not _pressing(one), risky and one.look.running, -one.bits_per_minute)
    )
    waiting = {one.look.id for one in best}
    order: list[NextCheck] = []
    held: list[NextCheck] = []
    for one in best:
        if waiting.intersection(one.look.after):
            held.append(one)
            continue
        order.append(one)
        waiting.discard(one.look.id)
        free = [other for other in held if not waiting.intersection(other.look.after)]
        order += free
        held = [other for other in held if other not in free]
    return (*order, *held)


def dangers_seen(now: Posterior, choices: Choices) -> dict[str, str]:
    """Findings seen that stop everything, with what to do."""
    return {look.id: look.danger for look in choices.looks if look.danger and look.id in now.evidence.seen}


@kinds_checked
def repair_minutes_after(now: Posterior, columns: Sequence[int], minutes: Floats) -> Floats:
    """Expected minutes of repairs once each finding has been looked for, shape (len(columns),). [min]

    Parameters
    ----------
    now : Posterior
        The evidence, weighed.
    columns : sequence of int [m]
        Columns of the findings in the network.
    minutes : array [causes]
        Of the repair of each cause. [min]

    Returns
    -------
    Floats

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> from tickover.science.faults.network import noisy_or
    >>> from tickover.science.faults.posterior import posterior
    >>> links = {"worn reed": {"hard to start": 0.8}, "leak": {"hard to start": 0.5, "idle races": 0.9}}
    >>> net = noisy_or({"worn reed": 0.2, "leak": 0.1}, links, 0.01)
    >>> now = posterior(net, {"hard to start": True})
    >>> repair_minutes_after(now, [net.finding("idle races")], np.array([60.0, 30.0])).round(1)
    array([57.])
    """
    checked("minutes of a repair", minutes, REPAIR_MIN.least, REPAIR_MIN.upper, "min", REPAIR_MIN.wanted)
    if minutes.shape != now.shares.shape:
        raise OutOfRangeError(
            f"give the minutes of every cause, {now.shares.size} of them; got {minutes.size}"
        )
    if not all(0 <= column < len(now.network.findings) for column in columns):
        raise OutOfRangeError(
            f"columns of findings are 0 to {len(now.network.findings) - 1}; got {list(columns)}"
        )
    seen = now.shares_and_seen[:, list(columns)]
    absent = np.maximum(now.shares[:, None] - seen, 0.0)
    chance = now.chances[list(columns)]
    return chance * expected_minutes(seen, minutes) + (1 - chance) * expected_minutes(absent, minutes)


def _saved(one: NextCheck, repairs: RepairOrder) -> float:
    """Expected minutes of repair that the answer saves, the minutes of the look not counted. [min]"""
    return repairs.expected_min - (one.expected_min - one.minutes)


def _pressing(one: NextCheck) -> bool:
    return bool(one.look.danger) and one.chance >= LIKELY_DANGER
