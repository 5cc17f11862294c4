"""Whether the database in the data folder may be used: a workshop's or a new one, and not of a newer version."""

from __future__ import annotations

from pathlib import Path

from django.conf import settings
from django.db import DatabaseError, connection
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder

from tickover import __version__
from tickover.workshop.kernel.models import Entry
from tickover.workshop.kernel.refusal import RefusedError
from tickover.workshop.kernel.written import parsed

UPDATED = "database updated"
"""Kind of the entry that names the version which laid out or migrated the database."""


class UnusableDatabaseError(RefusedError):
    """The database must not be used as it is; the text says why and what to do."""


def refuse_unusable() -> None:
    """Raises UnusableDatabaseError. A missing or empty database is in order where there are no evidence files."""
    try:
        applied = applied_migrations()
    except DatabaseError as error:
        if "not a database" not in str(error):
            raise
        raise UnusableDatabaseError(
            f"{settings.DATABASES['default']['NAME']} is not a database. Set it aside, then bring the last "
            "backup back with `tickover restore`."
        ) from error
    if not applied and _holds_evidence():
        raise UnusableDatabaseError(
            f"The database in {settings.DATA} is empty or gone, but its evidence files are there. "
            "Bring the last backup back with `tickover restore`, or start a new workshop in another folder."
        )
    if applied - known_migrations():
        raise UnusableDatabaseError(
            f"{settings.DATA} was written by {newer_than_this(_version())}. "
            "Update tickover, or restore a backup of the older version in another folder."
        )


def applied_migrations() -> set[tuple[str, str]]:
    """What the database has been brought to; nothing of one that is missing or empty, which is not touched."""
    name = str(connection.settings_dict["NAME"])
    if connection.vendor == "sqlite" and not name.startswith("file:"):
        place = Path(name)
        if not place.exists() or place.stat().st_size == 0:
            return set()
    return set(MigrationRecorder(connection).applied_migrations())


def known_migrations() -> set[tuple[str, str]]:
    return set(MigrationLoader(None).disk_migrations)


def newer_than_this(version: str) -> str:
    """A newer tickover in words, by its version where that is known and another."""
    named = f"tickover {version}, which is newer" if version not in ("", __version__) else "a newer tickover"
    return f"{named} than this one ({__version__})"


def _version() -> str:
    try:
        entry = Entry.objects.filter(kind=UPDATED).order_by("-sequence").first()
    except DatabaseError:  # a later version keeps its journal otherwise
        return ""
    return str(parsed(entry.body).get("version", "")) if entry else ""


def _holds_evidence() -> bool:
    return any(p.is_file() and not p.name.startswith(".") for p in Path(settings.FILES).rglob("*"))
