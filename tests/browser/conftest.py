"""A demo workshop opened as a newcomer opens it, and a browser that is signed in."""

from __future__ import annotations

import fcntl
import os
import re
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

CHROMIUM = shutil.which("chromium")
SHOTS = Path(__file__).parent / "shots"


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    folder = f"{Path(__file__).parent}{os.sep}"
    here = [item for item in items if str(item.path).startswith(folder)]
    for item in here:
        item.add_marker(pytest.mark.browser)
        if CHROMIUM is None and os.environ.get("CI") != "true":
            item.add_marker(pytest.mark.skip(reason="Debian's chromium is not installed"))


@dataclass(frozen=True)
class Opened:
    """An open workshop: the link that signs in once, its address, its data folder."""

    link: str
    data: Path

    @property
    def base(self) -> str:
        return self.link.split("/sign-in/")[0]

    @property
    def port(self) -> str:
        return self.base.rsplit(":", 1)[1]

    def cli(self, *arguments: str) -> subprocess.CompletedProcess[str]:
        command = [sys.executable, "-m", "tickover", *arguments]
        return subprocess.run(
            command, env=_environment(self.data), capture_output=True, text=True, timeout=120
        )

    def fresh_link(self, username: str) -> str:
        return self.cli("sign-in", username, "--port", self.port).stdout.strip()


@pytest.fixture(scope="session")
def opened(tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> Iterator[Opened]:
    """The demo, laid out once for the whole run and copied for each of its processes."""
    base = tmp_path_factory.getbasetemp()
    kept = (base if worker_id == "master" else base.parent) / "demo"
    with (kept.parent / "demo.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not kept.exists():
            fresh = kept.with_name("demo-new")
            shutil.rmtree(fresh, ignore_errors=True)
            fresh.mkdir()
            with _open(fresh):
                pass
            fresh.rename(kept)
    data = tmp_path_factory.mktemp("workshop") / "data"
    shutil.copytree(kept, data)
    with _open(data) as workshop:
        yield workshop


@contextmanager
def _open(data: Path) -> Iterator[Opened]:
    """The workshop of a folder, served."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = str(free.getsockname()[1])
    command = [sys.executable, "-m", "tickover", "open", "--port", port]
    said = data / "said.log"
    with said.open("w") as log:
        process = subprocess.Popen(command, env=_environment(data), stdout=log, stderr=subprocess.STDOUT)
    try:
        yield Opened(_link(process, said), data)
    finally:
        process.terminate()
        process.wait(10)


def _link(process: subprocess.Popen[bytes], said: Path) -> str:
    """Wait until the workshop is laid out and its link is printed."""
    for _ in range(2400):
        if found := re.search(r"http://\S+/sign-in/\S+/", said.read_text()):
            return found.group()
        if process.poll() is not None:
            break
        time.sleep(0.1)
    raise AssertionError(f"tickover open printed no link:\n{said.read_text()}")


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """Closed after each file: while it is open, a loop runs in this process, and Django takes no test of a database."""
    from playwright.sync_api import sync_playwright

    SHOTS.mkdir(exist_ok=True)
    with sync_playwright() as playwright:
        yield playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu"])


@pytest.fixture(scope="module")
def signed_in_state(browser: Any, opened: Opened) -> dict[str, Any]:
    """The cookies of a technician who followed a link."""
    context = browser.new_context()
    context.new_page().goto(opened.fresh_link("mara"))
    return dict(context.storage_state())


def _environment(data: Path) -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    return kept | {"TICKOVER_DATA": str(data), "PYTHONUNBUFFERED": "1"}
