"""How does the mixture change with height and temperature, the needles left alone?"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from tickover.workshop.drawings.axes import Axes
from tickover.workshop.drawings.drawing import Drawing, Point

_LEFT, _RIGHT, _TOP, _FOOT = 58.0, 352.0, 34.0, 250.0
_LEVELS = tuple(range(-40, 61, 5))


@dataclass(frozen=True)
class MixtureMap:
    """`percent[height, temperature]`: how much richer than at the setting, NaN where not known.

    `then` and `now` are air temperature [deg C] and pressure altitude [m].
    """

    temperature_c: npt.NDArray[np.float64]
    height_m: npt.NDArray[np.float64]
    percent: npt.NDArray[np.float64]
    then: Point
    now: Point


def mixture_map(shown: MixtureMap) -> str:
    """Lines of equal mixture over air temperature and pressure altitude, 360 px wide.

    The line on which nothing has changed is drawn heavy; right of it and above it the engine runs richer. A ring
    marks the setting, a dot today.
    """
    drawing = Drawing(360, _FOOT + 46, "Mixture with the needles left alone", _in_words(shown))
    drawing.text((8, 18), "Richer (+) or leaner (−) than when it was set, %")
    drawing.path([(_LEFT, _TOP), (_LEFT, _FOOT), (_RIGHT, _FOOT)], "hair")
    _scales(drawing, shown)
    for level in _LEVELS:
        _level(drawing, shown, level)
    drawing.ellipse(_axes(shown).at(*shown.then), 6, 6, "ink")
    drawing.ellipse(_axes(shown).at(*shown.now), 5, 5, "signal-solid")
    _beside(drawing, _axes(shown).at(*shown.then), "set", "text")
    _beside(drawing, _axes(shown).at(*shown.now), "now", "signal-text")
    return drawing.svg()


def _axes(shown: MixtureMap) -> Axes:
    warm, high = shown.temperature_c, shown.height_m
    ends = float(warm[0]), float(warm[-1]), float(high[0]), float(high[-1])
    return Axes(_LEFT, _TOP, _RIGHT, _FOOT, *ends, inside=True)


def _level(drawing: Drawing, shown: MixtureMap, level: int) -> None:
    """One line of equal mixture: at each temperature the height that has it, where one does."""
    points = [
        _axes(shown).at(float(celsius), float(np.interp(level, column[seen], shown.height_m[seen])))
        for celsius, column in zip(shown.temperature_c, shown.percent.T, strict=True)
        if (seen := np.isfinite(column)).any() and column[seen][0] <= level <= column[seen][-1]
    ]
    if len(points) < 2:
        return
    drawing.path(points, "track" if level == 0 else "hair")
    if level % 10 == 0:
        x, y = points[len(points) // 2]
        drawing.text((x + 2, y - 4), f"{level:+d}".replace("-", "−").replace("+0", "0"), size=12)


def _scales(drawing: Drawing, shown: MixtureMap) -> None:
    for metres in range(0, int(shown.height_m[-1]) + 1, 1000):
        x, y = _LEFT, _axes(shown).y(metres)
        drawing.line((x - 4, y), (x, y), "hair")
        drawing.text((x - 7, y + 4), f"{metres} m", size=12, anchor="end")
    for celsius in range(-10, int(shown.temperature_c[-1]) + 1, 10):
        x, y = _axes(shown).x(celsius), _FOOT
        drawing.line((x, y), (x, y + 4), "hair")
        drawing.text((x, y + 18), f"{celsius}".replace("-", "−"), size=12, anchor="middle")
    drawing.text(
        (_RIGHT, _FOOT + 36), "air temperature, °C; upwards pressure altitude", size=12, anchor="end"
    )


def _beside(drawing: Drawing, at: Point, word: str, style: str) -> None:
    left = at[0] > _RIGHT - 40
    drawing.text(
        (at[0] + (-10 if left else 10), at[1] - 7),
        word,
        size=12,
        anchor="end" if left else "start",
        style=style,
    )


def _in_words(shown: MixtureMap) -> str:
    (a, b), (c, d) = shown.then, shown.now
    return f"Set at {a:.0f} °C and {b:.0f} m, now {c:.0f} °C and {d:.0f} m; warmer and higher is richer."
