"""Reads of the register."""

from __future__ import annotations

from threading import Lock

from cachetools import LRUCache, cached
from django.db.models import QuerySet

from tickover.sheets import TypeSheet, load_sheet
from tickover.workshop.register.models import Engine, EvidenceFile, SheetVersion

SHEETS_KEPT = 64


def engine_by_serial(serial: str) -> Engine | None:
    return Engine.objects.select_related("owner").filter(serial=serial).first()


def engines() -> QuerySet[Engine]:
    return Engine.objects.select_related("owner").order_by("name")


def newest_sheet(sheet_id: str) -> TypeSheet:
    return sheet_of(newest_sheet_version(sheet_id))


def newest_sheet_version(sheet_id: str) -> SheetVersion:
    """The newest kept version of a sheet. Raises LookupError where none is kept."""
    versions = SheetVersion.objects.filter(sheet_id=sheet_id).order_by("-version", "-id")
    # A text is long, and read once: what it says is known by its fingerprint afterwards.
    kept = versions.defer("text").first()
    if kept is None:
        raise LookupError(f"no type sheet called {sheet_id!r} is kept in this workshop")
    return kept


def _fingerprint(version: SheetVersion, build_id: str = "") -> tuple[str, str]:
    return version.fingerprint, build_id


@cached(LRUCache(SHEETS_KEPT), key=_fingerprint, lock=Lock())
def sheet_of(version: SheetVersion, build_id: str = "") -> TypeSheet:
    """A version of a sheet, whole or as one build sees it; a fingerprint never means another text."""
    whole = sheet_of(version) if build_id else load_sheet(version.text, f"{version.sheet_id}.toml")
    return whole.for_build(build_id) if build_id else whole


def build_of(engine: Engine) -> TypeSheet:
    """What is known of this engine's build, by the newest sheet."""
    return sheet_of(newest_sheet_version(engine.sheet_id), engine.build_id)


def evidence_file(sha256: str) -> EvidenceFile | None:
    return EvidenceFile.objects.filter(sha256=sha256).first()
