"""The pen that all plates are drawn with: strong outlines, few words, figures of the sheet in the signal colour."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from tickover.formats.text.units import printed
from tickover.workshop.drawings.drawing import Drawing, Point

if TYPE_CHECKING:
    from tickover.sheets import LimitRow

WIDTH, HEIGHT = 360.0, 176.0
"""Of the plate itself; the notes go below it. [px]"""
_BARB = 7.0
_LETTER = 6.2
"""Width of a letter of the pages' face at 13 px, on average. [px]"""
Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True)
class Pen:
    """A plate under construction, and the limits whose figures it may show."""

    drawing: Drawing
    limits: tuple[LimitRow, ...] = ()

    def figure(self, x: float, y: float, of: int = 0, anchor: Anchor = "start", before: str = "") -> None:
        """The figure of one limit; where the sheet gives none, nothing is written."""
        if of < len(self.limits):
            words = f"{before}{span_in_words(self.limits[of])}"
            self.drawing.text((x, y), words, anchor=anchor, size=15, style="signal-text")

    def say(self, x: float, y: float, words: str, anchor: Anchor = "start") -> None:
        """Words on one line."""
        self.drawing.text((x, y), words, anchor=anchor)

    def point(self, at: Point, x: float, y: float, words: str, anchor: Anchor = "start") -> None:
        """Words with a line to what they name."""
        left = x - _LETTER * len(words) * {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor]
        right = left + _LETTER * len(words)
        if left <= at[0] <= right:
            end = (at[0], y + 4 if at[1] > y else y - 12)
        else:
            end = (left - 3, y - 4) if at[0] < left else (right + 3, y - 4)
        self.drawing.line(at, end, "hair")
        self.drawing.ellipse(at, 2, 2, "solid")
        self.drawing.text((x, y), words, anchor=anchor)

    def line(self, *points: Point, style: str = "edge") -> None:
        """A line through points."""
        self.drawing.path(points, style)

    def shape(self, *points: Point, fill: str = "soft", edge: str = "edge") -> None:
        """A closed outline, filled."""
        if fill:
            self.drawing.path(points, fill, closed=True)
        self.drawing.path(points, edge, closed=True)

    def box(
        self, x: float, y: float, wide: float, high: float, fill: str = "soft", edge: str = "edge"
    ) -> None:
        """A rectangle by its upper left corner."""
        self.shape((x, y), (x + wide, y), (x + wide, y + high), (x, y + high), fill=fill, edge=edge)

    def oval(self, x: float, y: float, rx: float, ry: float, fill: str = "soft", edge: str = "edge") -> None:
        """An ellipse, filled."""
        if fill:
            self.drawing.ellipse((x, y), rx, ry, fill)
        self.drawing.ellipse((x, y), rx, ry, edge)

    def ring(self, x: float, y: float, radius: float, fill: str = "soft", edge: str = "edge") -> None:
        """A circle, filled."""
        self.oval(x, y, radius, radius, fill, edge)

    def arc(
        self, centre: Point, radius: float, start: float, end: float, style: str = "edge"
    ) -> tuple[Point, ...]:
        """Part of a circle; angles in degrees, clockwise from the top."""
        points = tuple(around(centre, radius, start + (end - start) * n / 24) for n in range(25))
        self.drawing.path(points, style)
        return points

    def turn(self, centre: Point, radius: float, start: float, end: float) -> None:
        """The way something is turned."""
        points = self.arc(centre, radius, start, end, "signal")
        self._head(points[-2], points[-1])

    def arrow(self, start: Point, end: Point) -> None:
        """The way something moves, or is pressed."""
        self.drawing.line(start, end, "signal")
        self._head(start, end)

    def down_to(self, x: float, top: float, bottom: float) -> None:
        """A dimension between two heights: arrows from outside that point at the gap."""
        self.arrow((x, top - 20), (x, top))
        self.arrow((x, bottom + 20), (x, bottom))

    def across_to(self, y: float, left: float, right: float) -> None:
        """A dimension between two sides."""
        self.arrow((left - 20, y), (left, y))
        self.arrow((right + 20, y), (right, y))

    def dial(self, x: float, y: float, tip: Point, radius: float = 17) -> None:
        """A dial gauge whose stem ends at `tip`."""
        away = math.dist((x, y), tip)
        unit = ((tip[0] - x) / away, (tip[1] - y) / away)
        self.drawing.line((x + unit[0] * radius, y + unit[1] * radius), tip, "track")
        self.drawing.ellipse(tip, 3, 3, "solid")
        self.ring(x, y, radius)
        for hour in range(12):
            out, inside = around((x, y), radius - 1, hour * 30), around((x, y), radius - 4, hour * 30)
            self.drawing.line(out, inside, "hair")
        self.drawing.line((x, y), around((x, y), radius - 5, 40), "ink")

    def gauge(self, x: float, y: float, radius: float = 20, needle: float = 40) -> None:
        """A pressure gauge."""
        self.ring(x, y, radius)
        self.arc((x, y), radius - 5, -130, 130, "ink")
        self.drawing.line((x, y), around((x, y), radius - 6, needle), "signal")
        self.drawing.ellipse((x, y), 2.5, 2.5, "solid")

    def right(self, x: float, y: float) -> None:
        """So it is right."""
        self.drawing.path([(x - 8, y), (x - 2, y + 7), (x + 9, y - 8)], "track")

    def wrong(self, x: float, y: float) -> None:
        """So it is wrong."""
        self.drawing.line((x - 7, y - 7), (x + 7, y + 7), "signal")
        self.drawing.line((x - 7, y + 7), (x + 7, y - 7), "signal")

    def hatch(self, x: float, y: float, wide: float, high: float) -> None:
        """A body cut through."""
        for n in range(int((wide + high) / 8)):
            start = 8 * (n + 1)
            from_left = (x + min(start, wide), y + max(0.0, start - wide))
            from_top = (x + max(0.0, start - high), y + min(start, high))
            self.drawing.line(from_left, from_top, "hair")

    def nut(self, x: float, y: float, radius: float = 10) -> None:
        """A nut from above."""
        self.shape(*(around((x, y), radius, 30 + 60 * n) for n in range(6)))
        self.ring(x, y, radius * 0.5, fill="")

    def _head(self, start: Point, end: Point) -> None:
        away = math.dist(start, end) or 1.0
        unit = ((end[0] - start[0]) / away, (end[1] - start[1]) / away)
        foot = (end[0] - _BARB * unit[0], end[1] - _BARB * unit[1])
        sides = [(foot[0] - side * unit[1], foot[1] + side * unit[0]) for side in (-4.0, 4.0)]
        self.drawing.path([end, *sides], "signal-solid", closed=True)


def around(centre: Point, radius: float, deg: float) -> Point:
    """A point on a circle, clockwise from the top."""
    turn = math.radians(deg)
    return (centre[0] + radius * math.sin(turn), centre[1] - radius * math.cos(turn))


def span_in_words(limit: LimitRow) -> str:
    """The limit as the technician says it: from, to, unit. Its minus is a minus and no hyphen."""
    unit = printed(limit.unit)
    if limit.makers_figure:
        return "the maker's figure, not entered yet"
    if limit.lower is None:
        return f"at most {limit.upper:g} {unit}"
    if limit.upper is None:
        return f"at least {limit.lower:g} {unit}"
    return f"{limit.lower:g} to {limit.upper:g} {unit}".replace("-", "\N{MINUS SIGN}")
