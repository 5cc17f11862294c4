"""Engine time from 1,000 track logs: one process, all cores, and a dask cluster of as many workers, in one run."""

from __future__ import annotations

import os
import tempfile
import time
from collections.abc import Callable, Iterable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
from distributed import LocalCluster

from tickover.commands.many_logs import LogHours, hours_of_file, over_cluster, over_cores
from tickover.demo.tracklogs import make_igc

LOGS = 1000
DIFFERENT = 40


def main() -> None:
    cores = os.cpu_count() or 1
    with tempfile.TemporaryDirectory() as folder:
        paths = _logs(Path(folder))
        alone_s, expected = _timed(lambda: map(hours_of_file, paths))
        print(f"{LOGS} track logs, {sum(p.stat().st_size for p in paths) / 1e6:.0f} MB")
        print(f"  one process            {alone_s:6.1f} s")
        cores_s, told = _timed(lambda: over_cores(paths, cores))
        assert told == expected
        print(f"  {cores} processes            {cores_s:6.1f} s   efficiency {alone_s / cores_s / cores:.0%}")
        with LocalCluster(
            n_workers=cores, threads_per_worker=1, host="127.0.0.1", dashboard_address=None
        ) as cluster:
            cluster_s, told = _timed(lambda: over_cluster(paths, cluster.scheduler_address))
        assert told == expected
        print(
            f"  dask, {cores} workers        {cluster_s:6.1f} s   efficiency {alone_s / cluster_s / cores:.0%}"
        )


def _logs(folder: Path) -> list[Path]:
    """1,000 files of 40 different flights: about an hour each, a fix a second."""
    rng = np.random.default_rng(1)
    start = datetime(2026, 5, 1, 9, tzinfo=UTC)
    flights = [
        make_igc(rng, start + timedelta(days=n), [(2.0, 25.0), (35.0, 55.0)], interval_s=1)
        for n in range(DIFFERENT)
    ]
    paths = [folder / f"{n:04d}.igc" for n in range(LOGS)]
    for n, path in enumerate(paths):
        path.write_bytes(flights[n % DIFFERENT])
    return paths


def _timed(work: Callable[[], Iterable[LogHours]]) -> tuple[float, list[LogHours]]:
    begin = time.perf_counter()
    results = sorted(work(), key=lambda r: r.name)
    return time.perf_counter() - begin, results


if __name__ == "__main__":
    main()
