"""Writes to people and to the workshop's card, and sign-in links."""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from tickover.workshop.kernel import actions as journal
from tickover.workshop.kernel.refusal import RefusedError
from tickover.workshop.people import queries
from tickover.workshop.people.models import Person, Role, SignInLink, Workshop

MOST_MINUTES = 24 * 60


@dataclass(frozen=True)
class NewPerson:
    username: str
    first_name: str
    last_name: str
    role: str
    authority: str = ""
    password: str | None = None


class PeopleError(RefusedError):
    """A change of a person or of the workshop is refused; the text is a sentence for who tried."""


@journal.locked()
def set_up_workshop(name: str, place: str, *, is_demo: bool, works_alone: bool, at: datetime) -> Workshop:
    shop = Workshop.objects.filter(pk=1).first() or Workshop(pk=1)
    shop.name, shop.place, shop.is_demo, shop.works_alone = name, place, is_demo, works_alone
    journal.amend(shop, "workshop set up", "workshop", actor="tickover", at=at)
    return shop


@journal.locked()
def add_person(new: NewPerson, *, at: datetime) -> Person:
    person = Person(
        username=new.username,
        first_name=new.first_name,
        last_name=new.last_name,
        role=new.role,
        authority=new.authority,
        date_joined=at,
    )
    if new.password is None:
        person.set_unusable_password()
    else:
        person.set_password(new.password)
    journal.amend(person, "person added", subject_of(person), actor="tickover", at=at)
    return person


PERSON_COLUMNS = frozenset({"first_name", "last_name", "email", "role", "authority", "is_active"})
WORKSHOP_COLUMNS = frozenset({"name", "place", "works_alone", "second_look_minutes"})


@journal.locked()
def change_person(person: Person, to: dict[str, Any], why: str, *, actor: str, at: datetime) -> Person:
    """Change columns of a person, such as {"authority": "T-2"}. What was signed keeps the name of its day."""
    if unknown := to.keys() - PERSON_COLUMNS:
        raise LookupError(f"a person has no {unknown} to change")
    if to.get("role", person.role) not in Role.values:
        raise PeopleError(f"There is no role {to['role']}. Choose {', '.join(Role.values)}.")
    row = Person.objects.get(pk=person.pk)
    _change(row, to, why, ("person changed", subject_of(person)), actor=actor, at=at)
    return row


@journal.locked()
def change_workshop(to: dict[str, Any], why: str, *, actor: str, at: datetime) -> Workshop:
    """Change the workshop's card, such as {"works_alone": True}. A release keeps the rules of its day."""
    if unknown := to.keys() - WORKSHOP_COLUMNS:
        raise LookupError(f"the workshop has no {unknown} to change")
    if not 1 <= to.get("second_look_minutes", 1) <= MOST_MINUTES:
        raise PeopleError(f"A second look is taken after 1 to {MOST_MINUTES} minutes. Nothing was changed.")
    row = Workshop.objects.get(pk=1)
    _change(row, to, why, ("workshop changed", "workshop"), actor=actor, at=at)
    return row


def _change(
    row: Person | Workshop, to: dict[str, Any], why: str, entry: tuple[str, str], *, actor: str, at: datetime
) -> None:
    if not to:
        raise PeopleError(f"Nothing about {row} was given to change.")
    if not why.strip():
        raise PeopleError("Type why. Nothing was changed.")
    if unexplained := sorted(queries.changed_outside(row) - to.keys()):
        raise PeopleError(
            f"The record of {row} was changed outside tickover: {', '.join(unexplained)}. "
            "Give the right value of these too. Nothing was changed."
        )
    was = {name: getattr(row, name) for name in to}
    for name, value in to.items():
        setattr(row, name, value)
    journal.amend(row, *entry, actor=actor, at=at, was=was, why=why.strip())


def subject_of(person: Person) -> str:
    return f"person/{person.username}"


def make_sign_in_link(person: Person, *, at: datetime, valid_minutes: int = 60) -> str:
    """A token that signs this person in once. It is returned here and kept nowhere."""
    token = secrets.token_urlsafe(24)
    SignInLink.objects.create(
        token_sha256=_digest(token), person=person, expires_at=at + timedelta(minutes=valid_minutes)
    )
    return token


def use_sign_in_link(token: str, *, at: datetime) -> Person | None:
    """The person the link was made for, if it is still good and they still work here; it is spent by this call."""
    fresh = SignInLink.objects.filter(
        token_sha256=_digest(token), used_at=None, expires_at__gt=at, person__is_active=True
    )
    if fresh.update(used_at=at) != 1:
        return None
    return SignInLink.objects.select_related("person").get(token_sha256=_digest(token)).person


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()
