"""Of what was done before a card came into the visit: which of it is still so, and need not be done again?

References
----------
The rules are common practice, no source; the engine maker's manual comes first.
"""

from __future__ import annotations

from collections.abc import Sequence

from tickover.science.core.kinds import kinds_checked
from tickover.science.planning.work_sequence.acts import Act, StepOfCard
from tickover.science.planning.work_sequence.merging import MergedStep, SequencedStep, VisitCard

__all__ = ["begun"]


@kinds_checked
def begun(done: Sequence[SequencedStep], cards: Sequence[VisitCard]) -> list[MergedStep]:
    """What is done, serving also the steps of later cards that need not be done again.

    Parameters
    ----------
    done : in their order
    cards : all cards of the visit; one that no done step serves came later

    Returns
    -------
    list[MergedStep]

    Raises
    ------
    OutOfRangeError
        cards that are none

    Examples
    --------
    >>> begun((), [])
    []
    """
    nodes = [
        MergedStep(s.act, s.stage, list(s.serves), s.second_check, False, list(s.held), s.reading)
        for s in done
    ]
    known = {card for node in nodes for card, _ in node.serves}
    for card in cards:
        if card.id not in known:
            for step, node in _still_so(card, nodes):
                node.serves.append((card.id, step.id))
    return nodes


def _still_so(card: VisitCard, nodes: Sequence[MergedStep]) -> list[tuple[StepOfCard, MergedStep]]:
    """Steps of a card, each with what was done for it; none behind one that has to be done again."""
    again: list[Act] = []
    found = []
    for step in card.steps:
        places = [n for n, node in enumerate(nodes) if _does(node, step)]
        kept = places and _undisturbed(step.act, nodes[places[-1] + 1 :])
        if kept and not any(_undoes(act, step.act) for act in again):
            found.append((step, nodes[places[-1]]))
        else:
            again.append(step.act)
    return found


def _does(node: MergedStep, step: StepOfCard) -> bool:
    return node.reading == step.reading and (node.act.id == step.act.id or step.act.id in node.act.covers)


def _undisturbed(act: Act, later: Sequence[MergedStep]) -> bool:
    return not any(_undoes(node.act, act) for node in later)


def _undoes(later: Act, act: Act) -> bool:
    """Whether an act takes back what another did."""
    if set(later.closes) & set(act.opens) or set(later.opens) & set(act.closes):
        return True
    if set(later.voids) & set(act.proves) or set(later.takes_out) & set(act.puts_in):
        return True
    if (later.opens or later.closes) and "engine-looked-over" in act.proves:
        return True
    return any(later.leaves.get(key, value) != value for key, value in act.leaves.items())
