"""A sheet of drawing paper: the few marks that the workshop's drawings are made of, written as SVG."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from xml.etree import ElementTree

Point = tuple[float, float]

FONT = "'Tickover Sans', 'Libertinus Serif', system-ui, sans-serif"
"""A page takes the face of the pages; the paper takes the face its text is set in."""

_HOLLOW = {"fill": "none", "stroke": "currentColor", "stroke-linejoin": "round", "stroke-linecap": "round"}
_SIGNAL = "#b5420b"

STYLES: dict[str, dict[str, str]] = {
    "ink": {**_HOLLOW, "stroke-width": "1.4"},
    "hair": {**_HOLLOW, "stroke-width": "0.7"},
    "dash": {**_HOLLOW, "stroke-width": "1", "stroke-dasharray": "5 3"},
    "dots": {**_HOLLOW, "stroke-width": "1.4", "stroke-dasharray": "0.1 4"},
    "track": {**_HOLLOW, "stroke-width": "2.2"},
    "edge": {**_HOLLOW, "stroke-width": "2"},
    "course": {**_HOLLOW, "stroke-width": "1.4", "stroke-dasharray": "2 3"},
    "soft": {"fill": "currentColor", "fill-opacity": "0.12", "stroke": "none"},
    "shade": {"fill": "currentColor", "fill-opacity": "0.2", "stroke": "none"},
    "solid": {"fill": "currentColor", "stroke": "none"},
    "paper": {"fill": "#fff", "stroke": "none"},
    "signal": {**_HOLLOW, "stroke": _SIGNAL, "stroke-width": "2.6"},
    "signal-wash": {"fill": _SIGNAL, "fill-opacity": "0.12", "stroke": "none"},
    "signal-solid": {"fill": _SIGNAL, "stroke": "none"},
    "text": {"fill": "currentColor", "stroke": "none", "font-family": FONT},
    "signal-text": {"fill": _SIGNAL, "stroke": "none", "font-family": FONT, "font-weight": "600"},
}
"""Marks by name. The class `pic-<name>` is written beside the attributes, and CSS outranks attributes."""

_NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


class Drawing:
    """One SVG picture under construction; coordinates are px at the picture's natural size."""

    def __init__(self, width: float, height: float, title: str, desc: str) -> None:
        self._root = ElementTree.Element(
            "svg",
            {
                "xmlns": "http://www.w3.org/2000/svg",
                "viewBox": f"0 0 {_number(width)} {_number(height)}",
                "width": _number(width),
                "height": _number(height),
                "role": "img",
                "class": "picture",
            },
        )
        ElementTree.SubElement(self._root, "title").text = legible(title)
        ElementTree.SubElement(self._root, "desc").text = legible(desc)

    def line(self, start: Point, end: Point, style: str) -> None:
        """A straight line."""
        self._mark("line", style, x1=start[0], y1=start[1], x2=end[0], y2=end[1])

    def path(self, points: Sequence[Point], style: str, *, closed: bool = False) -> None:
        """A line through points, or with `closed` the area inside them."""
        steps = " L".join(f"{_number(x)} {_number(y)}" for x, y in points)
        self._mark("path", style, d=f"M{steps}{'Z' if closed else ''}")

    def ellipse(self, centre: Point, rx: float, ry: float, style: str) -> None:
        """An ellipse, or a circle with equal radii."""
        self._mark("ellipse", style, cx=centre[0], cy=centre[1], rx=rx, ry=ry)

    def text(
        self, at: Point, words: str, *, size: float = 13, anchor: str = "start", style: str = "text"
    ) -> None:
        """Words on one line, with `at` on their base line."""
        anchors = {"text-anchor": anchor} if anchor != "start" else {}
        element = self._mark("text", style, x=at[0], y=at[1], **{"font-size": size}, **anchors)
        element.text = legible(words)

    def svg(self) -> str:
        """The finished picture."""
        return ElementTree.tostring(self._root, encoding="unicode")

    def _mark(self, tag: str, style: str, **attributes: float | str) -> ElementTree.Element:
        written = {
            key: value if isinstance(value, str) else _number(value) for key, value in attributes.items()
        }
        return ElementTree.SubElement(self._root, tag, {"class": f"pic-{style}", **STYLES[style], **written})


def legible(words: str) -> str:
    """Words with each character that XML does not allow replaced by the replacement character."""
    return _NOT_XML.sub("\N{REPLACEMENT CHARACTER}", words)


def wrapped(words: str, width: float, size: float, most: int = 4) -> list[str]:
    """Words broken into lines.

    Parameters
    ----------
    words
        What to say.
    width
        Room for a line. [px]
    size
        Font size. [px]
    most
        Lines at most; what does not fit is cut and marked with an ellipsis.

    Notes
    -----
    The reader's font is unknown, so a character is taken as 0.56 of the font size and a wide one
    (East Asian Width W or F, Unicode Annex 11) as a full one. Both err on the wide side.
    """
    lines: list[str] = [""]
    for word in re.split("[ \t\r\n]+", words):
        for piece in _pieces(word, width, size):
            candidate = f"{lines[-1]} {piece}".strip()
            if _width(candidate, size) <= width:
                lines[-1] = candidate
            else:
                lines.append(piece)
    lines = [line for line in lines if line]
    if len(lines) > most:
        lines[most - 1] = lines[most - 1][:-1].rstrip() + "…"
    return lines[:most]


def _pieces(word: str, width: float, size: float) -> list[str]:
    if _width(word, size) <= width:
        return [word]
    fits = max(1, int(width / size))
    return [word[at : at + fits] for at in range(0, len(word), fits)]


def _width(words: str, size: float) -> float:
    return sum(size if unicodedata.east_asian_width(c) in "WF" else 0.56 * size for c in words)


def _number(value: float) -> str:
    return f"{round(value, 2) + 0:.2f}".rstrip("0").rstrip(".")
