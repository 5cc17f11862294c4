"""Recomputing the whole chain, the rows that stand in it, its triggers, and the hashes of the evidence files."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from django.db import DatabaseError, connection

from tickover.workshop.audit.guards import guard_faults
from tickover.workshop.audit.tables import look_at_tables
from tickover.workshop.audit.verify_rows import RowCheck
from tickover.workshop.kernel import evidence_files
from tickover.workshop.kernel.journal_chain import GENESIS, entry_hash
from tickover.workshop.kernel.models import Entry
from tickover.workshop.kernel.written import Written, chained_models, recorded_models
from tickover.workshop.register.models import EvidenceFile

__all__ = ["VerifyResult", "chained_models", "hash_at", "recorded_models", "verify"]


@dataclass(frozen=True)
class VerifyResult:
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


@dataclass
class _Chain:
    """The entries as they were read: the body of each by its number, and the newest."""

    bodies: dict[int, str] = field(default_factory=dict)
    head: Entry = field(default_factory=lambda: Entry(sequence=0, hash=GENESIS))


def verify() -> VerifyResult:
    """Check everything, also while others go on writing. Nothing is changed."""
    with _damaged_text_is_read():
        return _verify()


def _verify() -> VerifyResult:
    tables, chain = look_at_tables(), _Chain()
    faults = list(tables.faults)
    if Entry in tables.readable:
        faults += _read_chain(chain)
    # Without the journal no row can be compared, and one sentence says so.
    compared = tables.readable if Entry in tables.readable else frozenset({EvidenceFile}) & tables.readable
    check = RowCheck(Written(chain.bodies, chain.head.sequence), compared)
    faults += check.faults() if Entry in tables.readable else ()
    faults += [fault for evidence in check.rows_of(EvidenceFile) for fault in _file_faults(evidence)]
    if Entry in tables.readable:
        faults += guard_faults()
    return VerifyResult(
        len(chain.bodies),
        check.count,
        len(check.rows_of(EvidenceFile)),
        chain.head.sequence,
        chain.head.hash,
        tuple(_shown(fault) for fault in faults),
    )


def hash_at(sequence: int) -> str | None:
    """The hash of one entry, to be held against a printed paper."""
    return Entry.objects.filter(sequence=sequence).values_list("hash", flat=True).first()


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


def _read_chain(chain: _Chain) -> Iterator[str]:
    try:
        for entry in Entry.objects.order_by("sequence").iterator():
            yield from _entry_faults(entry, chain.head)
            chain.bodies[entry.sequence], chain.head = entry.body, entry
    except DatabaseError as error:
        yield f"Journal entry {chain.head.sequence} is the last that can be read ({error})."


def _entry_faults(entry: Entry, before: Entry) -> Iterator[str]:
    name = f"Journal entry {entry.sequence} ({entry.kind}, {entry.subject})"
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
        yield f"{name}: its hash does not match. It was changed after it was written."


def _shown(text: str) -> str:
    return text.encode("utf-8", "backslashreplace").decode()


def _file_faults(evidence: EvidenceFile) -> Iterator[str]:
    name = f"Journal entry {evidence.entry_sequence} (evidence file {evidence.name}, {evidence.sha256[:12]}…)"
    try:
        found = evidence_files.sha256_of_file(evidence_files.place_of(evidence.sha256))
    except OSError as error:
        yield f"{name}: the file cannot be read ({error.strerror})."
        return
    if found != evidence.sha256:
        yield f"{name}: the file was changed; its bytes no longer have this hash."
