"""In what order are the screws of a joint tightened, and how far in each pass?"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING

from tickover.science.fasteners.tightening_sequence import tightening_order
from tickover.workshop.drawings.drawing import Drawing, Point, wrapped

if TYPE_CHECKING:
    from tickover.sheets import Fasteners


_SNUG = "First snug, all in this order. Then small steps, same order, until the pressure is even."


def passes_in_words(fasteners: Fasteners) -> list[str]:
    """What to do with the wrench, as sentences; where the sheet itself says how to begin, it has the word."""
    figure, most = fasteners.torque_nm, fasteners.torque_max_nm
    sentences = [] if "snug" in fasteners.note.lower() else [_SNUG]
    if figure is None:
        sentences.append("Torque: no figure on the sheet. Take the maker's.")
    elif fasteners.passes:
        steps = ", ".join(f"{fraction * figure:.3g}" for fraction in fasteners.passes)
        sentences.append(f"Passes: {steps} N·m.")
    else:
        sentences.append(f"Torque: {figure:g} N·m.")
    if most is not None:
        sentences.append(f"Never more than {most:g} N·m.")
    if fasteners.note:
        sentences.append(fasteners.note)
    if fasteners.authority != "maker":
        sentences.append(f"Source: {fasteners.authority}. The maker's manual comes first.")
    return sentences


def screw_pattern(fasteners: Fasteners, title: str = "Tightening order") -> str:
    """The cover seen from above, each screw with its place in the order, and the passes in words.

    Parameters
    ----------
    fasteners
        Count, size, pattern and torque of the joint's screws. [N.m]
    title
        Name of the picture.

    Returns
    -------
    str
        One `<svg>` element, 360 px wide.
    """
    order = tightening_order(fasteners.count, fasteners.pattern)
    words = passes_in_words(fasteners)
    lines = [line for sentence in words for line in wrapped(sentence, 344, 13)]
    places = _places(fasteners.count)
    top = 190.0 if fasteners.count > 2 else 120.0
    head = f"{fasteners.count} × {fasteners.size}".strip(" ×")
    drawing = Drawing(360, top + 24 + 18 * len(lines), title, f"{head}. {' '.join(words)}")
    _cover(drawing, fasteners.count)
    if fasteners.count <= 8:
        _course(drawing, [places[place] for place in order])
    for number, place in enumerate(order, start=1):
        _screw(drawing, places[place], number)
    drawing.text((8, 18), head)
    for row, line in enumerate(lines):
        drawing.text((8, top + 26 + 18 * row), line)
    return drawing.svg()


def _places(count: int) -> list[Point]:
    if count <= 2:
        return [(110.0, 64.0), (250.0, 64.0)][:count]
    turn = math.pi / 4 if count == 4 else 0
    angles = [2 * math.pi * place / count - turn for place in range(count)]
    return [(180 + 76 * math.sin(angle), 98 - 76 * math.cos(angle)) for angle in angles]


def _cover(drawing: Drawing, count: int) -> None:
    if count <= 2:
        drawing.ellipse((180, 64), 104, 40, "hair")
        drawing.ellipse((180, 64), 26, 26, "hair")
        return
    drawing.ellipse((180, 98), 95, 95, "hair")
    drawing.ellipse((180, 98), 50, 50, "hair")


def _course(drawing: Drawing, points: list[Point]) -> None:
    """The way the wrench goes, fading into the screws so that the numbers stay clear."""
    for start, end in pairwise(points):
        length = math.dist(start, end)
        unit = ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
        tip = (end[0] - 15 * unit[0], end[1] - 15 * unit[1])
        drawing.line((start[0] + 14 * unit[0], start[1] + 14 * unit[1]), tip, "dots")
        drawing.path([tip, _barb(tip, unit, 2.6), _barb(tip, unit, -2.6)], "solid", closed=True)


def _barb(tip: Point, unit: Point, side: float) -> Point:
    return (tip[0] - 6 * unit[0] - side * unit[1], tip[1] - 6 * unit[1] + side * unit[0])


def _screw(drawing: Drawing, at: Point, number: int) -> None:
    drawing.ellipse(at, 13, 13, "ink")
    drawing.text((at[0], at[1] + 5), str(number), size=14, anchor="middle")
