"""Due days of 30 tasks on each of many engines: here in one call, and by a straight loop over SciPy.

The loop does what one would write for a single task: scipy.stats for the chance, scipy.optimize.brentq for the
day. Times are those of the processor, so that other work on the machine does not count.
"""

from __future__ import annotations

import time
import tracemalloc
from importlib.metadata import version

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq
from scipy.stats import f, gamma

from tickover.science.planning.forecast import DECILES, Rates, due_days
from tickover.science.planning.season import Season

TASKS = 30
FLEETS = (1_000, 10_000, 100_000)
LOOPED = 12
TODAY = 739_000
SEASON = Season((-0.7, -0.3, -0.1, 0.05))
SD_H = 0.3
FAR_DAYS = 1e5
Array = NDArray[np.float64]


def fleet(engines: int, *, known: bool) -> tuple[Rates, Array, Array]:
    """Rates, hours left and calendar days left of an invented fleet."""
    rng = np.random.default_rng(engines)
    certainty = np.full(engines, np.inf) if known else rng.uniform(4.0, 80.0, engines)
    rates = Rates(rng.uniform(0.05, 0.4, engines), rng.uniform(0.5, 3.0, engines), certainty)
    return rates, rng.uniform(1.0, 100.0, (engines, TASKS)), rng.uniform(1.0, 730.0, (engines, TASKS))


def looped(rates: Rates, left: Array, calendar: Array, engines: int) -> Array:
    """The same days, task by task, float[3, engines, tasks]. [days]"""
    days = np.empty((len(DECILES), engines, TASKS))
    for n in range(engines):
        for k in range(TASKS):
            for row, q in enumerate(DECILES):
                by_hours = brentq(lambda d: chance(rates, n, left[n, k], d) - q, 1e-9, FAR_DAYS, xtol=1e-4)  # noqa: B023
                days[row, n, k] = min(by_hours, calendar[n, k])
    return days


def chance(rates: Rates, n: int, left_h: float, days: float) -> float:
    """Chance that the hours left of one task are used within so many days."""
    shape = rates.shape_per_day[n] * float(SEASON.elapsed(TODAY, days))
    scale, known = rates.scale_h[n], rates.known[n]
    if np.isinf(known):
        return float(gamma.sf(left_h, shape, scale=scale))
    return float(f.sf(left_h * known / (shape * scale * (known - 1.0)), 2 * shape, 2 * known))


def compare(*, known: bool) -> None:
    """Print the ratio of the loop's time to ours, and how far apart the days are."""
    rates, left, calendar = fleet(10_000, known=known)
    begin = time.process_time()
    ours = due_days(rates, left, calendar, 0.0, TODAY, SEASON)
    between = time.process_time()
    theirs = looped(rates, left, calendar, LOOPED)
    ours_s, theirs_s = between - begin, time.process_time() - between
    apart = float(np.abs(ours.days[:, :LOOPED] - theirs).max())
    ours_us, theirs_us = 1e6 * ours_s / 10_000, 1e6 * theirs_s / LOOPED
    name = "scipy.stats.gamma, rate known" if known else "scipy.stats.f, rate uncertain"
    print(f"{name:32}{theirs_us:10.0f} µs/engine, here {ours_us:6.0f}: ratio {theirs_us / ours_us:.0f}")
    print(f"{'':32}days apart at most {apart:.0e}")
    if apart > 0.01:
        raise SystemExit("the two do not agree")


def grow() -> None:
    """Print time and memory for fleets of growing size, the error of engine time included."""
    for engines in FLEETS:
        rates, left, calendar = fleet(engines, known=False)
        tracemalloc.start()
        begin = time.process_time()
        found = due_days(rates, left, calendar, SD_H, TODAY, SEASON)
        seconds = time.process_time() - begin
        peak = tracemalloc.get_traced_memory()[1] / 1e6
        tracemalloc.stop()
        kept = (found.days.nbytes + found.chance_by_hours.nbytes) / 1e6
        print(
            f"{engines:8} engines{seconds:9.2f} s{1e6 * seconds / engines:8.0f} µs/engine, "
            f"peak {peak:.0f} MB, of which the result {kept:.0f} MB"
        )


def main() -> None:
    print(f"{TASKS} tasks an engine, 10, 50 and 90 %; SciPy {version('scipy')}")
    compare(known=True)
    compare(known=False)
    grow()


if __name__ == "__main__":
    main()
