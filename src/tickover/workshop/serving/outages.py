"""What keeps the book from being read or written: who else is at it, the disk, the folder. In words, with what to do.

SQLite's names of errors: https://www.sqlite.org/rescode.html
"""

from __future__ import annotations

import errno
import os
import sqlite3
import sys
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.db import OperationalError
from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string

STATUS = 503


@dataclass(frozen=True)
class Outage:
    """Why nothing can be done at present, and what to do; a browser may try again after `retry_s`. [s]"""

    answer: str
    advice: str
    retry_s: int = 60
    status: int = STATUS

    def __str__(self) -> str:
        return f"{self.answer} {self.advice}"


LOCKED = Outage(
    "Someone else is saving, for longer than usual.",
    "Wait a little, then try again. Nothing was changed.",
    10,
)
BUSY = Outage(
    "Too many are writing in the book at once.", "Wait a little, then try again. Nothing was changed.", 10
)
NO_ANSWER = Outage("The database does not answer.", "Start it, or ask who looks after it, then try again.")


FULL = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EIO}
NOT_WRITABLE = {errno.EROFS, errno.EACCES, errno.EPERM, errno.ENOTDIR}


def outage_of(error: BaseException) -> Outage | None:
    """The outage that this error tells of; None where it is a fault of the program, or of what it was given."""
    one: BaseException | None = error
    while one is not None:
        found = _of_sqlite(one) if isinstance(one, sqlite3.Error) else None
        if found or (isinstance(one, OSError) and (found := _of_system(one))):
            return found
        one = one.__cause__
    is_from_server = isinstance(error, OperationalError) and not isinstance(error.__cause__, sqlite3.Error)
    return NO_ANSWER if is_from_server else None


def _of_system(error: OSError) -> Outage | None:
    where = Path(error.filename).parent if isinstance(error.filename, str) else _data()
    if error.errno in FULL:
        return _full(where)
    return _not_writable(where) if error.errno in NOT_WRITABLE else None


def _full(where: Path) -> Outage:
    return Outage(f"The disk is full or fails: {where} is full.", "Make room on it, then try again.")


def _not_writable(where: Path) -> Outage:
    return Outage(
        f"{where} cannot be written.", "Let the user who runs tickover write there, then try again."
    )


def _data() -> Path:
    try:
        return Path(settings.DATA)
    except OSError:  # the settings themselves need the folder
        return Path(os.environ.get("TICKOVER_DATA", "workshop-data"))


def _of_sqlite(error: sqlite3.Error) -> Outage | None:
    name = getattr(error, "sqlite_errorname", "") or ""
    if name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
        return LOCKED
    if name.startswith(("SQLITE_FULL", "SQLITE_IOERR")):
        return _full(_data())
    if name.startswith(("SQLITE_READONLY", "SQLITE_CANTOPEN", "SQLITE_PERM")):
        return _not_writable(_data())
    return None


def page_of(outage: Outage) -> HttpResponse:
    """The page that says so; it asks nothing of the database."""
    page = render_to_string("bare.html", {"refusal": outage})
    return HttpResponse(page, status=outage.status, headers={"Retry-After": str(outage.retry_s)})


def server_error(_request: HttpRequest) -> HttpResponse:
    """The page for whatever was not caught: an outage in words, else that something broke."""
    error = sys.exc_info()[1]
    if error is not None and (outage := outage_of(error)):
        return page_of(outage)
    return HttpResponse(render_to_string("500.html"), status=500)
