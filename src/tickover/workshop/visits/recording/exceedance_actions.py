"""Writes that answer an exceedance: the part renewed, or an inspector's decision in words."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from tickover.workshop.kernel import actions as journal
from tickover.workshop.kernel.local_time import local_clock
from tickover.workshop.people import queries as people
from tickover.workshop.people.models import Person
from tickover.workshop.people.permission import Right, may
from tickover.workshop.visits.lock_open_job import VisitError, lock_open_job
from tickover.workshop.visits.models import ExceedanceAnswer, Job
from tickover.workshop.visits.releasing import release_checks
from tickover.workshop.visits.steps.exceedances import Exceedance, Spot


def renew_part(
    job: Job, spot: Spot, part: str, *, lot: str = "", who: Person, at: datetime
) -> ExceedanceAnswer:
    """Note that the part an exceedance may have harmed was renewed."""
    if not may(who, Right.WORK):
        raise VisitError(f"{who}, {who.role}, may not record work. Nothing was saved.")
    if not part.strip():
        raise VisitError("Name the part that was renewed. Nothing was saved.")
    if spot.of_wrench:
        raise VisitError(
            "A new part does not say which wrench set the old one. Reopen the step and set it with a wrench of "
            "the register. Nothing was saved."
        )
    facts = {"kind": ExceedanceAnswer.Kind.RENEWED, "part": part.strip()[:120], "lot": lot.strip()[:80]}
    return _answer(job, spot, facts, who, at)


def decide_exceedance(job: Job, spot: Spot, words: str, *, who: Person, at: datetime) -> ExceedanceAnswer:
    """Record an inspector's decision on an exceedance, in words.

    Not by the one who did the work. Where somebody works alone they decide themselves, at a second look after
    the workshop's minutes, and the release says so.
    """
    if not words.strip():
        raise VisitError("Type what you inspected and why it may stay. Nothing was recorded.")
    return _answer(job, spot, {"kind": ExceedanceAnswer.Kind.DECIDED, "words": words.strip()[:2000]}, who, at)


def _answer(job: Job, spot: Spot, facts: dict[str, Any], who: Person, at: datetime) -> ExceedanceAnswer:
    # Only what a run-up found needs the run-ups judged, which takes seconds.
    prepared = release_checks.prepare(job) if spot.of_run else release_checks.Prepared({})
    with journal.locked():
        sheet = lock_open_job(job, at_rest=True)
        found = prepared.exceedances(sheet)
        waiting = next((e for e in found if e.spot == spot and e.answer is None), None)
        if waiting is None:
            raise VisitError("No exceedance waits for an answer there. Nothing was changed.")
        if facts["kind"] == ExceedanceAnswer.Kind.DECIDED:
            facts["second_look"] = _at_a_second_look(waiting, who, at)
        row = ExceedanceAnswer(
            job=job,
            place=spot.place,
            what=spot.what,
            entries=list(waiting.entries),
            by=who,
            at=at,
            **facts,
        )
        journal.record(
            row, "exceedance answered", f"job/{job.number}", actor=who.username, at=at, said=waiting.said
        )
        return row


def _at_a_second_look(waiting: Exceedance, who: Person, at: datetime) -> bool:
    """Whether it is decided by the one who works alone. Raises VisitError where this person may not decide."""
    if may(who, Right.DECIDE) and who.pk not in waiting.doers:
        return False
    shop = people.the_workshop()
    if not shop.works_alone or not may(who, Right.CONFIRM):
        raise VisitError(
            "An inspector who did not do this work decides on it. Ask one, or renew the part. "
            "Nothing was recorded."
        )
    ready = waiting.last_at + timedelta(minutes=shop.second_look_minutes)
    if at < ready:
        raise VisitError(
            f"Too soon. Leave the bench and take a second look after {local_clock(ready)}. Nothing was recorded."
        )
    return True
