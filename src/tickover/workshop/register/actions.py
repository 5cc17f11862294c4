"""Writes to the register."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from tickover.sheets import fingerprint, load_sheet
from tickover.workshop.kernel import actions as journal
from tickover.workshop.kernel import evidence_files
from tickover.workshop.kernel.refusal import RefusedError
from tickover.workshop.people.models import Person
from tickover.workshop.register import queries
from tickover.workshop.register.models import Engine, EvidenceFile, Owner, SheetVersion


class RegisterError(RefusedError):
    """Something cannot be entered; the text is a sentence for the person who tried."""


@dataclass(frozen=True)
class NewEngine:
    name: str
    serial: str
    sheet_id: str
    build_id: str
    in_service_on: date


@journal.locked()
def keep_sheet(text: str, name: str, *, actor: str, at: datetime) -> SheetVersion:
    """Keep a type sheet's text as a version; the same text is kept once."""
    mark = fingerprint(text)
    if kept := SheetVersion.objects.filter(fingerprint=mark).first():
        return kept
    sheet = load_sheet(text, name)
    row = SheetVersion(fingerprint=mark, sheet_id=sheet.id, version=sheet.version, text=text)
    journal.record(row, "type sheet kept", f"sheet/{sheet.id}", actor=actor, at=at)
    return row


@journal.locked()
def add_owner(name: str, *, who: Person, at: datetime) -> Owner:
    row = Owner(name=name)
    journal.record(row, "owner added", f"owner/{name}", actor=who.username, at=at)
    return row


@journal.locked()
def add_engine(new: NewEngine, owner: Owner, *, who: Person, at: datetime) -> Engine:
    sheet = queries.newest_sheet(new.sheet_id)
    sheet.build(new.build_id)
    if Engine.objects.filter(serial=new.serial).exists():
        raise RegisterError(f"An engine with serial {new.serial} is in the register already.")
    row = Engine(owner=owner, **vars(new))
    journal.record(row, "engine added", f"engine/{new.serial}", actor=who.username, at=at)
    return row


def keep_evidence(data: bytes, name: str, *, who: Person, at: datetime) -> EvidenceFile:
    """Keep a file by its hash, inside the caller's transaction; the same bytes are kept once."""
    return evidence_row(evidence_files.keep(data), name, len(data), who, at)


def keep_copy(copy: evidence_files.Copy, name: str, *, who: Person, at: datetime) -> EvidenceFile:
    """The same for a copy that was written before the transaction, since that takes long for a large file."""
    return evidence_row(copy.keep(), name, copy.size, who, at)


def evidence_row(sha256: str, name: str, size: int, who: Person, at: datetime) -> EvidenceFile:
    """The row of a file that is on disk already; the same bytes have one row."""
    if kept := EvidenceFile.objects.filter(sha256=sha256).first():
        return kept
    row = EvidenceFile(sha256=sha256, name=name[:200], size=size)
    journal.record(row, "evidence file kept", f"file/{sha256}", actor=who.username, at=at)
    return row


def subject_of(engine: Engine) -> str:
    """How the journal names an engine."""
    return f"engine/{engine.serial}"
