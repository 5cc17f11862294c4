"""The one place where it is decided who may do what. Its call is the first line of every view."""

from __future__ import annotations

from enum import StrEnum

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest

from tickover.workshop.people.models import Person, Role


class Right(StrEnum):
    VIEW = "view"
    WORK = "record work"
    CONFIRM = "confirm a critical step"
    DECIDE = "decide on an exceedance"
    RELEASE = "release an engine to service"
    MANAGE = "manage the workshop"
    EDIT_TYPE_SHEETS = "change type sheets"


RIGHTS: dict[str, frozenset[Right]] = {
    Role.MANAGER: frozenset({Right.VIEW, Right.WORK, Right.MANAGE, Right.EDIT_TYPE_SHEETS}),
    Role.TECHNICIAN: frozenset({Right.VIEW, Right.WORK, Right.CONFIRM, Right.RELEASE}),
    Role.INSPECTOR: frozenset(
        {Right.VIEW, Right.WORK, Right.CONFIRM, Right.DECIDE, Right.RELEASE, Right.EDIT_TYPE_SHEETS}
    ),
}


class NotSignedInError(Exception):
    """Nobody is signed in; the visitor is led to the sign-in page."""


def may(person: Person, right: Right) -> bool:
    """Whether this person has the right. Releasing also needs an authority to sign with."""
    if right not in RIGHTS.get(person.role, frozenset()):
        return False
    return bool(person.authority) if right is Right.RELEASE else True


def require(request: HttpRequest, right: Right) -> Person:
    """The person who asks, if he may; else the sign-in page, or a sentence that says what is missing."""
    if not request.user.is_authenticated:
        raise NotSignedInError
    person = request.user
    if not may(person, right):
        raise PermissionDenied(f"{person}, {person.role}, may not {right}.")
    return person
