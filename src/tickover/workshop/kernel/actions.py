"""Writing the journal: one entry, inside the caller's transaction."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from typing import Any

from django.db import connection, transaction

from tickover.workshop.kernel import idempotency
from tickover.workshop.kernel.journal_chain import GENESIS, canonical, entry_hash
from tickover.workshop.kernel.models import Amended, Chained, Entry, Recorded

_LOCK_KEY = 0x7163


@contextmanager
def locked() -> Iterator[None]:
    """One transaction with the journal locked from its first line; around an action, or as its decorator.

    What an action checks is then still so when it writes: two who do the same thing at once come one after
    the other, and the second one's check finds what the first has written.
    """
    with transaction.atomic():
        one_writer_at_a_time()
        idempotency.claim()
        yield


def append(kind: str, subject: str, body: dict[str, Any], *, actor: str, at: datetime) -> Entry:
    """Append one entry. Raises RuntimeError outside a transaction: no entry without its change."""
    head = _locked_head()
    columns: dict[str, Any] = {
        "sequence": head.sequence + 1,
        "at": at.astimezone(UTC).isoformat(timespec="milliseconds"),
        "actor": actor,
        "kind": kind,
        "subject": subject,
        "body": canonical(body),
        "previous_hash": head.hash,
    }
    return Entry.objects.create(**columns, hash=entry_hash(**columns))


def record(row: Recorded, kind: str, subject: str, *, actor: str, at: datetime, **more: Any) -> Entry:
    """Save a new row, and append the entry with its facts."""
    row.entry_sequence = _locked_head().sequence + 1
    row.save(force_insert=True)
    return append(kind, subject, body_of(row, **more), actor=actor, at=at)


def amend(row: Amended, kind: str, subject: str, *, actor: str, at: datetime, **more: Any) -> Entry:
    """Save a row that may change, and append the entry that holds its facts from now on."""
    _locked_head()
    row.save()
    return append(kind, subject, body_of(row, **more), actor=actor, at=at)


def body_of(row: Chained, **more: Any) -> dict[str, Any]:
    """The body of an entry that holds the facts of a saved row."""
    return {"record": row.record_label(), "row": row.pk, "facts": row.facts(), **more}


def _locked_head() -> Entry:
    if not connection.in_atomic_block:
        raise RuntimeError("a journal entry is only written in the transaction of the change it records")
    one_writer_at_a_time()
    return Entry.objects.order_by("-sequence").first() or Entry(sequence=0, hash=GENESIS)


def one_writer_at_a_time() -> None:
    """SQLite's immediate transactions already see to it; PostgreSQL needs a lock held to the commit."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [_LOCK_KEY])
