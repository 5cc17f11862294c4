"""Which work of several cards is the same, and in which stage of a visit is each piece of it done?

A visit has up to five stages: what is looked at before anything runs; a run that shows the engine as it came in; the
work; a run that proves it; and what is done after the last run. Within a stage the same act of several cards is done
once and serves them all.

References
----------
The rules are common practice, no source; the engine maker's manual comes first.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field
from enum import IntEnum

from tickover.science.core.kinds import checked_fields, kinds_checked
from tickover.science.planning.work_sequence.acts import Act, StepOfCard
from tickover.science.planning.work_sequence.card_states import CardEnds

__all__ = ["MergedStep", "SequencedStep", "Stage", "VisitCard", "merged"]

AS_FOUND = "running-as-found"
"""How the engine ran as it came in: evidence that most work spoils."""
WARM = ("hand-warm", "hot")

StepName = tuple[str, str]
"""A step by its card and its id there."""


class Stage(IntEnum):
    """Stages of a visit, in their order."""

    LOOK = 0
    FIRST_RUN = 1
    WORK = 2
    PROOF_RUN = 3
    AFTER = 4


@dataclass(frozen=True)
class VisitCard:
    """A card of a visit. `as_found`: it shows the engine as it came in, so it goes before what changes that. `ends`:
    what it finds and leaves open, or stuffed.
    """

    id: str
    steps: tuple[StepOfCard, ...]
    as_found: bool = False
    ends: CardEnds = field(default_factory=CardEnds)

    def __post_init__(self) -> None:
        checked_fields(self)

    @property
    def runs(self) -> bool:
        """Whether the engine runs at one of its steps."""
        return any(step.act.motion == "running" for step in self.steps)

    @property
    def shows(self) -> bool:
        """Whether it shows the engine as it came in: it says so, or reads how that runs."""
        return self.as_found or any(AS_FOUND in step.act.evidence for step in self.steps)

    @property
    def wants_warm(self) -> bool:
        """Whether it asks for an engine that ran a while ago, and runs it not itself."""
        return not self.runs and any(step.act.needs.get("temperature") in WARM for step in self.steps)

    @property
    def changes(self) -> bool:
        """Whether it changes how the engine runs, or proves work of its own by a run."""
        return not self.shows and (self.runs or any(AS_FOUND in step.act.spoils for step in self.steps))


@dataclass
class MergedStep:
    """One act, done once, and the steps of cards that it serves: the first of them gives it its name."""

    act: Act
    stage: Stage
    serves: list[StepName]
    second_check: bool = False
    no_hold: bool = False
    held: list[StepName] = field(default_factory=list)
    """Steps of cards that wait for its second check."""
    reading: str = ""
    opened_later: set[str] = field(default_factory=set)
    """What a card that it serves opens after it."""
    apart: str = ""
    """The card that it serves alone, where that is kept apart."""
    meanwhile: dict[str, str] = field(default_factory=dict)
    """States that a card that it serves has brought about before it, and not yet taken back."""
    urgent: bool = False
    """Whether a card that it serves wants a warm engine: it goes first after a run."""

    @property
    def name(self) -> StepName:
        """The step of a card that it goes by."""
        return self.serves[0]


@dataclass(frozen=True)
class SequencedStep:
    """A step of the one card: its name (card, step), the steps it serves, and what waits for its second check."""

    name: StepName
    act: Act
    stage: Stage
    serves: tuple[StepName, ...]
    second_check: bool
    held: tuple[StepName, ...]
    reading: str = ""


@kinds_checked
def merged(cards: Sequence[VisitCard], apart: Collection[str] = ()) -> list[MergedStep]:
    """The work of several cards, the same act once in each stage; cards kept `apart` share nothing.

    Parameters
    ----------
    cards : in the order in which their tasks were chosen
    apart : ids of cards whose steps are not merged with those of others

    Returns
    -------
    list[MergedStep]
        by stage, then by card and step; not yet in an order that can be worked

    Raises
    ------
    OutOfRangeError
        cards that are none

    Examples
    --------
    >>> safe = StepOfCard("make-safe", Act("make-safe", 2.0, action="secure"))
    >>> [step.serves for step in merged([VisitCard("a", (safe,)), VisitCard("b", (safe,))])]
    [[('a', 'make-safe'), ('b', 'make-safe')]]
    """
    stage_of = _stages(cards)
    found: dict[object, MergedStep] = {}
    for card in cards:
        seen: Counter[object] = Counter()
        opened = {name for step in card.steps for name in step.act.opens}
        state: dict[str, str] = {}
        for n, step in enumerate(card.steps):
            stage = stage_of[card.id, step.id]
            key: object = (stage, step.act.id, step.reading, step.act.opens, step.act.closes)
            if step.act.action == "secure" and step.act.area != "run" and not step.act.needs:
                key = ("secure", step.act.id)
            seen[key] += 1
            alone = card.id if card.id in apart and not _for_all(step.act, stage) else ""
            key = (key, seen[key], alone)
            node = found.setdefault(key, MergedStep(step.act, stage, [], reading=step.reading, apart=alone))
            node.urgent |= card.wants_warm
            node.meanwhile |= {k: v for k, v in state.items() if k not in step.act.leaves}
            state |= step.act.leaves
            node.stage = min(node.stage, stage)
            node.serves.append((card.id, step.id))
            node.second_check |= step.second_check
            node.no_hold |= step.no_hold
            node.held += [(card.id, name) for name in step.hold_before]
            node.opened_later |= opened - {name for other in card.steps[: n + 1] for name in other.act.opens}
    nodes = _covered(list(found.values()))
    return sorted(nodes, key=lambda node: node.stage)


def _for_all(act: Act, stage: Stage) -> bool:
    """Whether even cards kept apart share it: making safe, the run, and making live again."""
    return stage in (Stage.FIRST_RUN, Stage.PROOF_RUN) or act.action == "secure" or _ends_a_card(act)


def _ends_a_card(act: Act) -> bool:
    return act.leaves.get("cap") == "on" or "stop-works" in act.proves


def _covered(nodes: list[MergedStep]) -> list[MergedStep]:
    """The steps without those that a deeper one of the same stage does as well."""
    by_act = {(n.stage, n.act.id): n for n in nodes if not n.apart}
    gone: set[int] = set()
    for deeper in list(by_act.values()):
        for name in deeper.act.covers:
            lesser = by_act.get((deeper.stage, name))
            if (
                lesser is None
                or id(lesser) in gone
                or lesser is deeper
                or lesser.reading not in ("", deeper.reading)
            ):
                continue
            deeper.serves += lesser.serves
            deeper.held += lesser.held
            deeper.opened_later |= lesser.opened_later
            deeper.second_check |= lesser.second_check
            gone.add(id(lesser))
    return [node for node in nodes if id(node) not in gone]


def _stages(cards: Sequence[VisitCard]) -> dict[StepName, Stage]:
    """The stage of every step.

    The engine runs as it came in only where a card asks how, and another would change that; what is looked at and
    changes nothing comes before that run, and so does what the run would spoil.
    """
    first_run = any(c.shows and c.runs for c in cards) and any(c.changes for c in cards)
    proof_run = any(c.runs and not (first_run and c.shows) for c in cards)
    gone = {tag for c in cards for step in c.steps if step.act.motion == "running" for tag in step.act.spoils}
    found: dict[StepName, Stage] = {}
    for card in cards:
        fades = any(gone & set(step.act.evidence) for step in card.steps) and not card.runs
        early = first_run and not card.wants_warm and (fades or not card.changes)
        late = card.wants_warm and not first_run and proof_run
        before = Stage.LOOK if early else Stage.AFTER if late else Stage.WORK
        run = Stage.FIRST_RUN if early else Stage.PROOF_RUN
        first, last = _run(card)
        for n, step in enumerate(card.steps):
            after = Stage.WORK if early and n > last else Stage.AFTER
            found[card.id, step.id] = before if n < first else run if n <= last else after
        again = proof_run and not late and (early or not card.runs)
        live = Stage.FIRST_RUN if early and not card.runs else Stage.PROOF_RUN if again else Stage.AFTER
        found |= dict(_at_its_end(card, last, live))
    return found


def _run(card: VisitCard) -> tuple[int, int]:
    """First and last of the steps that belong to the run of a card; beyond its end where it has none."""
    if not card.runs:
        return len(card.steps), len(card.steps)
    here = [n for n, step in enumerate(card.steps) if step.act.area == "run"]
    return (here[0], here[-1]) if here else (0, len(card.steps))


def _at_its_end(card: VisitCard, run: int, live: Stage) -> Iterator[tuple[StepName, Stage]]:
    """At the end of a card, after its own run, papers are written, and the engine is made live again when the next
    runs.
    """
    for n, step in reversed(list(enumerate(card.steps))):
        if step.act.area == "papers":
            yield (card.id, step.id), Stage.AFTER
        elif _ends_a_card(step.act) and (n > run or not card.runs):
            yield (card.id, step.id), live
        else:
            return
