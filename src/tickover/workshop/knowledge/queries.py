"""Reads: the types kept here, their versions, a person's draft, and the shipped texts that are newer."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import datetime

from tickover.sheets import TypeSheet, fingerprint, load_sheet, shipped_texts
from tickover.workshop.kernel import queries as journal
from tickover.workshop.knowledge.models import SheetDraft
from tickover.workshop.people.models import Person
from tickover.workshop.register import queries as register
from tickover.workshop.register.models import Engine, SheetVersion


@dataclass(frozen=True)
class TypeLine:
    """One type as the list shows it."""

    sheet: TypeSheet
    engines: int
    drafts: tuple[str, ...]
    newer_shipped: bool


@dataclass(frozen=True)
class VersionLine:
    """One version: who kept it, when and why."""

    row: SheetVersion
    by: str
    at: datetime
    reason: str
    shipped: str


def types() -> list[TypeLine]:
    """Every type of this workshop by its newest version, in the order of their titles."""
    ids = SheetVersion.objects.order_by("sheet_id").values_list("sheet_id", flat=True).distinct()
    engines = Counter(Engine.objects.values_list("sheet_id", flat=True))
    drafts: dict[str, list[str]] = {}
    for draft in SheetDraft.objects.select_related("by").defer("text"):
        drafts.setdefault(draft.sheet_id, []).append(str(draft.by))
    lines = [
        TypeLine(register.newest_sheet(n), engines[n], tuple(drafts.get(n, ())), bool(newer_shipped(n)))
        for n in ids
    ]
    return sorted(lines, key=lambda line: line.sheet.title.casefold())


def newest(sheet_id: str) -> SheetVersion | None:
    try:
        return register.newest_sheet_version(sheet_id)
    except LookupError:
        return None


def engines_of(sheet_id: str) -> list[Engine]:
    return list(register.engines().filter(sheet_id=sheet_id))


def draft_of(sheet_id: str, who: Person) -> SheetDraft | None:
    return SheetDraft.objects.select_related("base").filter(sheet_id=sheet_id, by=who).first()


def drafts_of(who: Person) -> list[SheetDraft]:
    return list(SheetDraft.objects.filter(by=who).order_by("sheet_id").defer("text"))


def others_drafting(sheet_id: str, who: Person) -> list[str]:
    rows = SheetDraft.objects.filter(sheet_id=sheet_id).exclude(by=who).select_related("by").defer("text")
    return [str(row.by) for row in rows]


def version_lines(sheet_id: str) -> list[VersionLine]:
    """Every version, the newest first."""
    rows = SheetVersion.objects.filter(sheet_id=sheet_id).defer("text").order_by("-version", "-id")
    names = {person.username: str(person) for person in Person.objects.all()}
    lines = []
    entries = journal.some(row.entry_sequence for row in rows)
    for row in rows:
        if entry := entries.get(row.entry_sequence):
            why, shipped = entry.body.get("reason", ""), entry.body.get("shipped", "")
            by = names.get(entry.actor, entry.actor)
            lines.append(VersionLine(row, by, entry.at, why or "as it was shipped", shipped))
    return lines


def version_by(sheet_id: str, fingerprint: str) -> SheetVersion | None:
    return SheetVersion.objects.filter(sheet_id=sheet_id, fingerprint=fingerprint).first()


def newer_shipped(sheet_id: str) -> str:
    """The shipped text of a type where it is none that was kept or laid into a version before; else ""."""
    text = shipped_text(sheet_id)
    if not text or not SheetVersion.objects.filter(sheet_id=sheet_id).exists():
        return ""
    mark = fingerprint(text)
    known = any(mark in (line.row.fingerprint, line.shipped) for line in version_lines(sheet_id))
    return "" if known else text


def last_shipped(sheet_id: str) -> str:
    """The text of this type that came with the program before: what own changes are counted from."""
    rows = SheetVersion.objects.filter(sheet_id=sheet_id).order_by("id")
    entries = journal.some(rows.values_list("entry_sequence", flat=True))
    shipped = [e.sequence for e in entries.values() if not e.body.get("reason")]
    last = rows.filter(entry_sequence__in=shipped).last() or rows[0]
    return last.text


def shipped_text(sheet_id: str) -> str:
    """The text of a type as the program brings it; "" where it brings none."""
    for name, text in shipped_texts().items():
        if load_sheet(text, name).id == sheet_id:
            return text
    return ""


def to_copy() -> dict[str, TypeSheet]:
    """Types that a new one can begin as a copy of: those kept here, and shipped ones that are not."""
    shipped = {(sheet := load_sheet(text, name)).id: sheet for name, text in shipped_texts().items()}
    return shipped | {line.sheet.id: line.sheet for line in types()}


def text_to_copy(sheet_id: str) -> str:
    kept = newest(sheet_id)
    return kept.text if kept else shipped_text(sheet_id)
