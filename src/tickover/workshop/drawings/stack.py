"""In what order do the pieces of a joint lie, which holes must line up, and what of the kit stays out?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from tickover.workshop.drawings.drawing import Drawing, Point, wrapped

if TYPE_CHECKING:
    from tickover.sheets import Build, Joint, Layer

THICKNESS = {"body": 22.0, "cover": 14.0, "insulator": 12.0, "plate": 6.0, "o-ring": 5.0}
"""Drawn thickness by kind. [px] Gaskets and diaphragms are sheets and have nearly none."""

_WIDTH, _SLANT, _RISE = 86.0, 30.0, 20.0
_LEFT, _TOP, _LINE = 10.0, 12.0, 16.0
_PLACES = ((0.17, 0.5), (0.83, 0.5), (0.5, 0.16), (0.5, 0.84))
"""Where the holes of a joint sit on each face, out of each other's way: across, deep."""


@dataclass(frozen=True)
class _Slab:
    """A layer with its place on the paper: left end and height of its front upper edge. [px]"""

    layer: Layer
    lines: list[str]
    y: float

    @property
    def thickness(self) -> float:
        return THICKNESS.get(self.layer.kind, 2.0)

    def at(self, across: float, deep: float) -> Point:
        """Point of the upper face, from (0, 0) front left to (1, 1) back right."""
        return (_LEFT + _WIDTH * across + _SLANT * deep, self.y - _RISE * deep)


def stack(joint: Joint, build: Build, laid_aside: Sequence[str] = ()) -> str:
    """Exploded column of a joint from top to bottom, as the sheet lists it.

    Parameters
    ----------
    joint
        A joint of the type sheet.
    build
        Build of the engine on the bench; layers of other builds are left out.
    laid_aside
        Names of the kit's pieces that this build does not use.

    Returns
    -------
    str
        One `<svg>` element, 360 px wide.
    """
    fitted = joint.for_build(build)
    drilled = {hole for layer in fitted.stack for hole in layer.holes}
    holes = {hole.id: hole.title for hole in fitted.holes if hole.id in drilled}
    slabs = _slabs(fitted.stack, name_width=112 if laid_aside else 214)
    aside = [wrapped(name, 94, 12, most=6) for name in laid_aside]
    foot = max(
        slabs[-1].y + slabs[-1].thickness,
        slabs[-1].y - 4 + _LINE * (len(slabs[-1].lines) - 1),
        _aside_height(aside),
    )
    legend = [line for number, name in enumerate(holes.values()) for line in _legend(number, name)]
    drawing = Drawing(
        360, foot + 22 + 18 * len(legend), joint.title, _in_words(fitted.stack, holes, laid_aside)
    )
    for slab in slabs:
        _draw(drawing, slab)
    for number, hole in enumerate(holes):
        _line_up(drawing, [slab for slab in slabs if hole in slab.layer.holes], number)
    for row, line in enumerate(legend):
        drawing.text((_LEFT, foot + 24 + 18 * row), line)
    _lay_aside(drawing, aside)
    return drawing.svg()


def _slabs(layers: Sequence[Layer], name_width: float) -> list[_Slab]:
    placed: list[_Slab] = []
    y = _TOP + _RISE
    for number, layer in enumerate(layers, start=1):
        kind = "" if layer.kind in layer.title.lower() else f" ({layer.kind})"
        lines = wrapped(f"{number}  {layer.title}{kind}", name_width, 13)
        placed.append(_Slab(layer, lines, y))
        y += max(THICKNESS.get(layer.kind, 2.0) + _RISE + 17, _LINE * len(lines) + 10)
    return placed


def _legend(number: int, name: str) -> list[str]:
    return wrapped(f"{_letter(number)}  {name}: must line up, look through", 344, 13)


def _letter(number: int) -> str:
    return chr(ord("A") + number % 26)


def _draw(drawing: Drawing, slab: _Slab) -> None:
    _FACES.get(slab.layer.kind, _plain)(drawing, slab)
    x, y = _LEFT + _WIDTH + _SLANT + 6, slab.at(1, 0.5)[1]
    drawing.line(slab.at(1, 0.5), (x + 4, y), "hair")
    for row, line in enumerate(slab.lines):
        drawing.text((x + 8, y + 5 + _LINE * row), line)


def _outline(slab: _Slab) -> list[Point]:
    return [slab.at(0, 0), slab.at(1, 0), slab.at(1, 1), slab.at(0, 1)]


def _plain(drawing: Drawing, slab: _Slab) -> None:
    """A rigid piece: upper face and its two visible edges."""
    down = slab.thickness
    low = [(x, y + down) for x, y in (slab.at(0, 0), slab.at(1, 0), slab.at(1, 1))]
    drawing.path([slab.at(0, 0), *low, slab.at(1, 1), slab.at(1, 0)], "shade", closed=True)
    drawing.path([slab.at(0, 0), *low, slab.at(1, 1)], "ink")
    drawing.path(_outline(slab), "ink", closed=True)
    drawing.path([slab.at(1, 0), low[1]], "ink")


def _gasket(drawing: Drawing, slab: _Slab) -> None:
    """A frame of sheet material: open in the middle."""
    drawing.path(_outline(slab), "ink", closed=True)
    inner = [slab.at(0.34, 0.3), slab.at(0.66, 0.3), slab.at(0.66, 0.7), slab.at(0.34, 0.7)]
    drawing.path(inner, "dash", closed=True)


def _diaphragm(drawing: Drawing, slab: _Slab) -> None:
    """A closed membrane with its convolution."""
    drawing.path(_outline(slab), "soft", closed=True)
    drawing.path(_outline(slab), "ink", closed=True)
    for radius in (0.44, 0.32):
        drawing.ellipse(slab.at(0.5, 0.5), 0.5 * _WIDTH * radius, 0.8 * _RISE * radius, "hair")


def _ring(drawing: Drawing, slab: _Slab) -> None:
    for swell in (0, 5):
        drawing.ellipse(slab.at(0.5, 0.5), 0.4 * _WIDTH - swell, 0.45 * _RISE - 0.5 * swell, "ink")


_FACES = {"gasket": _gasket, "diaphragm": _diaphragm, "o-ring": _ring}


def _line_up(drawing: Drawing, slabs: list[_Slab], number: int) -> None:
    """The hole in each layer that carries it, and the lettered dotted line; an O-ring is open by itself."""
    centres = [slab.at(*_PLACES[number % len(_PLACES)]) for slab in slabs]
    for slab, centre in zip(slabs, centres, strict=True):
        if slab.layer.kind != "o-ring":
            drawing.ellipse(centre, 6, 3.4, "ink")
        if slab is not slabs[-1]:
            drawing.text((centre[0] + 5, slab.y + slab.thickness + 13), _letter(number), size=12)
    drawing.line(min(centres, key=_height), max(centres, key=_height), "dots")


def _height(point: Point) -> float:
    return point[1]


def _lay_aside(drawing: Drawing, pieces: list[list[str]]) -> None:
    if not pieces:
        return
    drawing.line((256, 14), (256, _aside_height(pieces) - 4), "dash")
    drawing.text((264, 22), "Not used:", size=12)
    drawing.text((264, 38), "not this build", size=12)
    y = 62.0
    for lines in pieces:
        drawing.path([(264, y + 8), (296, y + 8), (306, y - 2), (274, y - 2)], "dash", closed=True)
        for row, line in enumerate(lines):
            drawing.text((264, y + 24 + 15 * row), line, size=12)
        y += _aside_row(lines)


def _aside_row(lines: list[str]) -> float:
    return 26.0 + 15 * len(lines)


def _aside_height(pieces: list[list[str]]) -> float:
    return 50 + sum(_aside_row(lines) for lines in pieces) if pieces else 0


def _in_words(layers: Sequence[Layer], holes: dict[str, str], laid_aside: Sequence[str]) -> str:
    order = "; ".join(
        f"{number} {layer.title} ({layer.kind})" for number, layer in enumerate(layers, start=1)
    )
    sentences = [f"From the top: {order}."]
    if holes:
        sentences.append(f"Holes that must line up: {', '.join(holes.values())}.")
    if laid_aside:
        sentences.append(f"Not used by this build: {', '.join(laid_aside)}.")
    return " ".join(sentences)
