"""A copy of the database for a backup, without what signs people in."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

LEFT_OUT = (
    "django_session",
    "people_signinlink",
    "axes_accessattempt",
    "axes_accesslog",
    "axes_accessfailurelog",
)
"""Sessions, sign-in links, and who tried to sign in from where: needed by nobody after a restore."""


def leave_out_keys(copy: Path) -> None:
    """Empty these tables of a copy, so that the file holds nothing of them any more. Raises sqlite3.Error."""
    with closing(sqlite3.connect(copy, isolation_level=None)) as database:
        there = {name for (name,) in database.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
        for table in LEFT_OUT:
            if table in there:
                database.execute(f"DELETE FROM {table}")
        # Deleted rows stay in the free pages of a file until it is written anew.
        database.execute("VACUUM")
