"""Writes the one card of a job with several: composed when a task comes or goes, and kept as it was composed.

What is done stays where it was done. A job whose cards say nothing of what their steps do keeps them one after
another.
"""

from __future__ import annotations

from datetime import datetime

from tickover.science.planning.work_sequence.acts import StepOfCard
from tickover.science.planning.work_sequence.merging import Stage, StepName, VisitCard
from tickover.science.planning.work_sequence.sequence import SequencedStep, WorkSequence, work_sequence
from tickover.sheets import Card, TypeSheet, card_ends, card_steps, openings
from tickover.workshop.kernel import actions as journal
from tickover.workshop.people.models import Person
from tickover.workshop.visits import queries
from tickover.workshop.visits.course import job_name
from tickover.workshop.visits.models import ComposedCard, Job

GROUPS = {
    "papers": "Papers",
    "fuel": "Fuel",
    "carburettor": "Carburettor",
    "intake": "Intake",
    "ignition": "Ignition",
    "top end": "Cylinder and head",
    "exhaust": "Exhaust",
    "crankcase": "Crankcase",
    "drive": "Drive",
    "propeller": "Propeller",
    "starter": "Starter",
    "mounts": "Mounts",
    "frame": "Frame",
    "controls": "Controls",
    "run": "Run",
}
"""Places of the engine as the bench names them."""


def compose(job: Job, *, who: Person, at: datetime) -> ComposedCard | None:
    """Write the card of a job anew, within the action that changed its tasks; None where it stays as it is."""
    sheet = queries.job_sheet(job)
    if len(sheet.cards) == 1 and sheet.composed is None:
        return None
    one = composed_of(sheet.cards, sheet.sheet, _done(sheet))
    if one is None:
        return None
    # What was begun keeps its name, also where the card that gave the name has left the job.
    named = {served: line.step.id for line in sheet.steps if line.begun for served in line.serves[:1]}
    row = ComposedCard(
        job=job,
        steps=[_row(step, named.get(step.name) or job_name(*step.name, job)) for step in one.steps],
        minutes=one.minutes,
        minutes_alone=one.minutes_alone,
        apart=list(one.apart),
        by=who,
        at=at,
    )
    journal.record(row, "card composed", f"job/{job.number}", actor=who.username, at=at)
    return row


def composed_of(
    cards: tuple[Card, ...], sheet: TypeSheet, done: tuple[SequencedStep, ...] = ()
) -> WorkSequence | None:
    """Cards of one build as one; None where the sheet does not say of every step what it does."""
    found = []
    for card in cards:
        steps = card_steps(card, sheet)
        if steps is None:
            return None
        found.append(VisitCard(card.id, steps, card.as_found, card_ends(card)))
    return work_sequence(found, openings(sheet), done)


def _row(step: SequencedStep, name: str) -> dict[str, object]:
    return {
        "name": name,
        "serves": [list(served) for served in step.serves],
        "group": GROUPS[step.act.area],
        "stage": int(step.stage),
    }


def _done(sheet: queries.JobSheet) -> tuple[SequencedStep, ...]:
    """The steps of a job that were begun, as they are on its card now."""
    steps = _steps_of_cards(sheet)
    stages = {row["name"]: Stage(row["stage"]) for row in sheet.composed.steps} if sheet.composed else {}
    found = []
    for line in sheet.steps:
        serves = line.serves or ((line.card.id, line.step.id.removeprefix(f"{line.card.id}.")),)
        first = steps.get(serves[0])
        if line.begun and first is not None:
            held = tuple((card, name) for card, step in serves for name in _held(steps.get((card, step))))
            stage = stages.get(line.step.id, Stage.WORK)
            found.append(
                SequencedStep(serves[0], first.act, stage, serves, first.second_check, held, first.reading)
            )
    return tuple(found)


def _held(step: StepOfCard | None) -> tuple[str, ...]:
    return step.hold_before if step else ()


def _steps_of_cards(sheet: queries.JobSheet) -> dict[StepName, StepOfCard]:
    found: dict[StepName, StepOfCard] = {}
    for card in sheet.cards:
        found |= {(card.id, step.id): step for step in card_steps(card, sheet.sheet) or ()}
    return found
