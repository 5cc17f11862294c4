"""Reads of the journal."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Max, Q

from tickover.workshop.kernel.models import Entry


@dataclass(frozen=True)
class JournalLine:
    sequence: int
    at: datetime
    actor: str
    kind: str
    subject: str
    body: dict[str, Any]
    hash: str


@dataclass(frozen=True)
class Head:
    sequence: int
    hash: str


def head() -> Head:
    """The newest entry's number and hash; 0 and zeros for an empty journal."""
    entry = Entry.objects.order_by("-sequence").first()
    return Head(entry.sequence, entry.hash) if entry else Head(0, "0" * 64)


def newest(limit: int = 200, before: int | None = None, subject: str = "") -> list[JournalLine]:
    """Entries from the newest backwards; of one subject if one is named, such as "engine/4711", or of a kind."""
    entries = Entry.objects.order_by("-sequence")
    if before is not None:
        entries = entries.filter(sequence__lt=before)
    if subject:
        entries = entries.filter(Q(subject=subject) | Q(subject__startswith=f"{subject.rstrip('/')}/"))
    return [_line(e) for e in entries[:limit]]


def last_about(subject: str) -> int:
    """Number of the newest entry about a subject or anything of it, 0 for none."""
    rows = Entry.objects.filter(Q(subject=subject) | Q(subject__startswith=f"{subject}/"))
    return rows.aggregate(last=Max("sequence"))["last"] or 0


def about(subject: str, limit: int = 50) -> list[JournalLine]:
    """Entries about exactly this subject, newest first."""
    return [_line(e) for e in Entry.objects.filter(subject=subject).order_by("-sequence")[:limit]]


def one(sequence: int) -> JournalLine | None:
    entry = Entry.objects.filter(sequence=sequence).first()
    return _line(entry) if entry else None


def some(sequences: Iterable[int]) -> dict[int, JournalLine]:
    """Entries by their numbers, in one question."""
    return {e.sequence: _line(e) for e in Entry.objects.filter(sequence__in=list(sequences))}


def _line(e: Entry) -> JournalLine:
    at = datetime.fromisoformat(e.at)
    return JournalLine(e.sequence, at, e.actor, e.kind, e.subject, json.loads(e.body), e.hash)
