"""Reads of people and of the workshop's card."""

from __future__ import annotations

from collections.abc import Container

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
