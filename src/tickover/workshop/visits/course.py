"""The course of a job beside its steps: which tasks it holds, and by which card each, who has it, where it rests."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from tickover.sheets import Card, Step, TaskRow, TypeSheet
from tickover.workshop.people.models import Person
from tickover.workshop.visits.models import AddedTask, ComposedCard, HandOver, Job, Pause, Remark


@dataclass(frozen=True)
class JobTask:
    """A task that a job does. `added` is None for the one it was opened for.

    `repeats`: its card is in the job already for another task, so that no step is done twice.
    """

    task: TaskRow
    card: Card
    added: AddedTask | None = None
    repeats: bool = False


Served = tuple[str, str]
"""A step of a card, by both ids."""


@dataclass(frozen=True)
class CardStep:
    """A step as the job knows it: its own id on the first card, "<card>.<step>" on an added one.

    `serves`: on a composed card, the steps of all cards that it does; `group`: the place of the engine it is at.
    """

    step: Step
    card: Card
    serves: tuple[Served, ...] = ()
    group: str = ""


@dataclass(frozen=True)
class Course:
    """What happened to a job beside its steps."""

    remarks: tuple[Remark, ...] = ()
    hand_overs: tuple[HandOver, ...] = ()
    last_pause: Pause | None = None

    @property
    def paused(self) -> Pause | None:
        """Where and why work rests; None while it goes on."""
        last = self.last_pause
        return last if last and last.state == Pause.State.PAUSED else None

    @property
    def handed_over(self) -> HandOver | None:
        return self.hand_overs[-1] if self.hand_overs else None

    def holder(self, job: Job) -> Person:
        """Who has the job in hand."""
        return self.handed_over.to if self.handed_over else job.opened_by


def tasks_of(job: Job, sheet: TypeSheet, added: list[AddedTask], *, dropped: bool) -> tuple[JobTask, ...]:
    """The task the job was opened for, unless it was dropped, then those it took."""
    tasks = [] if dropped else [JobTask(sheet.task(job.task_id), sheet.card(job.card_id))]
    for row in added:
        there = any(t.card.id == row.card_id for t in tasks)
        tasks.append(JobTask(sheet.task(row.task_id), sheet.card(row.card_id), row, there))
    return tuple(tasks)


def steps_of(job: Job, tasks: tuple[JobTask, ...], composed: ComposedCard | None = None) -> list[CardStep]:
    """The steps of the composed card; without one every card once, in the order the cards came into the job."""
    if composed is not None:
        return composed_steps(tasks, composed)
    cards = [t.card for t in tasks if not t.repeats]
    return [
        CardStep(step if card.id == job.card_id else _added(step, card), card)
        for card in cards
        for step in card.steps
    ]


def job_name(card_id: str, step_id: str, job: Job) -> str:
    """How a job knows a step of one of its cards: those of the card it was opened for have their own names."""
    return step_id if card_id == job.card_id else f"{card_id}.{step_id}"


def composed_steps(tasks: tuple[JobTask, ...], composed: ComposedCard) -> list[CardStep]:
    """The steps of a composed card, each with what the steps that it serves ask for."""
    cards = {t.card.id: t.card for t in tasks}
    steps = {(card.id, step.id): step for card in cards.values() for step in card.steps}
    names = {(card, step): row["name"] for row in composed.steps for card, step in row["serves"]}
    found = []
    for row in composed.steps:
        serves = tuple((card, step) for card, step in row["serves"] if (card, step) in steps)
        if serves:
            one = _as_one(row["name"], [(cards[card], steps[card, step]) for card, step in serves], names)
            found.append(CardStep(one, cards[serves[0][0]], serves, row["group"]))
    return found


def _as_one(name: str, parts: list[tuple[Card, Step]], names: dict[Served, str]) -> Step:
    """One step for several: every finding, tool and part of theirs, and all that waits for a second check."""
    steps = [step for _, step in parts]
    held = [names[card.id, h] for card, step in parts for h in _held(card, step) if (card.id, h) in names]
    first = steps[0]
    on = {
        f"{names[card.id, s]}.{f}"
        for card, step in parts
        for s, f in conditions(step)
        if (card.id, s) in names
    }
    return first.model_copy(
        update={
            "id": name,
            "how": _texts(step.how for step in steps),
            "caution": _texts(step.caution for step in steps),
            "tools": _each_once(tool for step in steps for tool in step.tools),
            "fits": _each_once(part for step in steps for part in step.fits),
            "discards": _each_once(part for step in steps for part in step.discards),
            "findings": tuple(
                {f.id: f for step in reversed(steps) for f in reversed(step.findings)}.values()
            )[::-1],
            "critical": any(step.critical for step in steps),
            "second_check": any(step.second_check for step in steps),
            "hold_before": tuple(dict.fromkeys(h for h in held if h != name)),
            "no_hold": "" if held else next((s.no_hold for s in steps if s.no_hold), NOTHING_COVERS),
            "runs_engine": any(step.runs_engine for step in steps),
            "makes_safe": any(step.makes_safe for step in steps),
            "photo": any(step.photo for step in steps),
            "only_on": tuple(sorted(on)) if all(step.only_on for step in steps) else (),
        }
    )


NOTHING_COVERS = "Nothing on the card covers it."


def _held(card: Card, step: Step) -> tuple[str, ...]:
    """What waits for the second check of a step: where its card names nothing, all later tightening there."""
    if not step.second_check or step.no_hold or step.hold_before:
        return step.hold_before
    return tuple(s.id for s in card.steps[card.steps.index(step) + 1 :] if s.gives_torque)


def conditions(step: Step) -> list[tuple[str, str]]:
    """(step, finding) of which one has to be made, for it to be done; none where it is done anyway."""
    return [(seen.rpartition(".")[0], seen.rpartition(".")[2]) for seen in step.only_on]


def _texts(texts: Iterable[str]) -> str:
    return "\n\n".join(_each_once(text.strip() for text in texts if text.strip()))


def _each_once(words: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(words))


def _added(step: Step, card: Card) -> Step:
    """A step of an added card: its own id, those it holds and those it depends on, as the job knows them."""
    held, on = (tuple(f"{card.id}.{name}" for name in names) for names in (step.hold_before, step.only_on))
    return step.model_copy(update={"id": f"{card.id}.{step.id}", "hold_before": held, "only_on": on})
