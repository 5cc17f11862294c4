"""How a build is recognised, as a sketch from the side: how the pulse reaches the pump, and how the engine is started.

It is a sketch and to no scale: crankcase, cylinder with fins, carburettor with its pump cover. What tells a build from
another is drawn heavy. The shapes are those of any such engine: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Collection

from tickover.workshop.drawings.drawing import Drawing, Point

WIDTH, HEIGHT = 132.0, 100.0
FINS = (20.0, 26.0, 32.0, 38.0, 44.0)


def build_look(title: str, traits: Collection[str]) -> str:
    """The sketch of a build as one `<svg>`, by what it has, such as "external-pulse"; "" where nothing can be drawn."""
    known = [trait for trait in MARKS if trait in traits]
    if not known:
        return ""
    words = " ".join(MARKS[trait][0] for trait in known)
    drawing = Drawing(WIDTH, HEIGHT, title, words)
    _engine(drawing)
    for trait in known:
        MARKS[trait][1](drawing)
    return drawing.svg()


def _engine(drawing: Drawing) -> None:
    drawing.ellipse((48, 70), 20, 20, "ink")
    _box(drawing, (36, 16), (60, 52), "ink")
    for y in FINS:
        drawing.line((30, y), (66, y), "hair")
    drawing.line((66, 36), (66, 54), "ink")
    drawing.line((70, 36), (70, 54), "ink")
    _box(drawing, (70, 38), (102, 52), "ink")
    _box(drawing, (76, 30), (96, 38), "ink")


def _hose(drawing: Drawing) -> None:
    drawing.path([(66, 64), (84, 68), (108, 62), (116, 46), (110, 34), (96, 34)], "track")
    drawing.ellipse((66, 64), 2.4, 2.4, "solid")
    drawing.ellipse((96, 34), 2.4, 2.4, "solid")


def _passage(drawing: Drawing) -> None:
    drawing.line((56, 49), (80, 49), "dots")
    drawing.ellipse((68, 49), 3.6, 3.6, "track")


def _starter(drawing: Drawing) -> None:
    _box(drawing, (4, 64), (24, 76), "track")
    drawing.line((24, 70), (28, 70), "track")
    _box(drawing, (4, 84), (24, 96), "track")
    for x in (9, 19):
        drawing.line((x, 81), (x, 84), "track")


def _rope(drawing: Drawing) -> None:
    drawing.ellipse((48, 70), 9, 9, "ink")
    drawing.line((55, 76), (78, 92), "ink")
    drawing.line((74, 96), (82, 88), "track")


def _box(drawing: Drawing, first: Point, last: Point, style: str) -> None:
    (x, y), (right, foot) = first, last
    drawing.path([(x, y), (right, y), (right, foot), (x, foot)], style, closed=True)


MARKS: dict[str, tuple[str, Callable[[Drawing], None]]] = {
    "external-pulse": ("A hose runs from the crankcase to the pump cover.", _hose),
    "internal-pulse": ("A hole runs through flange and insulator, no hose.", _passage),
    "electric": ("A starter motor and a battery.", _starter),
    "recoil": ("A rope with a handle.", _rope),
}
