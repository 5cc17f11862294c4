"""Tests that wait for other processes are spread over the workers; none is lost, and files stay together."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from tests.waiting_first import WAITING, spread


def items() -> list[Any]:
    names = [f"tests/browser/test_a.py::{n}" for n in range(9)]
    names += [f"{WAITING}test_{file}.py::{n}" for file in "abcde" for n in range(4)]
    return [SimpleNamespace(nodeid=name) for name in (*names, *(f"tests/test_z.py::{n}" for n in range(91)))]


@pytest.mark.parametrize("workers", [2, 3, 4, 8])
def test_each_share_but_the_first_begins_with_some_and_none_is_lost(
    workers: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PYTEST_XDIST_WORKER_COUNT", str(workers))
    before, after = items(), items()
    spread(after)
    names = [item.nodeid for item in after]
    assert sorted(names) == sorted(item.nodeid for item in before)
    size = len(names) // workers
    begins = [names[n * size].startswith(WAITING) for n in range(workers)]
    assert not begins[0] and sum(begins) == min(workers - 1, 5)
    files = [name.partition("::")[0] for name in names if name.startswith(WAITING)]
    assert len([f for f, before in zip(files, ["", *files], strict=False) if f != before]) == 5


def test_alone_nothing_is_moved(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PYTEST_XDIST_WORKER_COUNT", "1")
    after = items()
    spread(after)
    assert [item.nodeid for item in after] == [item.nodeid for item in items()]
