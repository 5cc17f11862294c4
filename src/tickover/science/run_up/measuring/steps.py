"""Where does a level at full throttle step, and stay there? Medians of the two seconds before and after it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import median_filter

from tickover.science.run_up.measuring.measures import robust_sd
from tickover.science.run_up.measuring.phases import Phase
from tickover.science.run_up.measuring.trace import Floats, Trace

__all__ = ["ThrottleStep", "largest_step"]

Ints = NDArray[np.int64]
WINDOW_S, APART_S = 2.0, 0.4
SETTLES_S, SHUTS_S = 3.0, 1.0
"""The first and last seconds at full, in which the throttle still moves."""


@dataclass(frozen=True)
class ThrottleStep:
    """The level before and after it, and when [s]; the usual level, and how it scatters from sample to sample."""

    before: float
    after: float
    at_s: float
    level: float
    quiet: float


def largest_step(trace: Trace, values: Floats, full: Phase) -> ThrottleStep | None:
    """The largest step of a channel at full throttle; None where it is too short to tell.

    What happened in a hole is not known: a step is looked for in each stretch without one by itself.
    """
    n = round(max(WINDOW_S, 3.0 * trace.step_s) / trace.step_s) | 1
    stretches = [part for part in _unbroken(trace, values, full) if part.size >= 2 * n + 3]
    steps = [step for part in stretches if (step := _in(trace, values, part, n))]
    if not steps:
        return None
    before, after, at_s = max(steps, key=lambda step: abs(step[1] - step[0]))
    seen = values[np.concatenate(stretches)]
    return ThrottleStep(
        before, after, at_s, float(np.median(seen)), robust_sd(np.diff(seen)) / float(np.sqrt(2.0))
    )


def _unbroken(trace: Trace, values: Floats, full: Phase) -> list[Ints]:
    within = trace.within(full.start_s + SETTLES_S, full.end_s - SHUTS_S)
    places = np.flatnonzero(within & np.isfinite(values))
    return np.split(places, np.flatnonzero(np.diff(trace.t_s[places]) > trace.blind_s) + 1)


def _in(trace: Trace, values: Floats, places: Ints, n: int) -> tuple[float, float, float] | None:
    gap = max(1, round(APART_S / trace.step_s))
    middle = median_filter(values[places], size=n, mode="nearest")[n // 2 : places.size - n // 2]
    before, after = middle[: -n - gap], middle[n + gap :]
    if not before.size:
        return None
    at = int(np.abs(after - before).argmax())
    return float(before[at]), float(after[at]), float(trace.t_s[places[at + n]])
