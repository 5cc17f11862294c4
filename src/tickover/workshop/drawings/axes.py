"""Where on the paper does a value lie? The axes of every chart."""

from __future__ import annotations

from dataclasses import dataclass

from tickover.workshop.drawings.drawing import Point

__all__ = ["Axes"]


@dataclass(frozen=True)
class Axes:
    """A chart between `left` and `right`, `top` and `foot` of the paper, and the values that its edges are.

    `inside`: what lies outside is drawn at the edge, and not beyond it.
    """

    left: float
    top: float
    right: float
    foot: float
    first: float
    last: float
    low: float
    high: float
    inside: bool = False

    def x(self, value: float) -> float:
        return self.left + self._share(value, self.first, self.last) * (self.right - self.left)

    def y(self, value: float) -> float:
        return self.foot - self._share(value, self.low, self.high) * (self.foot - self.top)

    def at(self, across: float, up: float) -> Point:
        return self.x(across), self.y(up)

    def _share(self, value: float, begin: float, end: float) -> float:
        share = (value - begin) / (end - begin)
        return min(max(share, 0.0), 1.0) if self.inside else share
