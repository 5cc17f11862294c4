"""Unbalance and vibration as arrows round the rotor: how long, and which way."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from tickover.workshop.drawings.drawing import Drawing, Point

_CENTRE, _REACH = (180.0, 170.0), 112.0


@dataclass(frozen=True)
class Arrow:
    """One arrow; `deg` counts clockwise from the mark at the top. `put`: where the mass goes."""

    length: float
    deg: float
    name: str
    put: bool = False


def vectors(title: str, unit: str, arrows: Sequence[Arrow]) -> str:
    """Arrows from the middle of a circle, the longest as long as its radius; 360 px wide."""
    longest = max((arrow.length for arrow in arrows), default=0.0) or 1.0
    words = "; ".join(f"{a.name}: {a.length:.3g} {unit} at {a.deg % 360:.0f}°" for a in arrows)
    drawing = Drawing(360, 330, title, words)
    drawing.ellipse(_CENTRE, _REACH, _REACH, "hair")
    for deg in (0, 90, 180, 270):
        x, y = _at(deg, _REACH + 14)
        drawing.text((x, y + 4), f"{deg}°", size=12, anchor="middle")
    for arrow in arrows:
        _draw(drawing, arrow, arrow.length / longest * _REACH)
    drawing.text((8, 322), f"Circle: {longest:.3g} {unit}. Angles clockwise from the mark.", size=12)
    return drawing.svg()


def _at(deg: float, reach: float) -> Point:
    turn = math.radians(deg)
    return (_CENTRE[0] + reach * math.sin(turn), _CENTRE[1] - reach * math.cos(turn))


def _draw(drawing: Drawing, arrow: Arrow, reach: float) -> None:
    tip = _at(arrow.deg, reach)
    drawing.line(_CENTRE, tip, "signal" if arrow.put else "ink")
    if arrow.put:
        drawing.ellipse(tip, 6, 6, "signal-solid")
    elif reach > 8:
        for side in (-25, 25):
            drawing.line(tip, _back(tip, arrow.deg + 180 + side), "ink")
    left = tip[0] < _CENTRE[0]
    at = (tip[0] + (-10 if left else 10), tip[1] + (16 if tip[1] > _CENTRE[1] else -6))
    style = "signal-text" if arrow.put else "text"
    drawing.text(at, arrow.name, size=12, anchor="end" if left else "start", style=style)


def _back(tip: Point, deg: float) -> Point:
    turn = math.radians(deg)
    return (tip[0] + 8 * math.sin(turn), tip[1] - 8 * math.cos(turn))
