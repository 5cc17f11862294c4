"""A locked book, a full disk, a folder that cannot be written: one sentence with what to do, never a traceback."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import pytest

PAGES = (
    "/",
    "/engines/",
    "/engines/1200/",
    "/engines/1200/runs/",
    "/visits/",
    "/visits/2025-0001/",
    "/visits/2025-0001/release/",
    "/journal/",
    "/instruments/",
    "/fault-finding/",
    "/calculations/",
    "/type-sheets/",
    "/hours-from-a-table/",
)
QUICK_S = 8.0
AS_LIMITED = """
import resource, sys
resource.setrlimit(resource.RLIMIT_FSIZE, (48 * 1024, 48 * 1024))
from tickover.cli import main
sys.exit(main(sys.argv[1:]))
"""


@contextmanager
def one_who_writes(data: Path) -> Iterator[None]:
    """Another process that holds the lock of the book, and lets it go at the end."""
    with closing(sqlite3.connect(data / "workshop.sqlite3", isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        yield
        other.execute("ROLLBACK")


def one_line(done: subprocess.CompletedProcess[str], says: str) -> None:
    assert done.returncode == 1, done.stdout + done.stderr
    assert says in done.stderr and done.stderr.count("\n") == 1, done.stderr


def test_while_one_writes_others_read_and_are_asked_to_wait(folder: Any) -> None:
    with folder.open_shop() as shop:
        cookie = shop.sign_in()
        first = {page: shop.get(page, cookie).status for page in PAGES}
        with one_who_writes(folder.data):
            answers: list[Any] = []
            many = [
                threading.Thread(target=lambda: answers.append(shop.post("/sign-out/", cookie)))
                for _ in range(14)
            ]
            for one in many:
                one.start()
            begun = time.monotonic()
            assert {page: shop.get(page, cookie).status for page in PAGES} == first
            assert time.monotonic() - begun < QUICK_S * len(PAGES) / 4
            for one in many:
                one.join()
        assert set(first.values()) == {200}
        assert {answer.status for answer in answers} == {503} and len(answers) == 14
        assert all(int(answer.headers["Retry-After"]) > 0 for answer in answers)
        said = {answer.text.partition('class="answer">')[2].partition("<")[0] for answer in answers}
        assert said == {
            "Someone else is saving, for longer than usual.",
            "Too many are writing in the book at once.",
        }
        assert shop.post("/sign-out/", cookie).status == 302
        assert "Traceback" not in shop.log.read_text()


@pytest.mark.parametrize("command", [("open", "--port", "0"), ("sign-in", "ada", "--port", "1")])
def test_a_command_that_writes_says_that_another_writes(folder: Any, command: tuple[str, ...]) -> None:
    with one_who_writes(folder.data):
        one_line(folder.tickover(*command), "Someone else is saving")


@pytest.mark.parametrize("command", ["verify", "due", "backup"])
def test_a_command_that_reads_goes_on_while_another_writes(folder: Any, tmp_path: Path, command: str) -> None:
    more = [str(tmp_path / "b.tar.gz")] if command == "backup" else []
    with one_who_writes(folder.data):
        done = folder.tickover(command, *more)
    assert done.returncode == 0, done.stderr


def run(folder: Any, *command: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        command, env=folder.environment, capture_output=True, text=True, timeout=90, check=False
    )


@pytest.mark.skipif(os.name != "posix", reason="a disk is made full by a limit that POSIX has")
def test_a_full_disk_is_said_by_commands(folder: Any, tmp_path: Path) -> None:
    archive = tmp_path / "b.tar.gz"
    assert folder.tickover("backup", str(archive)).returncode == 0
    limited = (sys.executable, "-c", AS_LIMITED)
    one_line(run(folder, *limited, "backup", str(tmp_path / "c.tar.gz")), "have room")
    one_line(run(folder, *limited, "restore", str(archive)), "The disk is full or fails")
    folder.data = tmp_path / "new"
    one_line(run(folder, *limited, "open", "--empty", "--port", "0"), "The disk is full or fails")
    assert not (tmp_path / "c.tar.gz").exists()


NO_RIGHTS = ["setpriv", "--bounding-set", "-dac_override,-dac_read_search,-fowner"]


@pytest.mark.skipif(os.name != "posix", reason="rights of folders are a matter of POSIX")
@pytest.mark.parametrize(
    "command",
    [("open", "--port", "0"), ("sign-in", "ada", "--port", "1"), ("verify",), ("restore", "ARCHIVE")],
)
def test_a_folder_that_cannot_be_written_is_named(
    folder: Any, tmp_path: Path, command: tuple[str, ...]
) -> None:
    is_root = os.geteuid() == 0
    if is_root and not shutil.which("setpriv"):
        pytest.skip("root may write everywhere, and setpriv, which takes that from it, is not there")
    assert folder.tickover("backup", str(tmp_path / "b.tar.gz")).returncode == 0
    words = [str(tmp_path / "b.tar.gz") if word == "ARCHIVE" else word for word in command]
    # Not ours to put right: the folder of somebody else, in which nothing may be made.
    script = "import tickover.workshop.serving.owner_only as o; o.put_right = lambda _: None\n"
    script += "import sys; from tickover.cli import main; sys.exit(main(sys.argv[1:]))"
    folder.data.chmod(0o500)
    (folder.data / "workshop.sqlite3").chmod(0o400)
    try:
        done = run(folder, *(NO_RIGHTS if is_root else []), sys.executable, "-c", script, *words)
    finally:
        folder.data.chmod(0o700)
    one_line(done, "cannot be written")


def test_a_folder_that_cannot_be_made_is_named(folder: Any, tmp_path: Path) -> None:
    (tmp_path / "a-file").write_text("")
    folder.data = tmp_path / "a-file" / "workshop"
    one_line(folder.tickover("open"), "a-file cannot be written")


def test_a_page_that_cannot_write_says_so(folder: Any) -> None:
    """The disk fills while the workshop is open."""
    with folder.open_shop() as shop:
        cookie = shop.sign_in()
        import resource

        resource.prlimit(shop.process.pid, resource.RLIMIT_FSIZE, (4096, 4096))
        answer = shop.post("/sign-out/", cookie)
        assert answer.status == 503 and "The disk is full or fails" in answer.text
        assert "Traceback" not in shop.log.read_text()


def test_what_was_refused_is_one_line_of_the_log(folder: Any) -> None:
    with folder.open_shop() as shop:
        assert shop.get("/type-sheets/import/", shop.sign_in()).status == 403
        log = shop.log.read_text()
    assert "Traceback" not in log and "may not change type sheets" in log and "/type-sheets/import/" in log
    assert len([line for line in log.splitlines() if "/type-sheets/import/" in line]) == 1


def test_a_link_to_sign_in_names_the_port_that_is_open(folder: Any) -> None:
    with folder.open_shop() as shop:
        done = folder.tickover("sign-in", "ada")
        assert done.returncode == 0 and done.stdout.startswith(f"{shop.address}/sign-in/")
        path = done.stdout.strip().removeprefix(shop.address)
        assert shop.get(path).status == 302
    # It was killed, so that its note is still there.
    assert (folder.data / "open.json").exists()
    one_line(folder.tickover("sign-in", "ada"), "is not open")


def test_a_server_that_is_stopped_takes_its_note_away(folder: Any) -> None:
    import signal

    with folder.open_shop() as shop:
        assert (folder.data / "open.json").exists()
        shop.process.send_signal(signal.SIGINT)
        shop.process.wait(timeout=20)
        assert not (folder.data / "open.json").exists()
