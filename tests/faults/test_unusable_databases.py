"""Databases that are none, of another version, or from before: refused in a sentence, or taken over and said so."""

from __future__ import annotations

import hashlib
import json
import shutil
import sqlite3
import subprocess
import sys
import tarfile
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from tests.faults.forking import Started

BEFORE = Path(__file__).with_name("workshop-0.1.0.tar.xz")
"""A demo workshop with two engines, laid out and worked in by version 0.1.0."""

FUTURE = "INSERT INTO django_migrations (app, name, applied) VALUES ('bench', '9999_later', '2030-01-01')"
NOTED = "SELECT subject, body FROM journal_entry WHERE kind = 'noted from before' ORDER BY sequence"


def execute(database: Path, statement: str) -> list[Any]:
    with closing(sqlite3.connect(database)) as connection, connection:
        return connection.execute(statement).fetchall()


@pytest.fixture
def before(new_folder: Callable[[str], Any]) -> Any:
    """A folder as version 0.1.0 left it."""
    folder = new_folder("before")
    with tarfile.open(BEFORE) as tar:
        tar.extractall(folder.data, filter="data")
    return folder


def opened(folder: Any) -> None:
    """`tickover open` until it is ready."""
    command = [sys.executable, "-m", "tickover", "open", "--port", "0"]
    process = Started(command, env=folder.environment, stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    assert any("signs you in once" in line for line in process.stdout)
    process.kill()
    process.communicate()


def refused(folder: Any, *arguments: str) -> str:
    """The one sentence or two by which a command is refused; the folder is as it was."""
    kept = folder.files()
    done = folder.tickover(*arguments)
    assert done.returncode == 1 and done.stderr.count("\n") == 1, done.stderr
    assert {n: d for n, d in folder.files().items() if n != "secret.key"} == {
        n: d for n, d in kept.items() if n != "secret.key"
    }
    return str(done.stderr)


def test_a_database_from_before_opens_is_taken_over_once_and_verifies(before: Any) -> None:
    database = before.data / "workshop.sqlite3"
    (last,) = execute(database, "SELECT sequence, hash FROM journal_entry ORDER BY sequence DESC LIMIT 1")
    opened(before)
    checked = before.tickover("verify", "--paper", str(last[0]), last[1])
    assert checked.returncode == 0, checked.stdout
    noted = execute(database, NOTED)
    assert [subject for subject, _ in noted] == [
        "person/mara",
        "person/ivo",
        "person/tamsin",
        "person/noor",
        "workshop",
    ]
    body = json.loads(noted[0][1])
    assert body["facts"]["authority"] == "Demo authority LB-T-02" and "differs" not in body
    assert body["words"].startswith("Taken over as it was in the database on ")
    opened(before)
    assert execute(database, NOTED) == noted


def test_a_person_added_after_that_is_not_taken_over(before: Any) -> None:
    opened(before)
    execute(
        before.data / "workshop.sqlite3",
        "INSERT INTO people_person (password, is_superuser, username, first_name, last_name, email, is_staff, "
        "is_active, date_joined, role, authority) VALUES ('x', 0, 'eve', 'Eve', 'Nobody', '', 0, 1, "
        "'2026-01-01 00:00:00', 'inspector', 'I-9')",
    )
    opened(before)
    done = before.tickover("verify")
    assert done.returncode == 1
    assert "FAULT Record person 5: the record is there, but its entry is not in the journal." in done.stdout


def test_what_was_changed_before_it_was_taken_over_is_named_until_somebody_answers_for_it(
    before: Any,
) -> None:
    database = before.data / "workshop.sqlite3"
    execute(database, "UPDATE people_person SET authority = 'All engines' WHERE username = 'mara'")
    execute(database, "UPDATE people_workshop SET works_alone = 1")
    opened(before)
    done = before.tickover("verify")
    assert done.returncode == 1 and done.stdout.count("FAULT") == 2
    assert "(person 1): taken over as it was, but earlier entries say otherwise (authority)" in done.stdout
    assert (
        "(workshop 1): taken over as it was, but earlier entries say otherwise (works_alone)" in done.stdout
    )
    half = before.tickover("edit-person", "mara", "--last-name", "Lind", "--why", "married")
    assert half.returncode == 1 and "changed outside tickover: authority" in half.stderr
    for edit in (
        ("edit-person", "mara", "--authority", "Demo authority LB-T-02", "--why", "as on the licence"),
        ("edit-workshop", "--works-alone", "yes", "--second-look-minutes", "15", "--why", "alone since May"),
    ):
        answered = before.tickover(*edit)
        assert answered.returncode == 0, answered.stderr
    assert before.tickover("verify").returncode == 0


def test_a_backup_from_before_is_restored_taken_over_and_verified(
    before: Any, new_folder: Callable[[str], Any], tmp_path: Path
) -> None:
    archive = packed(before.data, tmp_path / "old.tar.gz")
    other = new_folder("other")
    done = other.tickover("restore", str(archive))
    assert done.returncode == 0, done.stdout + done.stderr
    assert "Everything is unchanged" in done.stdout
    assert len(execute(other.data / "workshop.sqlite3", NOTED)) == 5


@pytest.mark.parametrize("how", ["empty", "gone"])
def test_an_empty_database_beside_evidence_does_not_become_a_demo(
    folder: Any, how: str, tmp_path: Path
) -> None:
    archive = tmp_path / "kept.tar.gz"
    assert folder.tickover("backup", str(archive)).returncode == 0
    database = folder.data / "workshop.sqlite3"
    for path in folder.data.glob("workshop.sqlite3*"):
        path.unlink()
    if how == "empty":
        database.touch()
    for command in (["open", "--port", "0"], ["verify"], ["backup", str(tmp_path / "b.tar.gz")]):
        said = refused(folder, *command)
        assert "is empty or gone, but its evidence files are there" in said and "tickover restore" in said
    assert folder.tickover("restore", str(archive)).returncode == 0
    assert folder.tickover("verify").returncode == 0


def test_a_file_that_is_no_database_is_named(folder: Any) -> None:
    for path in folder.data.glob("workshop.sqlite3*"):
        path.unlink()
    (folder.data / "workshop.sqlite3").write_bytes(b"a letter to the workshop" * 100)
    assert "is not a database. Set it aside" in refused(folder, "open", "--port", "0")


def test_a_database_of_a_newer_version_is_refused(folder: Any, tmp_path: Path) -> None:
    execute(folder.data / "workshop.sqlite3", FUTURE)
    for command in (["open", "--port", "0"], ["verify"], ["due"], ["backup", str(tmp_path / "b.tar.gz")]):
        assert "was written by a newer tickover than this one" in refused(folder, *command)
    process = folder.start("import tickover.workshop.wsgi; on_the_word()")
    assert "UnusableDatabaseError" in process.communicate(timeout=60)[1]


def test_a_newer_version_is_named_where_the_journal_holds_it(folder: Any) -> None:
    folder.ask("""
from django.db import transaction
from tickover.workshop.kernel import actions as journal
with transaction.atomic():
    journal.append("database updated", "database", {"version": "9.1"}, actor="tickover", at=NOW)
print(0)
""")
    execute(folder.data / "workshop.sqlite3", FUTURE)
    assert "written by tickover 9.1, which is newer than this one" in refused(folder, "due")


def packed(data: Path, target: Path) -> Path:
    """An archive of a folder with a list of hashes that fits, whatever its database is."""
    inside = [
        p for p in data.rglob("*") if p.is_file() and ("files" in p.parts or p.name == "workshop.sqlite3")
    ]
    hashes = {str(p.relative_to(data)): hashlib.sha256(p.read_bytes()).hexdigest() for p in inside}
    manifest = target.with_suffix(".json")
    manifest.write_text(json.dumps({"tickover": 1, "sha256": hashes}))
    with tarfile.open(target, "w:gz", compresslevel=1) as tar:
        tar.add(manifest, arcname="manifest.json")
        for name in hashes:
            tar.add(data / name, arcname=name)
    return target


def another_database(database: Path) -> None:
    database.unlink()
    execute(database, "CREATE TABLE shopping (what TEXT)")


UNGUARDED = "DROP TRIGGER journal_entry_no_update"
SPOILED: dict[str, tuple[Callable[[Path], Any], str]] = {
    "no database": (lambda d: d.write_bytes(b"a letter" * 999), "holds a database that is damaged"),
    "an empty one": (lambda d: d.write_bytes(b""), "holds a database that is not a tickover workshop"),
    "another one": (another_database, "holds a database that is not a tickover workshop"),
    "no workshop in it": (
        lambda d: execute(d, "DELETE FROM people_workshop"),
        "holds a database that is not a tickover workshop",
    ),
    "cut short": (lambda d: d.write_bytes(d.read_bytes()[:200_000]), "holds a database that is damaged"),
    "a newer one": (lambda d: execute(d, FUTURE), "was written by a newer tickover than this one"),
    "a broken chain": (
        lambda d: (
            execute(d, UNGUARDED),
            execute(d, "UPDATE journal_entry SET actor = 'eve' WHERE sequence = 5"),
        ),
        "holds a journal whose chain is broken at entry 5",
    ),
    "an entry taken out": (
        lambda d: (
            execute(d, "DROP TRIGGER journal_entry_no_delete"),
            execute(d, "DELETE FROM journal_entry WHERE sequence = 7"),
        ),
        "holds a journal whose chain is broken at entry 8",
    ),
    "no entries": (
        lambda d: (
            execute(d, "DROP TRIGGER journal_entry_no_delete"),
            execute(d, "DELETE FROM journal_entry"),
        ),
        "holds a workshop without a journal",
    ),
}


@pytest.mark.parametrize(("spoil", "says"), SPOILED.values(), ids=list(SPOILED))
def test_a_backup_whose_database_is_no_sound_workshop_is_refused(
    folder: Any, tmp_path: Path, spoil: Callable[[Path], Any], says: str
) -> None:
    copy = tmp_path / "copy"
    shutil.copytree(folder.data, copy)
    execute(copy / "workshop.sqlite3", "PRAGMA wal_checkpoint(TRUNCATE)")
    spoil(copy / "workshop.sqlite3")
    archive = packed(copy, tmp_path / "bad.tar.gz")
    assert refused(folder, "restore", str(archive)) == (
        f"{archive} {says} ({_this()}). Nothing was changed.\n"
        if "newer" in says
        else f"{archive} {says}. Nothing was changed.\n"
    )
    assert not [p for p in folder.data.parent.iterdir() if p.name.startswith("tickover-restore")]


def _this() -> str:
    from tickover import __version__

    return __version__
