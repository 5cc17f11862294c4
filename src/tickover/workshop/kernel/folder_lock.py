"""Locks on the data folder: shared by everyone who works in it, exclusive to one who replaces or lays it out.

A lock is an operating system's lock on a small file in the folder, so it ends with the process that holds it,
also when that is killed, on Linux, macOS and Windows. It holds on a disk of the machine, not on a network drive.
"""

from __future__ import annotations

import atexit
import sqlite3
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path

from filelock import ReadWriteLock, Timeout

IN_USE = "in-use.lock"
"""Shared by servers and commands; a restore holds it alone."""

SET_UP = "set-up.lock"
"""Held alone by the process that lays out or migrates the database."""

_for_life = ExitStack()
atexit.register(_for_life.close)


class FolderLockedError(Exception):
    """Another process holds the lock; the text is a sentence for the person who tried."""


class FolderNotWritableError(Exception):
    """No lock can be held: the folder cannot be written."""


@contextmanager
def locked(folder: Path, name: str, *, exclusive: bool, wait_s: float = 0.0) -> Iterator[None]:
    """Hold a lock of the folder. Raises FolderLockedError after `wait_s` [s], or FolderNotWritableError."""
    with ExitStack() as held:
        try:
            folder.mkdir(parents=True, exist_ok=True)
            lock = ReadWriteLock(folder / name, is_singleton=False)
            held.callback(lock.close)
            held.enter_context(lock.write_lock(wait_s) if exclusive else lock.read_lock(wait_s))
        except Timeout as error:
            raise FolderLockedError(f"Another tickover is at work in {folder}.") from error
        except (OSError, sqlite3.Error) as error:
            raise FolderNotWritableError(f"{folder} cannot be written.") from error
        yield


@contextmanager
def in_use(folder: Path) -> Iterator[None]:
    """Work in the folder, beside others. Raises FolderLockedError while a backup is restored into it."""
    with ExitStack() as held:
        # Nothing can be restored into a folder that cannot be written.
        with suppress(FolderNotWritableError):
            try:
                held.enter_context(locked(folder, IN_USE, exclusive=False))
            except FolderLockedError as error:
                raise FolderLockedError(
                    f"A backup is being restored into {folder}. Wait until it is done, then try again."
                ) from error
        yield


def in_use_until_exit(folder: Path) -> None:
    """As `in_use`, until this process ends. Raises FolderLockedError."""
    _for_life.enter_context(in_use(folder))
