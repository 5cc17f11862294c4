"""On a fresh checkout one process of a run compiles the program and the tests; the others wait, and read what it wrote.

Compiling takes half of what collecting takes, and every process would do all of it.
"""

from __future__ import annotations

import fcntl
import os
import sys
from functools import cache
from pathlib import Path


@cache
def wait_for_the_first() -> int | None:
    """Hold the lock, as the first process of the run, or after it; None where nobody has to wait."""
    alone = "PYTEST_XDIST_WORKER" not in os.environ
    if alone or sys.dont_write_bytecode or _compiled():
        return None
    lock = os.open(__file__, os.O_RDONLY)
    try:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        fcntl.flock(lock, fcntl.LOCK_SH)
    return lock


def everything_is_compiled() -> None:
    """Let the others begin."""
    lock = wait_for_the_first()
    if lock is not None:
        os.close(lock)


def _compiled() -> bool:
    """Whether tests were collected here before: pytest keeps what it compiled beside them."""
    return any((Path(__file__).parent / "workshop" / "web" / "__pycache__").glob("*-pytest-*.pyc"))
