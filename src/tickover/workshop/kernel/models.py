"""Journal entries, and the bases of rows whose facts the journal holds."""

from __future__ import annotations

import hashlib
from datetime import UTC, date, datetime
from typing import Any, ClassVar

from django.db import models


class Entry(models.Model):
    """One entry. Every column is part of the hash, so `at` is kept as the text that was hashed."""

    sequence = models.BigIntegerField(primary_key=True)
    at = models.CharField(max_length=40)
    actor = models.CharField(max_length=150)
    kind = models.CharField(max_length=60)
    subject = models.CharField(max_length=120, db_index=True)
    body = models.TextField()
    previous_hash = models.CharField(max_length=64)
    hash = models.CharField(max_length=64, unique=True)

    class Meta:
        ordering = ["sequence"]


class FormKey(models.Model):
    """The key of a form whose entry is made: which arrival of it was first, and where that led."""

    key = models.CharField(max_length=22, primary_key=True)
    arrival = models.CharField(max_length=16)
    at = models.DateTimeField(db_index=True)
    led_to = models.CharField(max_length=500, blank=True)


class Chained(models.Model):
    """A row whose columns are in the journal: `tickover verify` compares them with its newest entry."""

    kept_by_hash: ClassVar[tuple[str, ...]] = ()
    """Columns of text too long for an entry to hold."""

    outside_the_chain: ClassVar[dict[str, str]] = {}
    """Columns that no entry holds, each with the reason."""

    recorded_as: ClassVar[str] = ""
    """The label by which entries name the record, where its class has another name today: entries keep theirs."""

    class Meta:
        abstract = True

    def plain(self) -> dict[str, Any]:
        """The row's columns in plain values, without its own number, by the names they have in the database.

        A field that is renamed keeps its column (`db_column`), so entries from before say the same of it.
        """
        left_out = {"id", "entry_sequence", *self.outside_the_chain}
        return {
            str(f.column): _plain(getattr(self, f.attname))
            for f in self._meta.concrete_fields
            if f.attname not in left_out
        }

    def facts(self) -> dict[str, Any]:
        """What the journal holds of the row: its columns, of a long text the SHA-256."""
        return by_hash(self.plain(), self.kept_by_hash)

    @classmethod
    def record_label(cls) -> str:
        """By which name entries speak of such a record."""
        return cls.recorded_as or cls._meta.label

    @classmethod
    def facts_unwritten(cls) -> dict[str, Any]:
        """What each column holds in a row that was written before the column came: its default."""
        return {
            str(f.column): _plain(f.get_default())
            for f in cls._meta.concrete_fields
            if (f.has_default() or f.null) and f.attname not in cls.outside_the_chain
        }


class Recorded(Chained):
    """A row that is written once, together with the journal entry that holds the same facts."""

    entry_sequence = models.BigIntegerField(unique=True)

    class Meta:
        abstract = True


class Amended(Chained):
    """A row that is changed by actions, each with an entry that holds all its facts anew; it is never deleted."""

    class Meta:
        abstract = True


def by_hash(facts: dict[str, Any], names: tuple[str, ...]) -> dict[str, Any]:
    """The facts with the SHA-256 of these texts in their place; a text that is there by its hash stays so."""
    long = {f"{n}_sha256": hashlib.sha256(facts[n].encode()).hexdigest() for n in names if n in facts}
    return {name: value for name, value in facts.items() if name not in names} | long


def _plain(value: Any) -> Any:
    if isinstance(value, datetime):
        # The database gives every moment back in UTC.
        return value.astimezone(UTC).isoformat()
    return value.isoformat() if isinstance(value, date) else value
