"""One form is one entry: the key that each form carries, and what is asked before an equal entry.

The middleware says which form a request carries; the first action that locks the journal claims its key in its own
transaction. A second arrival, in another tab or another process, waits for that lock and finds the key claimed.
An action that no form called, such as one of the command line, claims nothing and asks nothing.
"""

from __future__ import annotations

import re
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from tickover.workshop.kernel.models import FormKey

KEPT = timedelta(days=7)
"""How long a key is known: longer than a page is left open."""

_WRITTEN_HERE = re.compile(r"[A-Za-z0-9_-]{22}")


class AlreadySentError(Exception):
    """The form's key is claimed: what it asks for was saved when it arrived first."""


class EqualEntryError(Exception):
    """An equal entry was made already; the text tells which, and asks."""


@dataclass(frozen=True)
class Sent:
    """A form that arrived: its key ("" for none), this arrival, when, and whether an equal entry was confirmed."""

    key: str
    arrival: str
    at: datetime
    again: bool = False


_current: ContextVar[Sent | None] = ContextVar("form", default=None)


def new_key() -> str:
    """A key for a form that is shown."""
    return secrets.token_urlsafe(16)


@contextmanager
def one_request() -> Iterator[None]:
    """While one request is answered; it carries no form until one has arrived."""
    token = _current.set(None)
    try:
        yield
    finally:
        _current.reset(token)


def arrived(key: str, *, at: datetime, again: bool) -> Sent:
    """The form that this request carries; what is no key of ours counts as none."""
    form = Sent(key if _WRITTEN_HERE.fullmatch(key) else "", secrets.token_hex(8), at, again)
    _current.set(form)
    return form


def being_answered() -> Sent | None:
    """The form that this request carries, if it has arrived."""
    return _current.get()


def claim() -> None:
    """Claim the key of the form that is being answered, with the journal locked. Raises AlreadySentError."""
    form = _current.get()
    if form is None or not form.key:
        return
    if held := FormKey.objects.filter(key=form.key).first():
        if held.arrival != form.arrival:
            raise AlreadySentError
        return
    FormKey.objects.filter(at__lt=form.at - KEPT).delete()
    FormKey.objects.create(key=form.key, arrival=form.arrival, at=form.at)


@contextmanager
def nothing_asked() -> Iterator[None]:
    """While the rows of a table are entered: its report says what became of each, and no page can ask for one."""
    form = _current.get()
    token = _current.set(form and replace(form, again=True))
    try:
        yield
    finally:
        _current.reset(token)


def ask_again(question: str) -> None:
    """Ask before an equal entry is made; confirmed, or without a form to ask on, it is made. Raises EqualEntryError."""
    form = _current.get()
    if form is not None and not form.again:
        raise EqualEntryError(question)


def ask_again_of(what: str, day: date, by: object) -> None:
    """The same in the usual words: what was entered, for which day, by whom."""
    ask_again(f"Already entered: {what} on {day.day} {day:%b %Y}, by {by}. Enter again?")


def first_arrival(form: Sent) -> FormKey | None:
    """The claimed key of this form, where another arrival of it claimed it."""
    return FormKey.objects.filter(key=form.key).exclude(arrival=form.arrival).first() if form.key else None


def note_where_it_led(form: Sent, address: str) -> None:
    """Keep what the form led to, for a second arrival."""
    FormKey.objects.filter(key=form.key, arrival=form.arrival).update(led_to=address)


def release(form: Sent) -> None:
    """Let a form that was refused be sent again."""
    FormKey.objects.filter(key=form.key, arrival=form.arrival).delete()
