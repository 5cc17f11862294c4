"""The book is for its owner alone: on disk, in a backup, and for who reads the database."""

from __future__ import annotations

import os
import sqlite3
import stat
import tarfile
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from tickover.workshop.serving.owner_only import put_right

pytestmark = pytest.mark.skipif(os.name != "posix", reason="modes of files are a matter of POSIX")
ADD_ONE = "time_actions.add_track_log(Engine.objects.get(), flight(3), 'f.igc', who=person('ada'), at=NOW)\n"


def open_to_others(folder: Path) -> list[str]:
    """What somebody else could read or enter."""
    return [str(p) for p in (folder, *folder.rglob("*")) if stat.S_IMODE(p.lstat().st_mode) & 0o077]


def loosen(folder: Path) -> None:
    """As an earlier version left it."""
    for path in (folder, *folder.rglob("*")):
        path.chmod(0o755 if path.is_dir() else 0o644)


def test_a_new_workshop_is_for_its_owner_only(new_folder: Callable[[str], Any]) -> None:
    folder = new_folder("new")
    folder.data.rmdir()
    with folder.open_shop("--empty") as shop:
        shop.get("/sign-in/")
        assert {p.name for p in folder.data.iterdir()} >= {
            "workshop.sqlite3",
            "workshop.sqlite3-wal",
            "secret.key",
        }
        assert open_to_others(folder.data) == []


@pytest.mark.parametrize("command", [("verify",), ("backup", "b.tar.gz"), ("sign-in", "ada")])
def test_an_older_workshop_is_put_right(folder: Any, tmp_path: Path, command: tuple[str, ...]) -> None:
    loosen(folder.data)
    assert len(open_to_others(folder.data)) > 4
    folder.tickover(*(str(tmp_path / word) if word.endswith(".gz") else word for word in command))
    assert open_to_others(folder.data) == []


def test_opening_puts_right_what_is_there_and_what_comes(folder: Any) -> None:
    loosen(folder.data)
    with folder.open_shop() as shop:
        shop.get("/", shop.sign_in())
        assert {p.name for p in folder.data.iterdir()} >= {
            "workshop.sqlite3",
            "workshop.sqlite3-wal",
            "files",
        }
        assert open_to_others(folder.data) == []


def test_a_backup_and_what_is_restored_from_it_are_for_their_owner_only(
    folder: Any, new_folder: Callable[[str], Any], tmp_path: Path
) -> None:
    (tmp_path / "kept").mkdir(mode=0o755)
    archive = tmp_path / "kept" / "backup.tar.gz"
    assert folder.tickover("backup", str(archive)).returncode == 0
    assert stat.S_IMODE(archive.stat().st_mode) == 0o600
    loosen(folder.data)
    assert folder.tickover("restore", str(archive)).returncode == 0
    assert open_to_others(folder.data) == [] and list(folder.data.glob("before-restore-*"))


def test_what_others_keep_in_the_folder_is_left(tmp_path: Path) -> None:
    for name in ("notes.txt", "files/ab/evidence", "elsewhere"):
        (tmp_path / "data" / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / "data" / name).write_text("")
    (tmp_path / "data" / "other.key").symlink_to(tmp_path / "data" / "elsewhere")
    loosen(tmp_path / "data")
    put_right(tmp_path / "data")
    assert {Path(name).name for name in open_to_others(tmp_path / "data")} == {
        "notes.txt",
        "elsewhere",
        "other.key",
    }


def test_a_folder_that_belongs_to_everyone_is_left(tmp_path: Path) -> None:
    tmp_path.chmod(0o1777)
    put_right(tmp_path)
    assert stat.S_IMODE(tmp_path.stat().st_mode) == 0o1777


def rows(database: Path, table: str) -> list[tuple[Any, ...]]:
    with closing(sqlite3.connect(database)) as opened:
        return opened.execute(f"SELECT * FROM {table}").fetchall()


def test_who_reads_the_database_is_signed_in_as_nobody(folder: Any) -> None:
    with folder.open_shop() as shop:
        cookie = shop.sign_in()
        assert shop.get("/", cookie).status == 200
        (row,) = rows(folder.data / "workshop.sqlite3", "django_session")
        assert row[0] not in cookie
        assert shop.get("/", f"tickover_session={row[0]}").status == 302
        key = cookie.partition("tickover_session=")[2].partition(";")[0]
        assert len(key) == 32
        written = b"".join(p.read_bytes() for p in folder.data.rglob("*") if p.is_file())
        assert key.encode() not in written and row[0].encode() in written


def test_a_backup_signs_nobody_in(folder: Any, tmp_path: Path, new_folder: Callable[[str], Any]) -> None:
    with folder.open_shop() as shop:
        shop.sign_in()
        folder.tickover("sign-in", "bo")
        kept = [row[0] for row in rows(folder.data / "workshop.sqlite3", "django_session")]
        tokens = [row[1] for row in rows(folder.data / "workshop.sqlite3", "people_signinlink")]
        assert kept and len(tokens) == 3
        assert folder.tickover("backup", str(tmp_path / "b.tar.gz")).returncode == 0
        assert rows(folder.data / "workshop.sqlite3", "django_session")
    with tarfile.open(tmp_path / "b.tar.gz") as tar:
        data = tar.extractfile("workshop.sqlite3").read()
    assert not [word for word in (*kept, *tokens) if word.encode() in data]
    other = new_folder("other")
    assert other.tickover("restore", str(tmp_path / "b.tar.gz")).returncode == 0
    assert rows(other.data / "workshop.sqlite3", "people_signinlink") == []
