"""In what order is the work of several cards done as one, so that each opening is opened once and time is short?

Orders that matter are kept: what lies behind an opening, states, evidence, proofs, soaks, and each card's own order
in one place of the engine. Among the orders left, the one with the fewest changes of place is taken; each change
costs a walk and other tools. The finished card is gone through by `card_states`; a card whose steps break a rule in
company is kept apart and done by itself.

References
----------
The rules are common practice, no source; the engine maker's manual comes first.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.core.kinds import kinds_checked
from tickover.science.planning.work_sequence.acts import StepOfCard
from tickover.science.planning.work_sequence.card_states import SAFE_TO_RUN, CardEnds, CardFault, card_faults
from tickover.science.planning.work_sequence.merging import (
    MergedStep,
    SequencedStep,
    Stage,
    StepName,
    VisitCard,
    merged,
)
from tickover.science.planning.work_sequence.ordering import ClashingOrders, in_order
from tickover.science.planning.work_sequence.still_so import begun

__all__ = ["SequencedStep", "VisitCard", "WorkSequence", "work_sequence"]

CHANGE_MIN = 1.0
"""Walking round the machine and laying other tools out: our supposition. [min]"""


@dataclass(frozen=True)
class WorkSequence:
    """The one card. Minutes are work, without waiting for the engine to cool; those of the cards one by one are for
    comparison. [min]

    `changes` of place, and `changes_least`, below which no order of the same steps comes. `apart`: cards that share
    nothing, since their order contradicts the others'.
    """

    steps: tuple[SequencedStep, ...]
    minutes: float
    minutes_alone: float
    steps_alone: int
    changes: int
    changes_least: int
    apart: tuple[str, ...] = ()

    @property
    def minutes_saved(self) -> float:
        """Against the cards one by one. [min]"""
        return self.minutes_alone - self.minutes


@kinds_checked
def work_sequence(
    cards: Sequence[VisitCard], requires: Mapping[str, Sequence[str]], done: Sequence[SequencedStep] = ()
) -> WorkSequence:
    """The cards of a visit as one card.

    Parameters
    ----------
    cards : in the order in which their tasks were chosen; one alone stays as it is
    requires : for each opening, what has to be open before it
    done : steps of an earlier card of the same visit that are done, in their order. They stay as they are, and serve
        a card that came later only where what they did is still so; the rest is put in order after them.

    Returns
    -------
    WorkSequence
        minutes [min]; the same for the same cards

    Raises
    ------
    OutOfRangeError
        no cards, or two of one id

    Examples
    --------
    >>> from tickover.science.planning.work_sequence.acts import Act
    >>> safe = StepOfCard("make-safe", Act("make-safe", 2.0, action="secure"))
    >>> look = StepOfCard("look", Act("look", 3.0))
    >>> one = work_sequence([VisitCard("a", (safe, look)), VisitCard("b", (safe, look))], {})
    >>> [step.name for step in one.steps], one.minutes, one.minutes_saved
    ([('a', 'make-safe'), ('a', 'look')], 5.0, 5.0)
    """
    if not cards:
        raise OutOfRangeError("cards: none were given; give one at least")
    ids = [card.id for card in cards]
    if twice := [name for n, name in enumerate(ids) if name in ids[:n]]:
        raise OutOfRangeError(f"cards: {twice[0]!r} comes twice; one of them is enough")
    prefix = begun(done, cards)
    served = {name for node in prefix for name in node.serves}
    rest = [replace(card, steps=_left(card, served)) for card in cards]
    rest = [card for card in rest if card.steps]
    apart: list[str] = []
    while len(apart) < len(rest):
        try:
            order = in_order(merged(rest, apart), rest, requires, apart, prefix)
        except ClashingOrders as clash:
            apart.append(_last_of(clash.cards, rest, apart))
            continue
        faults = _faults([*prefix, *order], cards, requires)
        late = [fault for fault in faults if fault.step not in {_joined(node.name) for node in prefix}]
        if not late:
            return _sequence([*prefix, *order], cards, apart)
        apart.append(_last_of(_cards_of(late, order), rest, apart))
    return _sequence([*prefix, *_stacked(rest)], cards, [card.id for card in rest] if len(rest) > 1 else ())


def _left(card: VisitCard, served: set[StepName]) -> tuple[StepOfCard, ...]:
    return tuple(step for step in card.steps if (card.id, step.id) not in served)


def _last_of(names: set[str], cards: Sequence[VisitCard], apart: Sequence[str]) -> str:
    """The last chosen of some cards that is not apart yet; the last of all, where none of them is left."""
    left = [card.id for card in cards if card.id not in apart]
    return next((name for name in reversed(left) if name in names), left[-1])


def _cards_of(faults: Sequence[CardFault], order: Sequence[MergedStep]) -> set[str]:
    """Cards of the first step that broke a rule."""
    named = {_joined(node.name): node for node in order}
    return {card for card, _ in named[faults[0].step].serves}


def _joined(name: StepName) -> str:
    return ".".join(name)


def _faults(
    order: Sequence[MergedStep], cards: Sequence[VisitCard], requires: Mapping[str, Sequence[str]]
) -> tuple[CardFault, ...]:
    names = {served: _joined(node.name) for node in order for served in node.serves}
    steps = [
        StepOfCard(
            _joined(n.name), n.act, n.second_check, tuple(names[h] for h in n.held if h in names), n.no_hold
        )
        for n in order
    ]
    stages = {_joined(node.name): node.stage for node in order} | {n.act.id: n.stage for n in order}
    return tuple(
        fault
        for fault in card_faults(steps, requires, _ends(cards), may_wait=True)
        # What comes first where both are done does so within a stage.
        if fault.rule != "after" or stages.get(fault.other, Stage.LOOK) <= stages[fault.step]
    )


def _ends(cards: Sequence[VisitCard]) -> CardEnds:
    def all_of(key: str) -> tuple[str, ...]:
        return tuple(dict.fromkeys(name for card in cards for name in getattr(card.ends, key)))

    ends = CardEnds(*(all_of(key) for key in ("found_open", "left_open", "found_in", "left_in", "proves")))
    # A run of another card takes back what makes a run safe.
    return replace(ends, proves=tuple(name for name in ends.proves if name not in SAFE_TO_RUN))


def _stacked(cards: Sequence[VisitCard]) -> list[MergedStep]:
    """The cards one after the other, as they are."""
    return [
        MergedStep(
            step.act,
            Stage.WORK,
            [(card.id, step.id)],
            step.second_check,
            held=[(card.id, name) for name in step.hold_before],
            reading=step.reading,
        )
        for card in cards
        for step in card.steps
    ]


def _sequence(order: Sequence[MergedStep], cards: Sequence[VisitCard], apart: Sequence[str]) -> WorkSequence:
    steps = tuple(
        SequencedStep(
            n.name, n.act, n.stage, tuple(n.serves), n.second_check, tuple(dict.fromkeys(n.held)), n.reading
        )
        for n in order
    )
    every = [step for card in cards for step in card.steps]
    return WorkSequence(
        steps,
        sum(step.act.minutes for step in steps),
        sum(step.act.minutes for step in every),
        len(every),
        _changes([step.act.area for step in steps]),
        _changes_least(steps),
        tuple(apart),
    )


def _changes(areas: Sequence[str]) -> int:
    return sum(one != next_ for one, next_ in pairwise(areas))


def _changes_least(steps: Sequence[SequencedStep]) -> int:
    """Each place of each stage is come to once at least; two stages may share one."""
    stages = sorted({step.stage for step in steps})
    places = [{step.act.area for step in steps if step.stage is stage} for stage in stages]
    shared = sum(bool(one & other) for one, other in pairwise(places))
    return max(0, sum(len(place) for place in places) - 1 - shared)
