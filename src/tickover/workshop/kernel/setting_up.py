"""One process at a time lays out or migrates a workshop's database; the others say that they wait."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path

from django.db import connection

from tickover.workshop.kernel import folder_lock
from tickover.workshop.kernel.folder_lock import FolderLockedError, FolderNotWritableError

WAIT_S = 600.0
WAITING = "Another tickover is setting this workshop up. Waiting until it is done …"
STILL_BUSY = "Another tickover has been setting this workshop up for 10 minutes. Stop it, then try again."

_LOCK_KEY = 0x7164


@contextmanager
def alone(folder: Path, say: Callable[[str], None], *, wait_s: float = WAIT_S) -> Iterator[None]:
    """Be the only one who sets up this folder's workshop, or the database on the server it is in.

    Says so where it has to wait. Raises FolderLockedError after `wait_s` [s].
    """
    take = _on_the_server if connection.vendor == "postgresql" else _in_the_folder
    with ExitStack() as held:
        try:
            take(held, folder, 0.0)
        except FolderLockedError:
            say(WAITING)
            try:
                take(held, folder, wait_s)
            except FolderLockedError as error:
                raise FolderLockedError(STILL_BUSY) from error
        yield


def _in_the_folder(held: ExitStack, folder: Path, wait_s: float) -> None:
    # Nothing can be set up in a folder that cannot be written.
    with suppress(FolderNotWritableError):
        held.enter_context(folder_lock.locked(folder, folder_lock.SET_UP, exclusive=True, wait_s=wait_s))


def _on_the_server(held: ExitStack, folder: Path, wait_s: float) -> None:
    """A lock of the server's: two servers of one database need not share a folder."""
    until = time.monotonic() + wait_s
    while not _asked("SELECT pg_try_advisory_lock(%s)"):
        if time.monotonic() >= until:
            raise FolderLockedError(STILL_BUSY)
        time.sleep(0.2)
    held.callback(_asked, "SELECT pg_advisory_unlock(%s)")


def _asked(question: str) -> bool:
    with connection.cursor() as cursor:
        cursor.execute(question, [_LOCK_KEY])
        row = cursor.fetchone()
        return bool(row and row[0])
