"""Nobody restores a backup under a running server, and no server starts into a restore."""

from __future__ import annotations

import socket
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.faults.forking import Started
from tickover.workshop.kernel.folder_lock import (
    IN_USE,
    SET_UP,
    FolderLockedError,
    FolderNotWritableError,
    in_use,
    locked,
)

UNDER_ANOTHER_SERVER = "import tickover.workshop.wsgi; on_the_word()"


@pytest.fixture
def archive(folder: Any, tmp_path: Path) -> Path:
    target = tmp_path / "backup.tar.gz"
    assert folder.tickover("backup", str(target)).returncode == 0
    return target


@pytest.fixture
def server(folder: Any) -> Iterator[subprocess.Popen[str]]:
    """`tickover open`, ready for its first request."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "tickover", "open", "--port", str(port)]
    process = Started(command, env=folder.environment, stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    assert any("signs you in once" in line for line in process.stdout)
    yield process
    process.kill()
    process.communicate()


def refused(folder: Any, archive: Path) -> bool:
    done = folder.tickover("restore", str(archive))
    assert done.returncode == 0 or "Nothing was changed" in done.stderr
    assert done.returncode == 0 or done.stderr.count("\n") == 1
    return done.returncode == 1


def test_a_running_server_keeps_a_restore_out_until_it_ends(
    folder: Any, archive: Path, server: subprocess.Popen[str]
) -> None:
    before = folder.ask("import json; print(json.dumps(Job.objects.count()))")
    done = folder.tickover("restore", str(archive))
    assert done.returncode == 1
    assert done.stderr == (
        f"tickover is open in {folder.data}. Stop it there, then restore again. Nothing was changed.\n"
    )
    assert not list(folder.data.glob("before-restore-*"))
    assert folder.ask("import json; print(json.dumps(Job.objects.count()))") == before
    server.kill()  # the lock of a killed process is free
    server.wait()
    assert not refused(folder, archive)


def test_two_servers_and_a_command_share_a_folder(folder: Any, server: subprocess.Popen[str]) -> None:
    assert folder.tickover("verify").returncode == 0
    process = folder.start(UNDER_ANOTHER_SERVER)
    assert process.stdout.readline() == "ready\n"
    process.kill()
    process.communicate()


def test_a_server_of_another_kind_keeps_a_restore_out_too(folder: Any, archive: Path) -> None:
    process = folder.start(UNDER_ANOTHER_SERVER)
    assert process.stdout.readline() == "ready\n"
    assert refused(folder, archive)
    process.kill()
    process.communicate()
    assert not refused(folder, archive)


@pytest.mark.parametrize("command", ["open", "backup", "verify", "add-person"])
def test_nobody_comes_into_a_restore(folder: Any, tmp_path: Path, command: str) -> None:
    more = {
        "backup": [str(tmp_path / "b.tar.gz")],
        "add-person": ["cleo", "--first-name", "C", "--last-name", "T", "--role", "manager"],
    }
    with locked(folder.data, IN_USE, exclusive=True):
        done = folder.tickover(command, *more.get(command, []))
    assert done.returncode == 1 and done.stderr.count("\n") == 1
    assert "A backup is being restored" in done.stderr and "then try again" in done.stderr


def test_one_lock_leaves_the_other_alone(tmp_path: Path) -> None:
    with in_use(tmp_path), locked(tmp_path, SET_UP, exclusive=True), in_use(tmp_path):
        with pytest.raises(FolderLockedError), locked(tmp_path, SET_UP, exclusive=True):
            pass
        with pytest.raises(FolderLockedError), locked(tmp_path, IN_USE, exclusive=True, wait_s=0.05):
            pass
    with locked(tmp_path, IN_USE, exclusive=True), locked(tmp_path, SET_UP, exclusive=True):
        pass


def test_a_folder_that_cannot_be_written_is_still_read(tmp_path: Path) -> None:
    blocked = tmp_path / "a-file"
    blocked.write_text("")
    with pytest.raises(FolderNotWritableError), locked(blocked / "data", IN_USE, exclusive=True):
        pass
    with in_use(blocked / "data"):
        pass


def test_a_lock_holds_its_own_folder_only(
    folder: Any, archive: Path, new_folder: Callable[[str], Any]
) -> None:
    with in_use(new_folder("elsewhere").data):
        assert not refused(folder, archive)
