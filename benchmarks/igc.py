"""Read a flight log of 100,000 fixes, here and with the reader of the library aerofiles, in one run."""

from __future__ import annotations

import io
import time
from collections.abc import Callable
from datetime import datetime
from importlib.metadata import version

import numpy as np
from aerofiles.igc import Reader

from tickover.demo.tracklogs import make_igc
from tickover.formats.igc import read_igc

FIXES = 100_000
REPEATS = 5


def best_s(action: Callable[[], object], repeats: int) -> float:
    """Shortest of several runs. [s]"""
    times = []
    for _ in range(repeats):
        begin = time.perf_counter()
        action()
        times.append(time.perf_counter() - begin)
    return min(times)


def long_log() -> bytes:
    """A log of `FIXES` fixes, one a second, through a midnight, with a run in every hour."""
    hours = FIXES // 3600
    runs_min = [(60.0 * hour + 5.0, 60.0 * hour + 50.0) for hour in range(hours)]
    runs_min[-1] = (runs_min[-1][0], FIXES / 60.0 - 5.0)
    rng = np.random.default_rng(1)
    return make_igc(rng, datetime(2025, 6, 24, 5, 0), runs_min, interval_s=1)


def main() -> None:
    """Print MB/s of both readers and their ratio."""
    data = long_log()
    text = data.decode("ascii")
    ours_s = best_s(lambda: read_igc(data), REPEATS)
    theirs_s = best_s(lambda: Reader().read(io.StringIO(text)), 2)
    size_mb = len(data) / 1e6
    print(f"{read_igc(data).t_s.size} fixes, {size_mb:.1f} MB")
    for name, seconds in (("tickover", ours_s), (f"aerofiles {version('aerofiles')}", theirs_s)):
        print(f"{name:20}{seconds * 1000:9.1f} ms{size_mb / seconds:9.1f} MB/s")
    print(f"ratio {theirs_s / ours_s:.0f}")


if __name__ == "__main__":
    main()
