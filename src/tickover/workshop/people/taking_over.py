"""People and the workshop's card of a database from before the journal held them: taken over once, and said so."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.utils.timezone import localdate

from tickover.workshop.kernel import actions as journal
from tickover.workshop.kernel.models import Amended, Entry
from tickover.workshop.kernel.written import parsed
from tickover.workshop.people import queries
from tickover.workshop.people.actions import subject_of
from tickover.workshop.people.models import Person, Workshop


@journal.locked()
def note_from_before(*, at: datetime) -> int:
    """An entry for each person and for the workshop, with its facts as they are; the number of entries written.

    It is done once for a database: with the entry about the workshop, the journal holds them all, and a row that
    has none afterwards was not added by tickover.
    """
    shop = Workshop.objects.filter(pk=1).first()
    if shop is None or queries.newest_entry_of(shop):
        return 0
    people = list(Person.objects.order_by("pk"))
    for person in people:
        if not queries.newest_entry_of(person):
            _note(person, subject_of(person), at)
    _note(shop, "workshop", at)
    return len(people) + 1


def _note(row: Person | Workshop, subject: str, at: datetime) -> None:
    words = (
        f"Taken over as it was in the database on {localdate(at):%d %b %Y}. "
        "Until then the journal did not hold all of it, so a change before that day may not show."
    )
    body = journal.body_of(row, words=words)
    if differs := _differs(row, subject):
        body["differs"] = differs
    journal.append("noted from before", subject, body, actor="tickover", at=at)


def _differs(row: Amended, subject: str) -> dict[str, Any]:
    """What the newest entry of before said otherwise, by column: it held a name, and a few columns more."""
    newest = Entry.objects.filter(subject=subject).order_by("-sequence").first()
    said = parsed(newest.body) if newest else {}
    is_now = {**row.facts(), "name": str(row)}
    found = {key: value for key, value in said.items() if key in is_now and is_now[key] != value}
    if isinstance(row, Person) and "name" in found:
        found["first_name"] = found["last_name"] = found.pop("name")
    return found
