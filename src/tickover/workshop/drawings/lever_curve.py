"""What does the height of the metering lever do to the mixture, at three throttle openings?"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from tickover.workshop.drawings.axes import Axes
from tickover.workshop.drawings.drawing import Drawing

_LEFT, _RIGHT, _TOP, _FOOT = 52.0, 272.0, 34.0, 234.0
_MOST = 45.0
_STYLES = ("dash", "ink", "track")
_LINE = 15.0


@dataclass(frozen=True)
class LeverCurve:
    """`percent[point, height]`: how much richer than with the lever at nominal; `band`: its limits. [mm]"""

    height_mm: npt.NDArray[np.float64]
    percent: npt.NDArray[np.float64]
    names: tuple[str, ...]
    band: tuple[float, float]
    here_mm: float
    illustrative: bool


def lever_curve(shown: LeverCurve) -> str:
    """Mixture over lever height, the limits as a band, the lever as it stands as an upright line; 360 px wide."""
    axes = _axes(shown)
    drawing = Drawing(360, _FOOT + 62, "Mixture over lever height", _in_words(shown))
    drawing.text((8, 18), "Richer (+) or leaner (−) than at nominal, %")
    low, high = (axes.x(mm) for mm in shown.band)
    drawing.path([(low, _FOOT), (low, _TOP), (high, _TOP), (high, _FOOT)], "soft", closed=True)
    drawing.path([(_LEFT, _TOP), (_LEFT, _FOOT), (_RIGHT, _FOOT)], "hair")
    drawing.line((_LEFT, axes.y(0)), (_RIGHT, axes.y(0)), "hair")
    _scales(drawing, shown)
    _curves(drawing, shown)
    here = axes.x(shown.here_mm)
    drawing.line((here, _TOP), (here, _FOOT), "signal")
    drawing.text(
        (here + 5, _TOP + 12), f"{shown.here_mm:+.2f} mm".replace("-", "−"), size=12, style="signal-text"
    )
    drawing.text((_LEFT, _FOOT + 36), "lever from nominal, mm; grey: the limits", size=12)
    if shown.illustrative:
        drawing.text(
            (_LEFT, _FOOT + 54), "illustrative: of no particular carburettor", size=12, style="signal-text"
        )
    return drawing.svg()


def _axes(shown: LeverCurve) -> Axes:
    ends = float(shown.height_mm[0]), float(shown.height_mm[-1])
    return Axes(_LEFT, _TOP, _RIGHT, _FOOT, *ends, -_MOST, _MOST, inside=True)


def _curves(drawing: Drawing, shown: LeverCurve) -> None:
    """The curves with their names at the right, moved apart where they would lie on each other."""
    ends = []
    for name, style, row in zip(shown.names, _STYLES, shown.percent, strict=True):
        points = [_axes(shown).at(float(mm), float(y)) for mm, y in zip(shown.height_mm, row, strict=True)]
        drawing.path(points, style)
        ends.append((points[-1][1], name))
    below = -_LINE
    for y, name in sorted(ends):
        below = max(y, below + _LINE)
        drawing.text((_RIGHT + 6, below + 4), name, size=12)


def _scales(drawing: Drawing, shown: LeverCurve) -> None:
    axes = _axes(shown)
    for percent in (-40, -20, 0, 20, 40):
        x, y = _LEFT, axes.y(percent)
        drawing.line((x - 4, y), (x, y), "hair")
        drawing.text(
            (x - 7, y + 4), f"{percent:+d}".replace("-", "−").replace("+0", "0"), size=12, anchor="end"
        )
    for mm in (-1.0, -0.5, 0.0, 0.5, 1.0):
        x = axes.x(mm)
        drawing.line((x, _FOOT), (x, _FOOT + 4), "hair")
        drawing.text((x, _FOOT + 18), f"{mm:g}".replace("-", "−"), size=12, anchor="middle")


def _in_words(shown: LeverCurve) -> str:
    effects = ", ".join(
        f"{np.interp(shown.here_mm, shown.height_mm, row):+.0f} % at {name}"
        for name, row in zip(shown.names, shown.percent, strict=True)
    )
    low, high = shown.band
    return f"Lever at {shown.here_mm:+.2f} mm from nominal: {effects}. Limits {low:+.2f} to {high:+.2f} mm."
