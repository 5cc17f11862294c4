"""Errors of the database and of the system in words, and what is left to be a fault of the program."""

from __future__ import annotations

import errno
import logging
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from django.db import OperationalError, ProgrammingError

from tickover.workshop.serving.log_lines import OneLine
from tickover.workshop.serving.outages import NO_ANSWER, outage_of


def wrapped(inner: Exception) -> Exception:
    """As Django hands on what a database said."""
    outer = OperationalError(str(inner))
    outer.__cause__ = inner
    return outer


def said_by_sqlite(path: Path, *words: str) -> sqlite3.Error:
    opened = closing(sqlite3.connect(path, isolation_level=None, timeout=0))
    with opened as database, pytest.raises(sqlite3.Error) as caught:
        for word in words:
            database.execute(word)
    return caught.value


def test_errors_of_sqlite_are_told_apart(tmp_path: Path) -> None:
    path = tmp_path / "a.sqlite3"
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("CREATE TABLE t (x)")
        other.execute("BEGIN IMMEDIATE")
        locked = said_by_sqlite(path, "BEGIN IMMEDIATE")
    full = said_by_sqlite(path, "PRAGMA max_page_count = 2", "INSERT INTO t VALUES (zeroblob(99999))")
    reads_only = said_by_sqlite(path, "PRAGMA query_only = ON", "INSERT INTO t VALUES (1)")
    nowhere = said_by_sqlite(path, "ATTACH '/nowhere/at/all' AS other")
    wrong = said_by_sqlite(path, "SELECT nothing FROM t")
    says = [str(outage_of(wrapped(error))) for error in (locked, full, reads_only, nowhere, wrong)]
    assert ["else is saving" in says[0], "is full" in says[1]] == [True, True]
    assert ["cannot be written" in says[2], "cannot be written" in says[3], says[4]] == [True, True, "None"]


@pytest.mark.parametrize(
    ("number", "says"),
    [
        (errno.ENOSPC, "is full"),
        (errno.EDQUOT, "is full"),
        (errno.EROFS, "/a cannot be written"),
        (errno.EPIPE, "None"),
    ],
)
def test_errors_of_the_system_name_the_folder(number: int, says: str) -> None:
    assert says in str(outage_of(OSError(number, "said", "/a/b")))


def test_a_database_server_that_is_gone_is_an_outage_and_a_wrong_question_is_not() -> None:
    assert outage_of(OperationalError("connection refused")) is NO_ANSWER
    assert outage_of(ProgrammingError("no such table")) is None
    assert outage_of(ZeroDivisionError()) is None


@pytest.mark.parametrize(
    ("status", "is_one_line"), [(403, True), (503, True), (400, True), (500, False), (None, False)]
)
def test_what_broke_keeps_its_traceback(status: int | None, is_one_line: bool) -> None:
    error = ValueError("two\nlines")
    record = logging.LogRecord("a", 40, "b", 1, "Page: %s", ("/x/",), (ValueError, error, None))
    if status:
        record.status_code = status
    assert OneLine().filter(record)
    assert (record.exc_info is None) is is_one_line
    assert record.getMessage() == (f"{status} Page: /x/: two lines" if is_one_line else "Page: /x/")
