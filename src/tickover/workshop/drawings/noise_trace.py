"""When was the engine running? The noise channel of a track log with the runs found in it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from tickover.workshop.drawings.axes import Axes
from tickover.workshop.drawings.drawing import Drawing

if TYPE_CHECKING:
    from tickover.science.engine_time.from_log import RunningPeriod

POINTS = 1200
"""Most points drawn: more than a screen is wide."""

_LEFT, _RIGHT, _TOP, _FOOT = 62.0, 350.0, 10.0, 150.0
_TICKS_S = (300, 600, 900, 1800, 3600, 7200, 14400, 28800)


def decimated(level: npt.NDArray[np.float64], most: int = POINTS) -> npt.NDArray[np.intp]:
    """Indices of the samples to draw: the lowest and the highest of each of most/2 equal slices.

    Parameters
    ----------
    level
        Channel values, shape (n,).
    most
        Most indices returned.

    Returns
    -------
    numpy.ndarray
        Rising indices; all n of them when n is not above `most`.
    """
    if level.size <= most:
        return np.arange(level.size)
    edges = np.linspace(0, level.size, most // 2 + 1).astype(int)
    starts = pairwise(edges)
    picks = [(low + np.argmin(level[low:high]), low + np.argmax(level[low:high])) for low, high in starts]
    return np.unique(np.array(picks))


def noise_trace(
    t_s: npt.NDArray[np.float64],
    level: npt.NDArray[np.float64],
    runs: Sequence[RunningPeriod],
    doubtful: Sequence[RunningPeriod],
    on_threshold: float,
    off_threshold: float,
    start_clock: str,
) -> str:
    """Noise level over the clock, engine runs shaded, doubtful stretches outlined, thresholds ruled.

    Parameters
    ----------
    t_s
        Sample times, shape (n,), rising. [s]
    level
        Noise channel, shape (n,). [-]
    runs
        Stretches counted as engine time, on the same time base. [s]
    doubtful
        Loud stretches that were not counted. [s]
    on_threshold, off_threshold
        Levels at which the engine is taken as started and stopped. [-]
    start_clock
        Clock time of the first sample, "HH:MM" or "HH:MM:SS", in whatever zone the reader wants.

    Returns
    -------
    str
        One `<svg>` element, 360 px wide.
    """
    first, last, most = float(t_s[0]), float(t_s[-1]), float(max(level.max(), on_threshold)) * 1.06
    axes = Axes(_LEFT, _TOP, _RIGHT, _FOOT, first, max(last, first + 1.0), 0.0, most)

    drawing = Drawing(360, _FOOT + 30, "Engine noise", _in_words(runs, doubtful, start_clock))
    for stretches, style in ((runs, "shade"), (doubtful, "dash")):
        for stretch in stretches:
            left, right = axes.x(stretch.start_s), axes.x(stretch.end_s)
            drawing.path([(left, _FOOT), (left, _TOP), (right, _TOP), (right, _FOOT)], style, closed=True)
    keep = decimated(level)
    trace = [axes.at(float(t), float(value)) for t, value in zip(t_s[keep], level[keep], strict=True)]
    drawing.path(trace, "hair")
    drawing.path([(_LEFT, _TOP), (_LEFT, _FOOT), (_RIGHT, _FOOT)], "hair")
    above = -14.0
    for word, value in (("on", on_threshold), ("off", off_threshold)):
        drawing.line(axes.at(first, value), axes.at(last, value), "dash")
        above = max(axes.y(value), above + 14)
        drawing.text((_LEFT - 6, above + 4), f"{word} {value:.0f}", size=12, anchor="end")
    for t, clock in _clock_ticks(first, last, start_clock):
        drawing.line((axes.x(t), _FOOT), (axes.x(t), _FOOT + 5), "hair")
        drawing.text((axes.x(t), _FOOT + 20), clock, size=12, anchor="middle")
    return drawing.svg()


def _clock_ticks(first: float, last: float, start_clock: str) -> Iterator[tuple[float, str]]:
    """Round clock times inside the log, six at most, with the log's own time for each."""
    start = sum(int(part) * unit for part, unit in zip(start_clock.split(":"), (3600, 60, 1), strict=False))
    step = next((step for step in _TICKS_S if (last - first) / step <= 6), _TICKS_S[-1])
    for clock in range(-(-start // step) * step, int(start + last - first) + 1, step):
        yield first + clock - start, f"{clock // 3600 % 24:02d}:{clock // 60 % 60:02d}"


def _in_words(runs: Sequence[RunningPeriod], doubtful: Sequence[RunningPeriod], start_clock: str) -> str:
    minutes = sum(run.end_s - run.start_s for run in runs) / 60
    counted = f"{len(runs)} engine run{'' if len(runs) == 1 else 's'}, {minutes:.0f} min in all"
    return f"From {start_clock}: {counted}; {len(doubtful)} doubtful, shown but not counted."
