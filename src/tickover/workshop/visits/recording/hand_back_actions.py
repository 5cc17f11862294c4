"""Writes that an engine left the workshop after its visit."""

from __future__ import annotations

from datetime import datetime

from tickover.workshop.kernel import actions as journal
from tickover.workshop.people.models import Person
from tickover.workshop.visits.lock_open_job import VisitError
from tickover.workshop.visits.models import HandedBack, Job, Release


@journal.locked()
def hand_back(
    job: Job, to: str, went_with: str = "", words: str = "", *, who: Person, at: datetime
) -> HandedBack:
    """Hand a released engine back: to whom, with what, and what was said."""
    if not Release.objects.filter(job=job).exists():
        raise VisitError(f"Visit {job.number} is not released, so the engine stays. Nothing was changed.")
    if earlier := HandedBack.objects.filter(job=job).select_related("by").first():
        raise VisitError(f"Handed back to {earlier.to} already, by {earlier.by}. Nothing was changed.")
    if not to.strip():
        raise VisitError("Type who took the engine. Nothing was changed.")
    row = HandedBack(
        job=job,
        to=to.strip()[:120],
        went_with=went_with.strip()[:500],
        words=words.strip()[:1000],
        by=who,
        at=at,
    )
    journal.record(row, "engine handed back", f"job/{job.number}", actor=who.username, at=at)
    return row
