"""Who signed and by which rules, kept with a release; and an ended job with everyone under the name of that day."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from tickover.workshop.people import queries as people
from tickover.workshop.people.models import Person
from tickover.workshop.visits.job_sheet import JobSheet
from tickover.workshop.visits.models import Release


def of_that_day(who: Person) -> dict[str, Any]:
    """What a release keeps of the person who signs and of the workshop."""
    shop = people.the_workshop()
    return {
        "name": str(who),
        "role": who.role,
        "workshop": shop.name,
        "place": shop.place,
        "works_alone": shop.works_alone,
        "second_look_minutes": shop.second_look_minutes,
    }


def signer(release: Release) -> str:
    """The name a release was signed with; of one that does not hold it, the name of that day by the journal."""
    if name := release.signed.get("name"):
        return str(name)
    return str(people.named_at(release.entry_sequence).get(release.by_id, release.by))


def as_signed(sheet: JobSheet) -> JobSheet:
    """An ended job with its people named as on the day it ended; any other as it is."""
    end = sheet.release or sheet.closure
    if end is not None:
        named = people.named_at(end.entry_sequence)
        for row in _rows(sheet):
            row.by = named.get(row.by_id, row.by)
    return sheet


def workshop_of(sheet: JobSheet) -> str:
    """The name under which the workshop signed, or works today."""
    signed = sheet.release.signed if sheet.release else {}
    return str(signed.get("workshop") or people.the_workshop().name)


def rules_of(sheet: JobSheet) -> str:
    """A sentence on the rule for second looks of that day, where the job has one; else ""."""
    signed = sheet.release.signed if sheet.release else {}
    looks = [s.check for s in sheet.steps if s.check and s.check.kind == s.check.Kind.LOOK]
    if not looks or not signed.get("works_alone"):
        return ""
    return (
        "One person worked alone that day: a second look by the same person, "
        f"at least {signed['second_look_minutes']} minutes after the step."
    )


def _rows(sheet: JobSheet) -> Iterator[Any]:
    """Every row of the job that names a person."""
    ends = [row for row in (sheet.release, sheet.closure) if row]
    yield from ends
    for line in sheet.steps:
        yield from (row for row in (line.mark, line.check, line.not_measured) if row)
        yield from (taken.reading for taken in line.readings)
