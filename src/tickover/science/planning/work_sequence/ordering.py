"""Which of two pieces of merged work comes first, and what order keeps all of that?

References
----------
The rules are common practice, no source; the engine maker's manual comes first.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.core.kinds import kinds_checked
from tickover.science.planning.work_sequence.acts import Act
from tickover.science.planning.work_sequence.card_states import RUNNING, SAFE_TO_RUN
from tickover.science.planning.work_sequence.merging import MergedStep, Stage, StepName, VisitCard

__all__ = ["ClashingOrders", "in_order"]

BACK: Mapping[str, str] = {"fuel": "open", "cap": "on", "stop": "free", "temperature": "cold"}
"""States that the engine goes back to when its work is done: what needs another comes first."""


class ClashingOrders(Exception):  # noqa: N818
    """The cards want orders that contradict each other; `cards` are those of the steps that do, `names` these."""

    def __init__(self, cards: set[str], names: Sequence[StepName] = ()) -> None:
        super().__init__(", ".join(".".join(name) for name in names))
        self.cards, self.names = cards, names


@kinds_checked
def in_order(
    nodes: Sequence[MergedStep],
    cards: Sequence[VisitCard],
    requires: Mapping[str, Sequence[str]],
    apart: Sequence[str],
    done: Sequence[MergedStep] = (),
) -> list[MergedStep]:
    """The merged steps, stage by stage, in an order that keeps what matters; cards kept apart after the others.

    Parameters
    ----------
    nodes, cards : what is done, and the cards it is from
    requires : for each opening, what has to be open before it
    apart : ids of cards that share nothing
    done : what is done already, and is not among the steps

    Returns
    -------
    list[MergedStep]
        each opening opened by the first step that opens it, and closed by the last

    Raises
    ------
    OutOfRangeError
        a step that no card has
    ClashingOrders
        no such order

    Examples
    --------
    >>> from tickover.science.planning.work_sequence.acts import StepOfCard
    >>> from tickover.science.planning.work_sequence.merging import merged
    >>> card = VisitCard("a", (StepOfCard("look", Act("look", 3.0)),))
    >>> [step.name for step in in_order(merged([card]), [card], {}, ())]
    [('a', 'look')]
    """
    found: list[MergedStep] = []
    own = {(card.id, step.id): n for card in cards for n, step in enumerate(card.steps)}
    if unknown := [name for node in nodes for name in node.serves if name not in own]:
        raise OutOfRangeError(f"nodes: {'.'.join(unknown[0])} is a step of none of the cards")
    for stage in sorted({node.stage for node in nodes}):
        here = [node for node in nodes if node.stage is stage]
        shared = [node for node in here if not node.apart]
        alone = [
            n
            for name in apart
            for n in sorted((n for n in here if n.apart == name), key=lambda n: own[n.name])
        ]
        together = _sorted(shared, _before(shared, own, requires))
        found += [*alone, *together] if stage is Stage.AFTER else [*together, *alone]
    return _opened_once(found, done)


def _sorted(nodes: Sequence[MergedStep], before: Sequence[set[int]]) -> list[MergedStep]:
    """One after the other, staying in one place of the engine while there is work in it."""
    left, done = set(range(len(nodes))), set[int]()
    order: list[int] = []
    while left:
        ready = [n for n in sorted(left) if before[n] <= done]
        if not ready:
            cycle = [nodes[n] for n in _cycle(left, before)]
            raise ClashingOrders({card for node in cycle for card, _ in node.serves}, [n.name for n in cycle])
        here = nodes[order[-1]].act.area if order else ""
        first = _waited_for(order, ready, nodes, before) or [n for n in ready if nodes[n].urgent] or ready
        at = [n for n in first if nodes[n].act.area == here] or first
        order.append(at[0])
        left.discard(at[0])
        done.add(at[0])
    return [nodes[n] for n in order]


def _waited_for(
    order: Sequence[int], ready: Sequence[int], nodes: Sequence[MergedStep], before: Sequence[set[int]]
) -> list[int]:
    """Of the steps that can be done now, those towards a step that has to come within minutes of what is done."""
    done = {nodes[n].act.id for n in order}
    waiting = [
        n
        for n in set(range(len(nodes))) - set(order)
        if any(wait.within_min is not None and wait.act in done for wait in nodes[n].act.waits)
    ]
    return [n for n in ready if any(n == w or _needs(w, n, before) for w in waiting)]


def _cycle(left: set[int], before: Sequence[set[int]]) -> list[int]:
    """Steps that wait for each other."""
    start = min(left)
    path = [start]
    while True:
        after = min(before[path[-1]] & left)
        if after in path:
            return path[path.index(after) :]
        path.append(after)


def _before(
    nodes: Sequence[MergedStep], own: Mapping[StepName, int], requires: Mapping[str, Sequence[str]]
) -> list[set[int]]:
    """For each step, those that come before it."""
    before: list[set[int]] = [set() for _ in nodes]
    places = [{card: own[card, step] for card, step in reversed(node.serves)} for node in nodes]
    early = _done_before_opening(nodes)
    for a, one in enumerate(nodes):
        for b, other in enumerate(nodes[:a]):
            gaps = [place - places[b][card] for card, place in places[a].items() if card in places[b]]
            if any(gap < 0 for gap in gaps):
                if _kept_in_order(one, other, requires):
                    before[b].add(a)
            elif gaps:
                if _kept_in_order(other, one, requires):
                    before[a].add(b)
            elif _by_rule(one, other, requires) or _while_closed(one, other, early[a], early[b]):
                before[b].add(a)
            elif _by_rule(other, one, requires) or _while_closed(other, one, early[b], early[a]):
                before[a].add(b)
    for b, node in enumerate(nodes):
        for wait in node.act.waits:
            if wait.within_min is not None:
                _just_before(b, [a for a in before[b] if nodes[a].act.id == wait.act], before)
    return before


def _just_before(waiting: int, soaks: Sequence[int], before: list[set[int]]) -> None:
    """What has to be done within minutes of another comes right before it: all else that it needs comes first."""
    for soak in soaks:
        before[soak] |= {a for a in _all_before(waiting, before) - {*soaks} if not _needs(a, soak, before)}


def _all_before(step: int, before: Sequence[set[int]]) -> set[int]:
    """Every step that comes before one, by however many between them."""
    seen, path = set[int](), [step]
    while path:
        new = before[path.pop()] - seen
        seen |= new
        path += new
    return seen


def _needs(step: int, earlier: int, before: Sequence[set[int]]) -> bool:
    return earlier in _all_before(step, before)


def _kept_in_order(one: MergedStep, other: MergedStep, requires: Mapping[str, Sequence[str]]) -> bool:
    """Whether two steps in the order of a card that they both serve have to stay in it; in a run all do."""
    if one.stage in (Stage.FIRST_RUN, Stage.PROOF_RUN):
        return True
    return _matters(one.act, other.act, requires, not set(one.held).isdisjoint(other.serves))


def _matters(a: Act, b: Act, requires: Mapping[str, Sequence[str]], held: bool = False) -> bool:
    """Whether two acts of one card, `a` before `b`, may not change places; `held`: `b` waits for the check of `a`."""
    if held or a.area == b.area or a.object == b.object:
        return True
    if a.id in b.relies_on or a.id in b.after or any(wait.act == a.id for wait in b.waits):
        return True
    moved_a, moved_b = {*a.opens, *a.closes}, {*b.opens, *b.closes}
    touched_a, touched_b = moved_a | {*a.inside, *a.closed}, moved_b | {*b.inside, *b.closed}
    nested_a = {name for opening in touched_a for name in requires.get(opening, ())}
    nested_b = {name for opening in touched_b for name in requires.get(opening, ())}
    if moved_a & (touched_b | nested_b) or moved_b & (touched_a | nested_a):
        return True
    if a.leaves.keys() & (b.needs.keys() | b.leaves.keys()) or a.needs.keys() & b.leaves.keys():
        return True
    if (a.opens and b.motion != "still") or (a.motion != "still" and b.closes):
        return True
    if (b.motion == "running" and _readies(a)) or (a.motion == "running" and _readies(b)):
        return True
    tags = (
        (a.evidence, b.spoils), (a.spoils, b.evidence), (a.proves, b.voids), (a.voids, b.proves),
        (a.puts_in, b.takes_out), (a.takes_out, b.puts_in),
    )  # fmt: skip
    return any(set(here) & set(there) for here, there in tags)


def _done_before_opening(nodes: Sequence[MergedStep]) -> list[set[str]]:
    """For each step, openings that have to be closed for it and are opened after it: by its own card, or by what
    spoils what a step of its card reads while they are closed.
    """
    early: set[tuple[str, str]] = set()
    for node in nodes:
        spoiling = {o for n in nodes if set(n.act.spoils) & set(node.act.evidence) for o in n.act.opens}
        early |= {(card, name) for card, _ in node.serves for name in set(node.act.closed) & spoiling}
    return [
        set(node.act.closed)
        & (node.opened_later | {name for card, name in early if card in {c for c, _ in node.serves}})
        for node in nodes
    ]


def _while_closed(one: MergedStep, other: MergedStep, early: set[str], late: set[str]) -> bool:
    """Whether one comes before the other for an opening that has to be closed for one of them."""
    return bool(set(other.act.opens) & early or (set(one.act.closes) & set(other.act.closed)) - late)


def _readies(act: Act) -> bool:
    """Whether it belongs to what makes a run safe, or takes that back."""
    return bool(act.leaves.keys() & RUNNING.keys() or {*act.proves, *act.voids} & set(SAFE_TO_RUN))


def _by_rule(one: MergedStep, other: MergedStep, requires: Mapping[str, Sequence[str]]) -> bool:
    """Whether of two steps that no card has both, one comes before the other."""
    a, b = one.act, other.act
    if set(a.evidence) & set(b.spoils) or set(a.voids) & set(b.proves) or a.id in b.after:
        return True
    behind = {*a.inside, *a.opens}
    if set(b.closes) & (behind | {name for opening in behind for name in requires.get(opening, ())}):
        return True
    if a.motion in ("turned", "cranked") and "plug-out" in b.closes:
        return True
    return any(b.leaves.get(key) == back and _keeps(one, key, back) for key, back in BACK.items())


def _keeps(node: MergedStep, key: str, back: str) -> bool:
    """Whether a step wants a state not taken back yet, or a card of it has brought it about and goes on in it."""
    asked = node.act.needs.get(key, back)
    return asked != back or (key == "fuel" and node.meanwhile.get(key, back) != back)


def _opened_once(order: Sequence[MergedStep], done: Sequence[MergedStep]) -> list[MergedStep]:
    """The steps in their order, each opening opened by the first that opens it and closed by the last."""
    found: list[MergedStep] = []
    is_open: set[str] = set()
    for node in done:
        is_open = (is_open | set(node.act.opens)) - set(node.act.closes)
    for n, node in enumerate(order):
        opens = tuple(name for name in node.act.opens if name not in is_open)
        is_open |= set(opens)
        closes = tuple(name for name in node.act.closes if not _needed(name, order[n + 1 :]))
        is_open -= set(closes)
        node.act = replace(node.act, opens=opens, closes=closes)
        found.append(node)
    return found


def _needed(name: str, later: Sequence[MergedStep]) -> bool:
    """Whether an opening is closed later, before it would be opened again."""
    for node in later:
        if name in node.act.closes:
            return True
        if name in node.act.opens:
            return False
    return False
