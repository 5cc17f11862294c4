"""Writing the journal: one entry, inside the caller's transaction."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from typing import Any, NamedTuple

from django.db import connection, transaction

from tickover.workshop.kernel import idempotency
from tickover.workshop.kernel.journal_chain import GENESIS, canonical, entry_hash
from tickover.workshop.kernel.models import Amended, Chained, Entry, Recorded

_LOCK_KEY = 0x7163
_NEWEST_ENTRY = f"SELECT sequence, hash FROM {Entry._meta.db_table} ORDER BY sequence DESC LIMIT 1"


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
    return _append(_locked_head(), kind, subject, body, actor=actor, at=at)


def record(row: Recorded, kind: str, subject: str, *, actor: str, at: datetime, **more: Any) -> Entry:
    """Save a new row, and append the entry with its facts."""
    head = _locked_head()
    row.entry_sequence = head.sequence + 1
    row.save(force_insert=True)
    return _append(head, kind, subject, body_of(row, **more), actor=actor, at=at)


def amend(row: Amended, kind: str, subject: str, *, actor: str, at: datetime, **more: Any) -> Entry:
    """Save a row that may change, and append the entry that holds its facts from now on."""
    head = _locked_head()
    row.save()
    return _append(head, kind, subject, body_of(row, **more), actor=actor, at=at)


def body_of(row: Chained, **more: Any) -> dict[str, Any]:
    """The body of an entry that holds the facts of a saved row."""
    return {"record": row.record_label(), "row": row.pk, "facts": row.facts(), **more}


class _Newest(NamedTuple):
    """The newest entry: what the next one begins with."""

    sequence: int
    hash: str


def _append(
    head: _Newest, kind: str, subject: str, body: dict[str, Any], *, actor: str, at: datetime
) -> Entry:
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


def _locked_head() -> _Newest:
    if not connection.in_atomic_block:
        raise RuntimeError("a journal entry is only written in the transaction of the change it records")
    one_writer_at_a_time()
    # Plain SQL: with every entry asked, and making it anew from a query costs many times the answer.
    with connection.cursor() as cursor:
        cursor.execute(_NEWEST_ENTRY)
        newest = cursor.fetchone()
    return _Newest(*newest) if newest else _Newest(0, GENESIS)


def one_writer_at_a_time() -> None:
    """SQLite's immediate transactions already see to it; PostgreSQL needs a lock held to the commit."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [_LOCK_KEY])
