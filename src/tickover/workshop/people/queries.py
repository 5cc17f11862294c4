"""Reads of people and of the workshop's card."""

from __future__ import annotations

from collections.abc import Container
from typing import Any

from django.db.models import Q

from tickover.workshop.kernel.models import Amended, Entry
from tickover.workshop.kernel.written import parsed
from tickover.workshop.people.models import Person, Workshop
from tickover.workshop.people.permission import Right, may


def the_workshop() -> Workshop:
    """The workshop's card; an unnamed one before it is set up."""
    return Workshop.objects.first() or Workshop(name="Workshop")


def everyone() -> list[Person]:
    return list(Person.objects.filter(is_active=True).order_by("role", "first_name"))


def who_may_confirm(*, other_than: Container[int] = ()) -> list[Person]:
    """People who could do a second check, leaving out those who did the step."""
    return [p for p in everyone() if may(p, Right.CONFIRM) and p.pk not in other_than]


def newest_entry_of(row: Amended) -> dict[str, Any]:
    """The body of the newest entry that holds the facts of a person or of the workshop; {} where there is none."""
    label = row.record_label()
    about = Entry.objects.filter(Q(subject="workshop") | Q(subject__startswith="person/"))
    for text in about.order_by("-sequence").values_list("body", flat=True):
        body = parsed(text)
        if body.get("record") == label and body.get("row") == row.pk:
            return body
    return {}


def changed_outside(row: Amended) -> set[str]:
    """The columns in which the row is not what its newest entry says, or what an entry before that said."""
    body = newest_entry_of(row)
    facts = body.get("facts", {})
    changed = {name for name, value in row.facts().items() if facts.get(name, ...) != value}
    return changed | set(body.get("differs", ()))


def named_at(sequence: int) -> dict[int, Person]:
    """Everyone under their name on the day this entry was written, by number. Not to be saved."""
    names: dict[str, tuple[str, str]] = {}
    entries = Entry.objects.filter(subject__startswith="person/").order_by("sequence")
    for number, subject, text in entries.values_list("sequence", "subject", "body"):
        # The first entry of a person also names them for what is older.
        if (name := _name_in(parsed(text))) and (number <= sequence or subject not in names):
            names[subject] = name
    people = list(Person.objects.all())
    for person in people:
        now = person.first_name, person.last_name
        person.first_name, person.last_name = names.get(f"person/{person.username}", now)
    return {person.pk: person for person in people}


def _name_in(body: dict[str, Any]) -> tuple[str, str] | None:
    """First and last name by an entry about a person; an early one holds both in one."""
    facts = body.get("facts", {"first_name": body.get("name"), "last_name": ""})
    return (facts["first_name"], facts["last_name"]) if facts["first_name"] is not None else None
