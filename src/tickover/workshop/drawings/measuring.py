"""Where exactly is a reading taken, from what, to what, and in what state? What does good work look like?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from tickover.workshop.drawings.drawing import Drawing, wrapped
from tickover.workshop.drawings.plates.pen import HEIGHT, WIDTH, Pen, span_in_words
from tickover.workshop.drawings.plates.registry import PLATES

if TYPE_CHECKING:
    from tickover.sheets import LimitRow

__all__ = ["PLATES", "plate", "plate_title", "span_in_words", "where_to_measure"]

_NO_MAKER = "Common practice."


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
    return plate(limit.drawing, (limit,), f"Where to measure: {limit.title}")


def plate(name: str, limits: Sequence[LimitRow] = (), title: str = "") -> str:
    """One plate with the figures of the sheet; without a limit it has no figure.

    Parameters
    ----------
    name
        One of `PLATES`.
    limits
        Limits whose figures are written in it, in the order the plate uses them.
    title
        Its title; the plate's own where it is left out.

    Raises
    ------
    KeyError
        If there is no such plate.
    """
    drawn = PLATES[name]
    makers = bool(limits) and all(limit.authority == "maker" for limit in limits)
    notes = (drawn.state, "Not to scale." if makers else f"Not to scale. {_NO_MAKER}")
    lines = [line for words in notes if words for line in wrapped(words, WIDTH - 16, 13)]
    figures = [f"{limit.title}: {span_in_words(limit)}." for limit in limits]
    title = title or drawn.title
    drawing = Drawing(
        WIDTH, HEIGHT + 12 + 18 * len(lines), title, " ".join([*figures, drawn.state]).strip() or title
    )
    drawn.draw(Pen(drawing, tuple(limits)))
    for row, line in enumerate(lines):
        drawing.text((8, HEIGHT + 18 + 18 * row), line)
    return drawing.svg()


def plate_title(name: str) -> str:
    """What a plate shows, in a few words."""
    return PLATES[name].title
