"""Whether a database out of a backup is a sound workshop, before it is put in place. Read as it is, by sqlite3."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

from tickover.workshop.audit.database_state import UPDATED, known_migrations, newer_than_this
from tickover.workshop.kernel.journal_chain import GENESIS, entry_hash

TABLES = frozenset({"journal_entry", "people_workshop", "people_person", "django_migrations"})
COLUMNS = ("sequence", "at", "actor", "kind", "subject", "body", "previous_hash")


def database_fault(path: Path) -> str | None:
    """What is wrong with the database, to follow the name of the backup; None where it is a sound workshop."""
    try:
        with closing(sqlite3.connect(f"{path.as_uri()}?immutable=1", uri=True)) as database:
            return next(_faults(database), None)
    except (sqlite3.Error, ValueError):
        return "holds a database that is damaged"


def _faults(database: sqlite3.Connection) -> Iterator[str]:
    tables = {name for (name,) in database.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    if not tables >= TABLES or not database.execute("SELECT 1 FROM people_workshop").fetchone():
        yield "holds a database that is not a tickover workshop"
    if database.execute("PRAGMA quick_check(1)").fetchone() != ("ok",):
        yield "holds a database that is damaged"
    if set(database.execute("SELECT app, name FROM django_migrations")) - known_migrations():
        yield f"was written by {newer_than_this(_version(database))}"
    yield from _chain_faults(database)


def _version(database: sqlite3.Connection) -> str:
    asked = "SELECT body FROM journal_entry WHERE kind = ? ORDER BY sequence DESC LIMIT 1"
    found = database.execute(asked, (UPDATED,)).fetchone()
    return str(json.loads(found[0]).get("version", "")) if found else ""


def _chain_faults(database: sqlite3.Connection) -> Iterator[str]:
    before = (0, GENESIS)
    for *columns, held in database.execute(
        f"SELECT {', '.join(COLUMNS)}, hash FROM journal_entry ORDER BY sequence"
    ):
        entry = dict(zip(COLUMNS, columns, strict=True))
        follows = (entry["sequence"], entry["previous_hash"]) == (before[0] + 1, before[1])
        if not follows or entry_hash(**entry) != held:
            yield f"holds a journal whose chain is broken at entry {entry['sequence']}"
        before = (entry["sequence"], held)
    if before[0] == 0:
        yield "holds a workshop without a journal"
