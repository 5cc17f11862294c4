"""Recomputing the whole chain, the rows that stand in it, and the hashes of the evidence files."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from django.apps import apps
from django.db import connection
from django.db.models import QuerySet

from tickover.workshop.journal.chain import GENESIS, canonical, entry_hash
from tickover.workshop.journal.models import Entry, Recorded, by_hash
from tickover.workshop.register import files
from tickover.workshop.register.models import EvidenceFile


@dataclass(frozen=True)
class Outcome:
    """What was looked at, and every fault as a sentence that names the entry."""

    entries: int
    rows: int
    files: int
    head_sequence: int
    head_hash: str
    faults: tuple[str, ...]

    @property
    def sound(self) -> bool:
        return not self.faults


def verify() -> Outcome:
    """Check everything, also while others go on writing. Nothing is changed."""
    with _damaged_text_is_read():
        return _verify()


def _verify() -> Outcome:
    faults: list[str] = []
    bodies: dict[int, str] = {}
    head = Entry(sequence=0, hash=GENESIS)
    for entry in Entry.objects.order_by("sequence").iterator():
        faults += _entry_faults(entry, head)
        bodies[entry.sequence], head = entry.body, entry
    seen: set[int] = set()
    for model in recorded_models():
        for row in _rows(model, faults):
            seen.add(row.entry_sequence)
            faults += _row_faults(row, bodies)
    faults += [fault for sequence in bodies.keys() - seen for fault in _missing_row(sequence, bodies)]
    kept = list(EvidenceFile.objects.order_by("entry_sequence"))
    faults += [fault for evidence in kept for fault in _file_faults(evidence)]
    return Outcome(len(bodies), len(seen), len(kept), head.sequence, head.hash, tuple(faults))


def hash_at(sequence: int) -> str | None:
    """The hash of one entry, to be held against a printed paper."""
    return Entry.objects.filter(sequence=sequence).values_list("hash", flat=True).first()


def recorded_models() -> list[type[Recorded]]:
    return [m for m in apps.get_models() if issubclass(m, Recorded)]


@contextmanager
def _damaged_text_is_read() -> Iterator[None]:
    """SQLite hands out text that is no UTF-8, so that a damaged byte is named and does not stop the count."""
    if connection.vendor != "sqlite":
        yield
        return
    connection.ensure_connection()
    raw = connection.connection
    before, raw.text_factory = raw.text_factory, lambda data: data.decode("utf-8", "surrogateescape")
    try:
        yield
    finally:
        raw.text_factory = before


def _rows(model: type[Recorded], faults: list[str]) -> list[Recorded]:
    """Every row that can be read at all; a fault for each that cannot."""
    rows = model._default_manager.order_by("pk")
    try:
        return list(rows)
    except (ValueError, TypeError):
        return list(_one_by_one(rows, faults))


def _one_by_one(rows: QuerySet[Recorded], faults: list[str]) -> Iterator[Recorded]:
    for pk, sequence in rows.values_list("pk", "entry_sequence"):
        try:
            yield rows.get(pk=pk)
        except (ValueError, TypeError) as error:
            name = f"Journal entry {sequence} ({rows.model._meta.verbose_name} {pk})"
            faults.append(f"{name}: the record cannot be read ({error}). It was changed.")


def _entry_faults(entry: Entry, before: Entry) -> Iterator[str]:
    name = _shown(f"Journal entry {entry.sequence} ({entry.kind}, {entry.subject})")
    if entry.sequence != before.sequence + 1:
        yield f"{name}: the entry before it, {entry.sequence - 1}, is missing."
    elif entry.previous_hash != before.hash:
        yield f"{name}: it does not name the hash of the entry before it."
    columns = {
        f.attname: getattr(entry, f.attname) for f in Entry._meta.concrete_fields if f.attname != "hash"
    }
    try:
        fits = entry_hash(**columns) == entry.hash
    except ValueError:  # what canonical JSON cannot say was never hashed
        fits = False
    if not fits:
        yield f"{name}: its hash does not fit what it says. It was changed after it was written."


def _row_faults(row: Recorded, bodies: dict[int, str]) -> Iterator[str]:
    name = f"Journal entry {row.entry_sequence} ({row._meta.verbose_name} {row.pk})"
    # An entry that is newer than the count is looked up: somebody goes on working meanwhile.
    body = bodies.get(row.entry_sequence) or _body_of(row.entry_sequence)
    if body is None:
        yield f"{name}: the record is there, but its entry is not in the journal."
        return
    try:
        # An entry from before long texts were told by their hash holds such a text itself.
        written = by_hash(json.loads(body)["facts"], row.told_by_hash)
        # An entry from before a column came says nothing of it: the row must hold what the column began with.
        same = {**row.facts_unwritten(), **written} == json.loads(canonical(row.facts()))
    except (ValueError, AttributeError, KeyError, TypeError):
        same = False
    if not same:
        yield f"{name}: the record does not say what its entry says. It was changed after it was written."


def _missing_row(sequence: int, bodies: dict[int, str]) -> Iterator[str]:
    try:
        record = json.loads(bodies[sequence]).get("record")
    except (ValueError, AttributeError):
        return
    if record:
        yield f"Journal entry {sequence} ({record}): the record that it names is gone."


def _body_of(sequence: int) -> str | None:
    return Entry.objects.filter(sequence=sequence).values_list("body", flat=True).first()


def _shown(text: str) -> str:
    return text.encode("utf-8", "backslashreplace").decode()


def _file_faults(evidence: EvidenceFile) -> Iterator[str]:
    name = f"Journal entry {evidence.entry_sequence} (evidence file {evidence.name}, {evidence.sha256[:12]}…)"
    try:
        found = files.sha256_of_file(files.place_of(evidence.sha256))
    except OSError as error:
        yield f"{name}: the file cannot be read ({error.strerror})."
        return
    if found != evidence.sha256:
        yield f"{name}: the file was changed; its bytes no longer have this hash."
