"""The run-up strip: rpm, CHT and EGT over one time axis, phases named, the baseline as a band, what is wrong marked."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from tickover.workshop.drawings.axes import Axes
from tickover.workshop.drawings.drawing import Drawing
from tickover.workshop.drawings.noise_trace import decimated

if TYPE_CHECKING:
    from tickover.science.run_up.measuring.phases import Phase

Floats = npt.NDArray[np.float64]

WIDTH = 960.0
LEFT, RIGHT = 62.0, 948.0
"""Where the time axis begins and ends, of WIDTH: the browser turns a place into a time by these."""
_PHASES_TOP, _TOP, _FOOT = 8.0, 44.0, 300.0
_MARK_ROW, _MARK_ROWS = 15.0, 6
_HOLE_S, _HOLE_STEPS = 0.6, 3.0
"""A step between samples longer than this, and than so many usual steps, is a hole: no line is drawn over it."""
_WARM_HEIGHT, _GAP = 130.0, 26.0
_SIZE = 14.0
_TIMES_S = (0.5, 1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1800, 3600)
_SHORT = {"part throttle": "part"}


@dataclass(frozen=True)
class Mark:
    """What is wrong and where, on the run's own time [s]; `number` stands beside its sentence too."""

    number: int
    start_s: float
    end_s: float
    words: str


@dataclass(frozen=True)
class Band:
    """Speeds this engine had before, over the stretch they hold for. [rpm], [s]"""

    start_s: float
    end_s: float
    lower: float
    upper: float


@dataclass(frozen=True, eq=False)
class Strip:
    """What is drawn: channels over `t_s` [s], temperatures [°C] or None; `name` says which run it is."""

    name: str
    t_s: Floats
    rpm: Floats
    cht_c: Floats | None = None
    egt_c: Floats | None = None
    phases: Sequence[Phase] = ()
    bands: Sequence[Band] = ()
    marks: Sequence[Mark] = ()


def run_strip(strip: Strip, window: tuple[float, float] | None = None, other: Strip | None = None) -> str:
    """One run, or two laid over one another; `other` is drawn with a broken line and must have its time moved.

    Parameters
    ----------
    strip
        The run whose phases, bands and marks are drawn.
    window
        Part of the time to show; the whole run without it. [s]
    other
        A second run on the time of the first.

    Returns
    -------
    str
        One `<svg>` element, 960 px wide.
    """
    runs = [strip] if other is None else [strip, other]
    from_s, to_s = window or (min(float(r.t_s[0]) for r in runs), max(float(r.t_s[-1]) for r in runs))
    to_s = max(to_s, from_s + 0.5)
    warm = _degrees(runs, from_s, to_s)
    foot = _FOOT + (_GAP + _WARM_HEIGHT if warm else 0.0)
    drawing = Drawing(WIDTH, foot + 46.0, f"Run-up strip: {strip.name}", _in_words(strip, other))
    top_rpm = _round_up(max(float(np.nanmax(r.rpm, initial=0.0)) for r in runs) * 1.04, 1000.0)
    speed = Axes(LEFT, _TOP + _MARK_ROW * _rows(strip), RIGHT, _FOOT, from_s, to_s, 0.0, top_rpm)
    _phases(drawing, strip, speed, foot)
    _bands(drawing, strip, speed)
    _frame(drawing, speed, "rpm", 1000.0 if top_rpm <= 6000 else 2000.0)
    if warm:
        low, high = warm
        axis = Axes(LEFT, _FOOT + _GAP, RIGHT, foot, from_s, to_s, low, high)
        _frame(drawing, axis, "°C", 100.0 if high - low > 250 else 50.0)
        _temperatures(drawing, axis, runs)
    for run, style in zip(runs, ("ink", "course"), strict=False):
        _line(drawing, speed, run.t_s, run.rpm, style)
    _marks(drawing, strip, speed)
    _times(drawing, speed, foot)
    return drawing.svg()


def _phases(drawing: Drawing, strip: Strip, axis: Axes, foot: float) -> None:
    for phase in strip.phases:
        start, end = max(phase.start_s, axis.first), min(phase.end_s, axis.last)
        if end <= start:
            continue
        left, right = axis.x(start), axis.x(end)
        if phase.name in ("full", "burst"):
            corners = [(left, _TOP), (right, _TOP), (right, foot), (left, foot)]
            drawing.path(corners, "soft", closed=True)
        drawing.line((left, _PHASES_TOP), (left, foot), "hair")
        name = _SHORT.get(phase.name, phase.name)
        if right - left > 0.6 * _SIZE * len(name) + 6:
            drawing.text((left + 4, _PHASES_TOP + 16), name, size=_SIZE)


def _bands(drawing: Drawing, strip: Strip, axis: Axes) -> None:
    for band in strip.bands:
        start, end = max(band.start_s, axis.first), min(band.end_s, axis.last)
        if end <= start:
            continue
        lower, upper = max(band.lower, axis.low), min(band.upper, axis.high)
        corners = [axis.at(start, lower), axis.at(end, lower), axis.at(end, upper), axis.at(start, upper)]
        drawing.path(corners, "shade", closed=True)
        drawing.path(corners, "dash", closed=True)


def _frame(drawing: Drawing, axis: Axes, unit: str, step: float) -> None:
    drawing.path([(LEFT, axis.top), (LEFT, axis.foot), (RIGHT, axis.foot)], "hair")
    drawing.text((LEFT - 6, axis.top - 2), unit, size=_SIZE, anchor="end")
    value = _round_up(axis.low, step)
    while value <= axis.high:
        y = axis.y(value)
        drawing.line((LEFT - 4, y), (LEFT, y), "hair")
        if y > axis.top + 10:
            drawing.text((LEFT - 7, y + 5), f"{value:.0f}", size=_SIZE, anchor="end")
        value += step


def _temperatures(drawing: Drawing, axis: Axes, runs: Sequence[Strip]) -> None:
    for run, styles in zip(runs, (("track", "dash"), ("course", "dots")), strict=False):
        for name, degrees, style in (("CHT", run.cht_c, styles[0]), ("EGT", run.egt_c, styles[1])):
            if degrees is None:
                continue
            _line(drawing, axis, run.t_s, degrees, style)
            shown = np.flatnonzero(np.isfinite(degrees) & (run.t_s >= axis.first) & (run.t_s <= axis.last))
            if run is runs[0] and shown.size:
                last = int(shown[-1])
                x, y = axis.at(float(run.t_s[last]), float(degrees[last]))
                drawing.text((min(x, RIGHT) - 4, max(y - 8, axis.top + 12)), name, size=_SIZE, anchor="end")


def _line(drawing: Drawing, axis: Axes, t_s: Floats, values: Floats, style: str) -> None:
    """The samples inside the window, and those next to its edges cut off there."""
    for piece in _unbroken(t_s, values):
        inside = piece[(t_s[piece] >= axis.first) & (t_s[piece] <= axis.last)]
        keep = inside[decimated(values[inside])] if inside.size else inside
        points = [axis.at(float(t_s[i]), float(values[i])) for i in keep]
        for edge in (axis.first, axis.last):
            if t_s[piece[0]] < edge < t_s[piece[-1]]:
                value = float(np.interp(edge, t_s[piece], values[piece]))
                points.append(axis.at(edge, value))
        if len(points) > 1:
            drawing.path(sorted(points), style)


def _unbroken(t_s: Floats, values: Floats) -> Iterator[npt.NDArray[np.intp]]:
    """Indices of stretches without missing values and without holes in time."""
    held = np.flatnonzero(np.isfinite(values))
    if held.size < 2:
        return
    longest = max(_HOLE_S, _HOLE_STEPS * float(np.median(np.diff(t_s))))
    cuts = np.flatnonzero(np.diff(t_s[held]) > longest) + 1
    yield from (piece for piece in np.split(held, cuts) if piece.size > 1)


def _rows(strip: Strip) -> int:
    """Rows that the marks take above the line, so that none is drawn over it."""
    return min(max((mark.number for mark in strip.marks), default=0), _MARK_ROWS)


def _marks(drawing: Drawing, strip: Strip, axis: Axes) -> None:
    for mark in strip.marks:
        start, end = max(mark.start_s, axis.first), min(mark.end_s, axis.last)
        if end < start:
            continue
        left, right = axis.x(start), max(axis.x(end), axis.x(start) + 6.0)
        y = _TOP + 8.0 + _MARK_ROW * ((mark.number - 1) % _MARK_ROWS)
        drawing.path([(left, y + 5), (left, y), (right, y), (right, y + 5)], "signal")
        drawing.text((min(right + 5, RIGHT - 9), y + 6), str(mark.number), size=15, style="signal-text")


def _times(drawing: Drawing, axis: Axes, foot: float) -> None:
    step = next((s for s in _TIMES_S if (axis.last - axis.first) / s <= 12), _TIMES_S[-1])
    t = _round_up(axis.first, step)
    while t <= axis.last:
        drawing.line((axis.x(t), foot), (axis.x(t), foot + 5), "hair")
        drawing.text((axis.x(t), foot + 21), _clock(t, step), size=_SIZE, anchor="middle")
        t += step
    drawing.text(
        (LEFT, foot + 40), "minutes and seconds of the run" if step >= 1 else "seconds of the run", size=_SIZE
    )


def _clock(t: float, step: float) -> str:
    sign = "\N{MINUS SIGN}" if t < 0 else ""
    t = abs(t)
    return f"{sign}{t:.1f}" if step < 1 else f"{sign}{int(t) // 60}:{int(t) % 60:02d}"


def _degrees(runs: Sequence[Strip], from_s: float, to_s: float) -> tuple[float, float] | None:
    held = []
    for run in runs:
        inside = (run.t_s >= from_s) & (run.t_s <= to_s)
        held += [d[inside & np.isfinite(d)] for d in (run.cht_c, run.egt_c) if d is not None]
    values = np.concatenate(held) if held else np.empty(0)
    if not values.size:
        return None
    low, high = float(values.min()), float(values.max())
    return 50.0 * np.floor(low / 50.0), max(_round_up(high + 5.0, 50.0), 50.0 * np.floor(low / 50.0) + 50.0)


def _round_up(value: float, step: float) -> float:
    return float(np.ceil(value / step) * step)


def _in_words(strip: Strip, other: Strip | None) -> str:
    phases = ", ".join(f"{p.name} {p.end_s - p.start_s:.0f} s" for p in strip.phases)
    marks = " ".join(f"Mark {mark.number}: {mark.words}" for mark in strip.marks)
    beside = f" Dashed line: {other.name}." if other else ""
    return f"{phases}. {marks}{beside}"
