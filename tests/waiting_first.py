"""Tests that wait for other processes come first in the share of a worker, not last of the whole run.

Each of them takes seconds in which its worker does nothing. Where all of them are in one share, the run ends with one
worker at work and the others idle.
"""

from __future__ import annotations

import os
from itertools import groupby
from typing import Any

WAITING = "tests/faults/"


def spread(items: list[Any]) -> None:
    """Put the files of tests that wait at the begin of every share but the first."""
    workers = int(os.environ.get("PYTEST_XDIST_WORKER_COUNT", "1"))
    waiting = [item for item in items if item.nodeid.startswith(WAITING)]
    if workers < 2 or not waiting:
        return
    rest = [item for item in items if not item.nodeid.startswith(WAITING)]
    files = [list(of_file) for _, of_file in groupby(waiting, lambda item: item.nodeid.partition("::")[0])]
    shares: list[list[Any]] = [[] for _ in range(workers)]
    for n, of_file in enumerate(sorted(files, key=len, reverse=True)):
        shares[1 + n % (workers - 1)] += of_file
    size, found = len(items) // workers, []
    for n, share in enumerate(shares):
        room = len(items) if n == workers - 1 else size - len(share)
        found += [*share, *rest[: max(0, room)]]
        del rest[: max(0, room)]
    items[:] = found
