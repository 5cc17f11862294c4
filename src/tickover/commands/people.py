"""Commands that change a person or the workshop's card, each with an entry in the journal."""

from __future__ import annotations

import argparse
from typing import Any

from django.utils import timezone

from tickover.workshop.people import actions
from tickover.workshop.people.actions import PeopleError
from tickover.workshop.people.models import Person

BY = "tickover"
"""Who acts, as the journal has it: somebody at this machine's command line."""


def edit_person(options: argparse.Namespace) -> str:
    """Change what was given; the sentence to print. Raises PeopleError."""
    person = Person.objects.filter(username=options.username).first()
    if person is None:
        known = ", ".join(Person.objects.values_list("username", flat=True)) or "nobody"
        raise PeopleError(f"No person called {options.username}. Known: {known}.")
    given = _given(options, "first_name", "last_name", "role", "authority")
    if options.works_here:
        given["is_active"] = options.works_here == "yes"
    changed = actions.change_person(person, given, options.why, actor=BY, at=timezone.now())
    return f"{changed}, {changed.role}, authority: {changed.authority or 'none'}."


def edit_workshop(options: argparse.Namespace) -> str:
    """The same for the workshop's name, place and rules."""
    given = _given(options, "name", "place", "second_look_minutes")
    if options.works_alone:
        given["works_alone"] = options.works_alone == "yes"
    shop = actions.change_workshop(given, options.why, actor=BY, at=timezone.now())
    alone = f"one person works alone, second look after {shop.second_look_minutes} minutes"
    return f"{shop}: {alone if shop.works_alone else 'a second check needs a second person'}."


def _given(options: argparse.Namespace, *names: str) -> dict[str, Any]:
    return {name: getattr(options, name) for name in names if getattr(options, name) is not None}
