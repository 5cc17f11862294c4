"""The course of a job beside its steps: which tasks it holds, and by which card each, who has it, where it rests."""

from __future__ import annotations

from dataclasses import dataclass

from tickover.sheets import Card, Step, TaskRow, TypeSheet
from tickover.workshop.people.models import Person
from tickover.workshop.visits.models import AddedTask, HandOver, Job, Pause, Remark


@dataclass(frozen=True)
class JobTask:
    """A task that a job does. `added` is None for the one it was opened for.

    `repeats`: its card is in the job already for another task, so that no step is done twice.
    """

    task: TaskRow
    card: Card
    added: AddedTask | None = None
    repeats: bool = False


@dataclass(frozen=True)
class CardStep:
    """A step as the job knows it: its own id on the first card, "<card>.<step>" on an added one."""

    step: Step
    card: Card


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


def tasks_of(job: Job, sheet: TypeSheet, added: list[AddedTask]) -> tuple[JobTask, ...]:
    """The task the job was opened for, then those it took."""
    tasks = [JobTask(sheet.task(job.task_id), sheet.card(job.card_id))]
    for row in added:
        there = any(t.card.id == row.card_id for t in tasks)
        tasks.append(JobTask(sheet.task(row.task_id), sheet.card(row.card_id), row, there))
    return tuple(tasks)


def steps_of(tasks: tuple[JobTask, ...]) -> list[CardStep]:
    """The steps of every card once, in the order the cards came into the job."""
    found = [CardStep(step, tasks[0].card) for step in tasks[0].card.steps]
    for card in (t.card for t in tasks[1:] if not t.repeats):
        found += [CardStep(_added(step, card), card) for step in card.steps]
    return found


def _added(step: Step, card: Card) -> Step:
    """A step of an added card, with its own id and those of the steps it holds as the job knows them."""
    held = tuple(f"{card.id}.{name}" for name in step.hold_before)
    return step.model_copy(update={"id": f"{card.id}.{step.id}", "hold_before": held})
