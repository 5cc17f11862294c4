"""Many track logs at once: the same numbers over cores and over a cluster, with progress and cancel."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from tickover.commands.many_logs import LogHours, all_of, hours_of_file, over_cluster, over_cores
from tickover.demo.tracklogs import make_igc

LOGS = 12


@pytest.fixture(scope="module")
def logs(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    folder, rng = tmp_path_factory.mktemp("logs"), np.random.default_rng(4)
    paths = []
    for number in range(LOGS):
        start = datetime(2026, 5, 1, 9, tzinfo=UTC) + timedelta(days=number)
        path = folder / f"{number:02d}.igc"
        path.write_bytes(make_igc(rng, start, [(2.0, 10.0 + number)]))
        paths.append(path)
    return paths


@pytest.fixture(scope="module")
def cluster() -> Iterator[str]:
    """Two worker processes on loopback."""
    distributed = pytest.importorskip("distributed")
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, host="127.0.0.1", dashboard_address=None
    ) as running:
        yield running.scheduler_address


def _by_name(results: Iterator[LogHours]) -> list[LogHours]:
    return sorted(results, key=lambda r: r.name)


def test_cores_and_cluster_say_what_one_by_one_says(logs: list[Path], cluster: str) -> None:
    one_by_one = [hours_of_file(path) for path in logs]
    assert all(r.duration_h > 0.1 for r in one_by_one)
    assert _by_name(over_cores(logs, 2)) == one_by_one
    assert _by_name(over_cluster(logs, cluster)) == one_by_one


def test_a_bad_file_does_not_cost_the_others(logs: list[Path], tmp_path: Path) -> None:
    bad = tmp_path / "bad.igc"
    bad.write_bytes(b"nothing of the kind")
    results = _by_name(over_cores([*logs[:2], bad, tmp_path / "absent.igc"], 2))
    assert sorted(bool(r.refused) for r in results) == [False, False, True, True]


def test_leaving_early_cancels_the_rest(logs: list[Path]) -> None:
    with all_of(logs * 80, 1, None) as results:
        first = next(results)
    assert first.grade == "track log with engine noise"
    with pytest.raises(StopIteration):
        next(results)
