"""Two programs started at once on an empty or an older workshop: one sets it up, the other waits and says so."""

from __future__ import annotations

import socket
import subprocess
import sys
from typing import Any

import pytest

from tickover.workshop.kernel.folder_lock import SET_UP, locked
from tickover.workshop.kernel.setting_up import STILL_BUSY, WAITING

SET_UP_NOW = """
from tickover.commands.workshop import _lay_out
on_the_word()
_lay_out(empty=True)
print("set up")
"""
OLDER = """
import json
from django.core.management import call_command
call_command("migrate", "knowledge", "zero", verbosity=0)
print(json.dumps("older"))
"""
COUNTS = """
import json
from tickover.workshop.kernel.models import Entry
from tickover.workshop.audit.verify import verify
print(json.dumps({"faults": verify().faults, "set up": Entry.objects.filter(kind="workshop set up").count()}))
"""
HOLD = """
from django.conf import settings
from tickover.workshop.kernel import setting_up
with setting_up.alone(settings.DATA, print):
    on_the_word()
"""
GIVE_UP = """
from django.conf import settings
from tickover.workshop.kernel import setting_up
from tickover.workshop.kernel.folder_lock import FolderLockedError
on_the_word()
try:
    with setting_up.alone(settings.DATA, print, wait_s=0.5):
        print("set up")
except FolderLockedError as error:
    print(error)
"""


def test_two_who_set_up_an_empty_workshop(empty_book: Any) -> None:
    said = empty_book.at_once(SET_UP_NOW, ("one",), ("other",), ("third",))
    assert [text.splitlines()[-1] for text in said] == ["set up"] * 3, said
    assert sum(WAITING in text for text in said) >= 2, said  # the first may find another looking
    assert empty_book.ask(COUNTS) == {"faults": [], "set up": 1}


def test_two_who_bring_an_older_workshop_up_to_date(book: Any) -> None:
    assert book.ask(OLDER) == "older"
    said = book.at_once(SET_UP_NOW, ("one",), ("other",))
    assert [text.splitlines()[-1] for text in said] == ["set up"] * 2, said
    assert book.ask(COUNTS) == {"faults": [], "set up": 1}


def test_one_who_waited_too_long_says_what_to_do(book: Any) -> None:
    holding = book.start(HOLD)
    assert holding.stdout.readline() == "ready\n"
    waiting = book.start(GIVE_UP)
    assert waiting.stdout.readline() == "ready\n"
    out, err = waiting.communicate("go\n", timeout=60)
    holding.communicate("go\n", timeout=60)
    assert out.splitlines() == [WAITING, STILL_BUSY], out + err


def test_two_servers_started_at_once_on_an_empty_folder_share_one_key(empty_book: Any) -> None:
    keys = empty_book.at_once(
        "on_the_word()\nfrom django.conf import settings\nprint(settings.SECRET_KEY)", *[("",)] * 4
    )
    assert len(set(keys)) == 1 and len(keys[0].strip()) > 40, keys


def test_the_program_waits_says_so_and_goes_on(empty_book: Any) -> None:
    if empty_book.database:
        pytest.skip("the folder's lock is for SQLite; the server's is tried above")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    with locked(empty_book.data, SET_UP, exclusive=True):
        running = subprocess.Popen(
            [sys.executable, "-m", "tickover", "open", "--empty", "--port", str(port)],
            env=empty_book.environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        )
        assert running.stdout is not None
        assert running.stdout.readline().strip() == WAITING
    try:
        said = [running.stdout.readline() for _ in range(2)]
        assert "tickover is open" in "".join(said), said
    finally:
        running.terminate()
        running.communicate(timeout=30)
