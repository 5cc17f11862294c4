"""Backup and restore: consistent while work goes on, checked before anything is touched."""

from __future__ import annotations

import random
import tarfile
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from tickover.workshop.audit import backup

WRITE_ON = """
on_the_word()
engine, who, n = Engine.objects.get(), person("ada"), 0
while True:
    n += 1
    time_actions.add_track_log(engine, flight(n, NOW - timedelta(days=9 + n)), f"{n}.igc", who=who, at=NOW)
    print(n, flush=True)
"""
ADD_ONE = """
time_actions.add_track_log(Engine.objects.get(), flight(3), "f.igc", who=person("ada"), at=NOW)
"""
LOGS = "import json; print(json.dumps(EngineTimeEntry.objects.count()))"


@pytest.fixture(scope="module")
def archive(laid_out: Any, tmp_path_factory: pytest.TempPathFactory) -> Path:
    target = tmp_path_factory.mktemp("kept") / "backup.tar.gz"
    done = laid_out.tickover("backup", str(target))
    assert done.returncode == 0, done.stderr
    return target


@pytest.fixture
def refused(folder: Any, settings: Any, today: datetime) -> Callable[[Path], str]:
    """What is said when this archive is refused; the workshop's folder is untouched."""

    def restore(archive: Path) -> str:
        settings.DATA, settings.FILES = folder.data, folder.data / "files"
        before = folder.files()
        with pytest.raises(backup.BackupError, match="Nothing was changed") as caught:
            backup.restore(archive, at=today)
        assert folder.files() == before
        assert [p for p in folder.data.parent.iterdir() if p.name.startswith("tickover-restore")] == []
        return str(caught.value)

    return restore


def test_a_backup_made_while_others_write_is_whole(
    folder: Any, new_folder: Callable[[str], Any], tmp_path: Path
) -> None:
    writer = folder.start(WRITE_ON)
    writer.stdout.readline()
    writer.stdin.write("go\n")
    writer.stdin.flush()
    writer.stdout.readline()
    done = folder.tickover("backup", str(tmp_path / "backup.tar.gz"))
    checked = folder.tickover("verify")
    writer.kill()
    writer.communicate()
    assert done.returncode == 0, done.stderr
    assert checked.returncode == 0, checked.stdout
    other = new_folder("other")
    restored = other.tickover("restore", str(tmp_path / "backup.tar.gz"))
    assert restored.returncode == 0, restored.stdout + restored.stderr
    assert "Everything is unchanged" in restored.stdout
    assert 2 <= other.ask(LOGS) <= folder.ask(LOGS)


def test_a_backup_brings_everything_back(
    folder: Any, archive: Path, new_folder: Callable[[str], Any]
) -> None:
    other = new_folder("other")
    assert other.tickover("restore", str(archive)).returncode == 0
    heads = [f.tickover("verify").stdout.splitlines()[-1] for f in (folder, other)]
    assert heads[0] == heads[1] and "Journal head: entry" in heads[0]
    kept = {name: data for name, data in folder.files().items() if name.startswith("files/")}
    assert {n: d for n, d in other.files().items() if n.startswith("files/")} == kept


def test_a_backup_holds_no_secret(archive: Path) -> None:
    with tarfile.open(archive) as tar:
        assert not [name for name in tar.getnames() if "secret" in name]


def test_a_backup_overwrites_nothing(folder: Any, archive: Path) -> None:
    before = archive.read_bytes()
    again = folder.tickover("backup", str(archive))
    assert again.returncode == 1 and "is there already" in again.stderr
    assert again.stderr.count("\n") == 1
    assert archive.read_bytes() == before
    assert [p.name for p in archive.parent.iterdir() if p.name.startswith("tmp")] == []


def test_what_was_there_before_a_restore_is_set_aside(folder: Any, archive: Path) -> None:
    assert folder.ask(ADD_ONE + LOGS) == 2
    done = folder.tickover("restore", str(archive))
    assert done.returncode == 0, done.stderr
    assert folder.ask(LOGS) == 1
    (aside,) = folder.data.glob("before-restore-*")
    assert str(aside) in done.stdout
    assert (aside / "workshop.sqlite3").exists() and len([p for p in aside.rglob("*/*") if p.is_file()]) == 2


DAMAGES: dict[str, Callable[[bytes], bytes]] = {
    "cut short": lambda data: data[: len(data) // 2],
    "empty": lambda _: b"",
    "not an archive": lambda _: b"a letter to the workshop",
    "one byte": lambda data: data[:5000] + bytes([data[5000] ^ 1]) + data[5001:],
}


@pytest.mark.parametrize("damage", DAMAGES.values(), ids=list(DAMAGES))
def test_a_damaged_backup_is_refused_in_one_line(
    refused: Callable[[Path], str], archive: Path, tmp_path: Path, damage: Callable[[bytes], bytes]
) -> None:
    bad = tmp_path / "bad.tar.gz"
    bad.write_bytes(damage(archive.read_bytes()))
    assert "\n" not in refused(bad)


def test_a_backup_that_is_not_there_is_refused(folder: Any) -> None:
    done = folder.tickover("restore", "nowhere.tar.gz")
    assert (done.returncode, done.stderr) == (1, "There is no file nowhere.tar.gz. Nothing was changed.\n")


def repacked(archive: Path, folder: Path, change: Callable[[Path], None]) -> Path:
    with tarfile.open(archive) as tar:
        tar.extractall(folder)
    change(folder)
    bad = folder.with_name("repacked.tar.gz")
    with tarfile.open(bad, "w:gz") as tar:
        for path in sorted(folder.rglob("*")):
            if path.is_file():
                tar.add(path, arcname=str(path.relative_to(folder)))
    return bad


CHANGES: dict[str, Callable[[Path], Any]] = {
    "a changed file": lambda f: next(p for p in f.glob("files/*/*")).write_bytes(b"other"),
    "a file left out": lambda f: next(p for p in f.glob("files/*/*")).unlink(),
    "no list": lambda f: (f / "manifest.json").unlink(),
    "a list of nothing": lambda f: (f / "manifest.json").write_text('{"sha256": {}}'),
    "an odd list": lambda f: (f / "manifest.json").write_text('["sha256"]'),
    "half a list": lambda f: (f / "manifest.json").write_text('{"sha256": {"workshop'),
}


@pytest.mark.parametrize("change", CHANGES.values(), ids=list(CHANGES))
def test_a_backup_packed_anew_is_refused(
    refused: Callable[[Path], str], archive: Path, tmp_path: Path, change: Callable[[Path], Any]
) -> None:
    refused(repacked(archive, tmp_path / "unpacked", change))


def test_any_one_byte_changed_is_found_or_harmless(archive: Path, tmp_path: Path) -> None:
    """A byte is either noticed, or nothing that is brought back changed."""
    data, chance = archive.read_bytes(), random.Random(8785)
    whole = tmp_path / "whole"
    backup._unpack_checked(archive, whole)
    expected = {p.relative_to(whole): p.read_bytes() for p in whole.rglob("*") if p.is_file()}
    for n in range(40):
        place = chance.randrange(len(data))
        bad = tmp_path / "bad.tar.gz"
        bad.write_bytes(data[:place] + bytes([data[place] ^ (1 << chance.randrange(8))]) + data[place + 1 :])
        try:
            backup._unpack_checked(bad, tmp_path / f"try{n}")
        except backup.BackupError:
            continue
        found = {
            p.relative_to(tmp_path / f"try{n}"): p for p in (tmp_path / f"try{n}").rglob("*") if p.is_file()
        }
        assert {name: path.read_bytes() for name, path in found.items()} == expected


def test_an_archive_that_reaches_outside_is_refused(refused: Callable[[Path], str], tmp_path: Path) -> None:
    (tmp_path / "evil").write_text("x")
    bad = tmp_path / "evil.tar.gz"
    (tmp_path / "list").write_text('{"sha256": {"../../outside": "00"}}')
    with tarfile.open(bad, "w:gz") as tar:
        tar.add(tmp_path / "list", arcname="manifest.json")
        tar.add(tmp_path / "evil", arcname="../../outside")
    refused(bad)
    assert not (tmp_path.parent / "outside").exists()
