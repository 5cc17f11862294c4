"""Writing the journal: one entry, inside the caller's transaction."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from typing import Any

from django.db import connection, transaction

from tickover.workshop.journal import forms
from tickover.workshop.journal.chain import GENESIS, canonical, entry_hash
from tickover.workshop.journal.models import Entry, Recorded

_LOCK_KEY = 0x7163


@contextmanager
def locked() -> Iterator[None]:
    """One transaction with the journal locked from its first line; around an action, or as its decorator.

    What an action checks is then still so when it writes: two who do the same thing at once come one after
    the other, and the second one's check finds what the first has written.
    """
    with transaction.atomic():
        one_writer_at_a_time()
        forms.claim()
        yield


def append(kind: str, subject: str, body: dict[str, Any], *, actor: str, at: datetime) -> Entry:
    """Append one entry. Raises RuntimeError outside a transaction: no entry without its change."""
    if not connection.in_atomic_block:
        raise RuntimeError("a journal entry is only written in the transaction of the change it records")
    one_writer_at_a_time()
    head = Entry.objects.order_by("-sequence").first()
    columns: dict[str, Any] = {
        "sequence": head.sequence + 1 if head else 1,
        "at": at.astimezone(UTC).isoformat(timespec="milliseconds"),
        "actor": actor,
        "kind": kind,
        "subject": subject,
        "body": canonical(body),
        "previous_hash": head.hash if head else GENESIS,
    }
    return Entry.objects.create(**columns, hash=entry_hash(**columns))


def record(row: Recorded, kind: str, subject: str, *, actor: str, at: datetime, **more: Any) -> Entry:
    """Append an entry with the facts of a new row, and save the row beside it."""
    body = {"record": row._meta.label, "facts": row.facts(), **more}
    entry = append(kind, subject, body, actor=actor, at=at)
    row.entry_sequence = entry.sequence
    row.save(force_insert=True)
    return entry


def one_writer_at_a_time() -> None:
    """SQLite's immediate transactions already see to it; PostgreSQL needs a lock held to the commit."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [_LOCK_KEY])
