"""Who may give a second check: a second person, or whoever works alone, by a second look some minutes later."""

from __future__ import annotations

from datetime import datetime, timedelta

from tickover.workshop.kernel.local_time import local_clock
from tickover.workshop.people import queries as people
from tickover.workshop.people.models import Person
from tickover.workshop.people.permission import Right, may
from tickover.workshop.visits.lock_open_job import VisitError
from tickover.workshop.visits.models import SecondCheck
from tickover.workshop.visits.steps.step_line import StepLine


def may_confirm(line: StepLine, person: Person) -> bool:
    """Whether this person would be a second one: neither who did the step nor who read it."""
    return line.mark is not None and person.pk not in line.workers


def second_look_from(line: StepLine) -> datetime | None:
    """When a second look may be taken by the same person; None where two people work."""
    shop = people.the_workshop()
    if not shop.works_alone or line.mark is None:
        return None
    return line.mark.at + timedelta(minutes=shop.second_look_minutes)


def kind_of(line: StepLine, who: Person, at: datetime) -> str:
    """Whether the check of a step is a second person's or a second look. Raises VisitError where it is neither."""
    if not may(who, Right.CONFIRM):
        raise VisitError(f"{who}, {who.role}, may not confirm a critical step. Nothing was changed.")
    if may_confirm(line, who):
        return SecondCheck.Kind.PERSON
    ready = second_look_from(line)
    if ready is None:
        raise VisitError("You did or read this critical step. Ask a second person to confirm it.")
    if at < ready:
        raise VisitError(
            f"Too soon. Leave the bench and take a second look after {local_clock(ready)}. Nothing was changed."
        )
    return SecondCheck.Kind.LOOK
