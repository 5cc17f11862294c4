"""Writes to people: set up the workshop, add a person, make and use a sign-in link."""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

from tickover.workshop.journal import actions as journal
from tickover.workshop.people.models import Person, SignInLink, Workshop


@dataclass(frozen=True)
class NewPerson:
    username: str
    first_name: str
    last_name: str
    role: str
    authority: str = ""
    password: str | None = None


@journal.locked()
def set_up_workshop(name: str, place: str, *, is_demo: bool, works_alone: bool, at: datetime) -> Workshop:
    shop, _ = Workshop.objects.update_or_create(
        pk=1, defaults={"name": name, "place": place, "is_demo": is_demo, "works_alone": works_alone}
    )
    body = {"name": name, "place": place, "works_alone": works_alone}
    journal.append("workshop set up", "workshop", body, actor="tickover", at=at)
    return shop


@journal.locked()
def add_person(new: NewPerson, *, at: datetime) -> Person:
    person = Person(
        username=new.username,
        first_name=new.first_name,
        last_name=new.last_name,
        role=new.role,
        authority=new.authority,
    )
    if new.password is None:
        person.set_unusable_password()
    else:
        person.set_password(new.password)
    person.save()
    body = {"name": str(person), "role": new.role, "authority": new.authority}
    journal.append("person added", f"person/{new.username}", body, actor="tickover", at=at)
    return person


def make_sign_in_link(person: Person, *, at: datetime, valid_minutes: int = 60) -> str:
    """A token that signs this person in once. It is returned here and kept nowhere."""
    token = secrets.token_urlsafe(24)
    SignInLink.objects.create(
        token_sha256=_digest(token), person=person, expires_at=at + timedelta(minutes=valid_minutes)
    )
    return token


def use_sign_in_link(token: str, *, at: datetime) -> Person | None:
    """The person the link was made for, if it is still good; it is spent by this call."""
    fresh = SignInLink.objects.filter(token_sha256=_digest(token), used_at=None, expires_at__gt=at)
    if fresh.update(used_at=at) != 1:
        return None
    return SignInLink.objects.select_related("person").get(token_sha256=_digest(token)).person


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()
