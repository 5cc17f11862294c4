"""What the program writes is for the owner of the process alone: the book names people, and signs them in.

On Windows a file is as private as the folder it lies in, and nothing is done here.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

OURS = ("*.key", "*.lock", "*.sqlite3*", "*.igc", "*.json", "files", "static", "before-restore-*")
"""What lies in a data folder. Whatever else somebody keeps there is not touched."""
FOLDER_MODE, FILE_MODE = 0o700, 0o600


def write_for_owner_only() -> None:
    """From now on, and for each file that this process makes."""
    if os.name == "posix":
        os.umask(0o077)


def put_right(data: Path) -> None:
    """Take from others what they could read of a data folder. What is not ours to change is left."""
    if os.name != "posix" or not data.is_dir():
        return
    for path in (data, *_ours(data)):
        with suppress(OSError):
            _put_right(path)


def _ours(data: Path) -> Iterator[Path]:
    for pattern in OURS:
        for path in data.glob(pattern):
            yield path
            if path.is_dir() and not path.is_symlink():
                yield from path.rglob("*")


def _put_right(path: Path) -> None:
    found = path.lstat()
    if stat.S_ISDIR(found.st_mode):
        # A folder that all may write to (/tmp) belongs to everyone.
        if not found.st_mode & stat.S_ISVTX and stat.S_IMODE(found.st_mode) & ~FOLDER_MODE:
            path.chmod(FOLDER_MODE)
    elif stat.S_ISREG(found.st_mode) and stat.S_IMODE(found.st_mode) & ~FILE_MODE:
        path.chmod(FILE_MODE)
