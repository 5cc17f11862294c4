"""Where exactly is a reading taken, from what, to what, and in what state?"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TYPE_CHECKING

from tickover.workshop.drawings.drawing import Drawing, Point, wrapped

if TYPE_CHECKING:
    from tickover.sheets import LimitRow

_WIDTH, _PLATE = 360.0, 176.0
_ARROW = 6.0
_LEFT_WALL: list[Point] = [(30, 64), (70, 64), (70, 128), (112, 128), (112, 164)]
_RIGHT_WALL: list[Point] = [(132, 164), (132, 128), (250, 128), (250, 64), (290, 64)]


def where_to_measure(limit: LimitRow) -> str:
    """The place of one reading as a section or a view, with the limit written at its arrows.

    Parameters
    ----------
    limit
        A limit of the type sheet whose `drawing` names one of `PLATES`.

    Returns
    -------
    str
        One `<svg>` element, 360 px wide. Not to scale, and it says so.

    Raises
    ------
    KeyError
        If the limit names no such drawing.
    """
    plate, state = PLATES[limit.drawing]
    notes = [line for words in (state, "Not to scale.") for line in wrapped(words, _WIDTH - 16, 13)]
    span = span_in_words(limit)
    title = f"Where to measure: {limit.title}"
    drawing = Drawing(_WIDTH, _PLATE + 12 + 18 * len(notes), title, f"{span}. {state}")
    plate(drawing, limit, span)
    for row, line in enumerate(notes):
        drawing.text((8, _PLATE + 18 + 18 * row), line)
    return drawing.svg()


def span_in_words(limit: LimitRow) -> str:
    """The limit as the technician says it: from, to, unit. Its minus is a minus and no hyphen."""
    unit = limit.unit.replace("N.m", "N·m")
    if limit.makers_figure:
        return "the maker's figure, not entered yet"
    if limit.lower is None:
        return f"at most {limit.upper:g} {unit}"
    if limit.upper is None:
        return f"at least {limit.lower:g} {unit}"
    return f"{limit.lower:g} to {limit.upper:g} {unit}".replace("-", "\N{MINUS SIGN}")


def _lever_height(drawing: Drawing, limit: LimitRow, span: str) -> None:
    """Section through the metering chamber. A limit that runs below zero counts from the chamber floor."""
    flush = limit.lower is not None and limit.lower < 0
    tip = 128.0 if flush else 92.0
    drawing.path([*_LEFT_WALL, *_RIGHT_WALL, (290, 172), (30, 172)], "soft", closed=True)
    drawing.path(_LEFT_WALL, "ink")
    drawing.path(_RIGHT_WALL, "ink")
    drawing.path([(114, 120), (130, 120), (130, 150), (122, 162), (114, 150)], "ink", closed=True)
    drawing.path([(122, 116), (160, 104), (230, tip)], "track")
    drawing.ellipse((160, 104), 5, 5, "ink")
    drawing.path([(192 + 7 * (-1) ** n, 128 - 4 * n) for n in range(3 if flush else 7)], "hair")
    if flush:
        drawing.path([(176, 116), (262, 116), (262, 128), (176, 128)], "hair", closed=True)
        drawing.text((8, 20), "Straightedge on the chamber")
        drawing.text((8, 38), "floor, lever's end level with it")
        drawing.text((352, 20), span, anchor="end", size=15, style="signal-text")
        _between(drawing, (240, 126), (240, 130))
        return
    drawing.path([(50, 52), (270, 52), (270, 64), (50, 64)], "hair", closed=True)
    drawing.path([(224, 46), (236, 46), (236, tip), (224, tip)], "hair", closed=True)
    drawing.line((236, tip), (318, tip), "hair")
    drawing.line((290, 64), (318, 64), "hair")
    _between(drawing, (310, 64), (310, tip))
    drawing.text((352, 20), span, anchor="end", size=15, style="signal-text")
    drawing.text((8, 20), "Depth gauge across the")
    drawing.text((8, 38), "clean body face, gasket off")


def _squish(drawing: Drawing, limit: LimitRow, span: str) -> None:
    """Section through the cylinder along the piston pin, piston at top dead centre."""
    drawing.path([(80, 172), (80, 84), (96, 84), (96, 172)], "soft", closed=True)
    drawing.path([(264, 172), (264, 84), (280, 84), (280, 172)], "soft", closed=True)
    head = [(70, 84), (70, 30), (290, 30), (290, 84), (264, 84), (226, 80)]
    dome = [(180 + 46 * math.cos(a), 80 - 34 * math.sin(a)) for a in [math.pi * n / 16 for n in range(17)]]
    drawing.path([*head, *dome, (134, 80), (96, 84)], "soft", closed=True)
    drawing.path([(96, 84), (134, 80), *reversed(dome), (226, 80), (264, 84)], "ink")
    drawing.line((96, 84), (96, 172), "ink")
    drawing.line((264, 84), (264, 172), "ink")
    drawing.path([(98, 172), (98, 101), (134, 96), (226, 96), (262, 101), (262, 172)], "ink")
    drawing.path([(112, 140), (248, 140), (248, 160), (112, 160)], "dash", closed=True)
    drawing.text((180, 154), "piston pin", anchor="middle")
    for wall, inside in ((99, 150), (261, 210)):
        drawing.line((wall, 92), (inside, 88), "signal")
    _between(drawing, (112, 84), (112, 98))
    _between(drawing, (248, 84), (248, 98))
    drawing.text((180, 20), span, anchor="middle", size=15, style="signal-text")
    drawing.line((102, 86), (52, 60), "hair")
    drawing.text((8, 40), "solder")
    drawing.text((8, 56), "to the wall")
    drawing.line((258, 86), (308, 60), "hair")
    drawing.text((352, 40), "the other", anchor="end")
    drawing.text((352, 56), "side too", anchor="end")


def _plug_gap(drawing: Drawing, limit: LimitRow, span: str) -> None:
    """Firing end of the plug from the side, with the wire in the gap."""
    drawing.path([(96, 36), (206, 36), (206, 140), (96, 140)], "soft", closed=True)
    for n in range(7):
        drawing.line((96, 42 + 15 * n), (206, 34 + 15 * n), "hair")
    drawing.path([(96, 36), (206, 36)], "ink")
    drawing.path([(206, 36), (206, 140), (96, 140), (96, 36)], "ink")
    drawing.path([(206, 66), (206, 110), (226, 96), (226, 80)], "ink", closed=True)
    drawing.path([(206, 80), (238, 80), (238, 96), (206, 96)], "ink", closed=True)
    drawing.path([(206, 124), (262, 124), (262, 78), (250, 78), (250, 112), (206, 112)], "ink", closed=True)
    drawing.ellipse((244, 88), 5, 5, "signal-solid")
    drawing.line((244, 84), (300, 40), "hair")
    drawing.text((352, 34), "wire gauge", anchor="end")
    drawing.text((352, 16), span, anchor="end", size=15, style="signal-text")
    drawing.line((256, 124), (296, 148), "hair")
    drawing.text((352, 152), "bend only", anchor="end")
    drawing.text((352, 168), "this one", anchor="end")


def _blade_track(drawing: Drawing, limit: LimitRow, span: str) -> None:
    """The propeller edge on, turned by hand past a pointer that stands still."""
    drawing.path([(150, 76), (196, 76), (196, 104), (150, 104)], "soft", closed=True)
    drawing.path([(150, 76), (196, 76), (196, 104), (150, 104)], "ink", closed=True)
    drawing.line((60, 90), (150, 90), "dash")
    drawing.text((8, 84), "shaft")
    drawing.path([(168, 76), (176, 20), (181, 20), (182, 76)], "ink", closed=True)
    drawing.path([(168, 104), (172, 164), (177, 164), (182, 104)], "ink", closed=True)
    drawing.path([(168, 76), (170, 20), (175, 20), (182, 76)], "dash", closed=True)
    drawing.path(
        [(184, 30), (200, 25), (290, 25), (290, 172), (282, 172), (282, 35), (200, 35)], "soft", closed=True
    )
    drawing.line((262, 172), (310, 172), "ink")
    drawing.text((274, 120), "pointer,", anchor="end")
    drawing.text((274, 136), "stands still", anchor="end")
    _across(drawing, 10, 172, 179)
    drawing.text((150, 20), span, anchor="end", size=15, style="signal-text")
    drawing.text((150, 38), "between the highest", anchor="end")
    drawing.text((150, 54), "and the lowest tip", anchor="end")


def _between(drawing: Drawing, top: Point, bottom: Point) -> None:
    """A dimension from above and below: two arrows that point at the gap between two heights."""
    for at, way in ((top, -1), (bottom, 1)):
        drawing.line(at, (at[0], at[1] + way * 16), "signal")
        barbs = [(at[0] + side, at[1] + way * _ARROW) for side in (-3.5, 3.5)]
        drawing.path([at, *barbs], "signal-solid", closed=True)


def _across(drawing: Drawing, y: float, left: float, right: float) -> None:
    """The same, from the left and the right."""
    for x, way in ((left, -1), (right, 1)):
        drawing.line((x, y), (x + way * 14, y), "signal")
        drawing.path(
            [(x, y), (x + way * _ARROW, y - 3.5), (x + way * _ARROW, y + 3.5)], "signal-solid", closed=True
        )


PLATES: dict[str, tuple[Callable[[Drawing, LimitRow, str], None], str]] = {
    "lever-height": (
        _lever_height,
        "Needle closed by its spring alone, lever screw tight. Do not press on the lever while you read.",
    ),
    "squish": (
        _squish,
        "Solder along the pin axis, to the wall on both sides; turn once past top dead centre by hand. "
        "Plug out, ignition grounded.",
    ),
    "plug-gap": (_plug_gap, "The wire just drags. Flat feelers read too small on a worn electrode."),
    "blade-track": (
        _blade_track,
        "Plug out and ignition grounded before a hand touches the propeller. Bolts at torque.",
    ),
}
"""Drawing and state of the engine, by the name a limit gives in its `drawing`."""
