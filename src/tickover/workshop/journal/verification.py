"""Recomputing the whole chain, the rows that stand in it, and the hashes of the evidence files."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass

from django.apps import apps

from tickover.workshop.journal.chain import GENESIS, canonical, entry_hash
from tickover.workshop.journal.models import Entry, Recorded
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
    """Check everything. Nothing is changed."""
    faults: list[str] = []
    bodies: dict[int, str] = {}
    head = Entry(sequence=0, hash=GENESIS)
    for entry in Entry.objects.order_by("sequence").iterator():
        faults += _entry_faults(entry, head)
        bodies[entry.sequence], head = entry.body, entry
    rows = 0
    for model in recorded_models():
        for row in model._default_manager.order_by("pk").iterator():
            rows += 1
            faults += _row_faults(row, bodies)
    kept = list(EvidenceFile.objects.order_by("entry_sequence"))
    faults += [fault for evidence in kept for fault in _file_faults(evidence)]
    return Outcome(len(bodies), rows, len(kept), head.sequence, head.hash, tuple(faults))


def hash_at(sequence: int) -> str | None:
    """The hash of one entry, to be held against a printed paper."""
    return Entry.objects.filter(sequence=sequence).values_list("hash", flat=True).first()


def recorded_models() -> list[type[Recorded]]:
    return [m for m in apps.get_models() if issubclass(m, Recorded)]


def _entry_faults(entry: Entry, before: Entry) -> Iterator[str]:
    name = f"Journal entry {entry.sequence} ({entry.kind}, {entry.subject})"
    if entry.sequence != before.sequence + 1:
        yield f"{name}: the entry before it, {entry.sequence - 1}, is missing."
    elif entry.previous_hash != before.hash:
        yield f"{name}: it does not name the hash of the entry before it."
    columns = {
        f.attname: getattr(entry, f.attname) for f in Entry._meta.concrete_fields if f.attname != "hash"
    }
    if entry_hash(**columns) != entry.hash:
        yield f"{name}: its hash does not fit what it says. It was changed after it was written."


def _row_faults(row: Recorded, bodies: dict[int, str]) -> Iterator[str]:
    name = f"Journal entry {row.entry_sequence} ({row._meta.verbose_name} {row.pk})"
    body = bodies.get(row.entry_sequence)
    if body is None:
        yield f"{name}: the record is there, but its entry is not in the journal."
        return
    try:
        held = json.loads(body).get("facts")
    except ValueError:
        return
    if held != json.loads(canonical(row.facts())):
        yield f"{name}: the record does not say what its entry says. It was changed after it was written."


def _file_faults(evidence: EvidenceFile) -> Iterator[str]:
    name = f"Journal entry {evidence.entry_sequence} (evidence file {evidence.name}, {evidence.sha256[:12]}…)"
    try:
        data = files.read(evidence.sha256)
    except OSError as error:
        yield f"{name}: the file cannot be read ({error.strerror})."
        return
    if hashlib.sha256(data).hexdigest() != evidence.sha256:
        yield f"{name}: the file was changed; its bytes no longer have this hash."
