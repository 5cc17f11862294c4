"""Writes of type sheets that people change: a new version, and an engine of a type."""

from __future__ import annotations

from datetime import datetime

from django.utils.timezone import localdate

from tickover.sheets import SheetError, fingerprint, load_sheet
from tickover.workshop.kernel import actions as journal
from tickover.workshop.people.models import Person
from tickover.workshop.register.actions import NewEngine, RegisterError, add_engine, add_owner
from tickover.workshop.register.models import Engine, Owner, SheetVersion

REASON_MAX = 300


@journal.locked()
def keep_version(text: str, reason: str, *, who: Person, at: datetime, **more: object) -> SheetVersion:
    """Keep a changed type sheet as its newest version, with the reason for it in the journal."""
    if not reason.strip():
        raise RegisterError("Type why, so that others understand. Nothing was saved.")
    try:
        sheet = load_sheet(text, "type sheet")
    except SheetError as error:
        raise RegisterError(f"The rows do not match yet. Nothing was saved. {error}") from error
    newest = SheetVersion.objects.filter(sheet_id=sheet.id).order_by("-version").first()
    if newest is not None and sheet.version <= newest.version:
        raise RegisterError(f"Version {newest.version} of this sheet is already here. Nothing was saved.")
    row = SheetVersion(fingerprint=fingerprint(text), sheet_id=sheet.id, version=sheet.version, text=text)
    noted = {"reason": reason.strip()[:REASON_MAX], **more}
    journal.record(row, "type sheet changed", f"sheet/{sheet.id}", actor=who.username, at=at, **noted)
    return row


@journal.locked()
def register_engine(new: NewEngine, owner_name: str, *, who: Person, at: datetime) -> Engine:
    """Add an engine to the register, and its owner with it where he is new."""
    if Engine.objects.filter(name=new.name).exists():
        raise RegisterError(f"An engine called {new.name} is in the register already.")
    if new.in_service_on > localdate(at):
        raise RegisterError(f"{new.in_service_on:%d %b %Y} is still to come.")
    owner = Owner.objects.filter(name=owner_name).first()
    return add_engine(new, owner or add_owner(owner_name, who=who, at=at), who=who, at=at)
