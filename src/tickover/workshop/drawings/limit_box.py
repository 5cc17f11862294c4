"""Which comes first, the hours or the date? The limit box shows a task's answer as a picture."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Literal

from tickover.workshop.drawings.axes import Axes
from tickover.workshop.drawings.drawing import Drawing, Point, wrapped
from tickover.workshop.drawings.limit_box_model import LimitBox, exit_of, heading, part, recorded

__all__ = ["LimitBox", "Size", "limit_box"]

Size = Literal["small", "large"]


def _frame(box: LimitBox, left: float, top: float, right: float, foot: float) -> Axes:
    """Room for the box, its tolerance and where the engine stands, but never under a third for the box."""
    days, hours = _sides(box)
    reach_day = max(days + box.tolerance_days, box.today - box.last_day)
    reach_h = max(hours + box.tolerance_h, box.now_h - box.last_h)
    last_day = box.last_day + 1.06 * min(reach_day, 3 * days)
    high_h = box.last_h + 1.08 * min(reach_h, 3 * hours)
    return Axes(left, top, right, foot, box.last_day, last_day, box.last_h, high_h, inside=True)


def _sides(box: LimitBox) -> Point:
    """Length of the box in days and in hours; a side without limit is as long as the lines need."""
    ends = [(box.today, box.now_h), *((day, high) for day, _, _, high in box.fan)]
    days = (box.due_day if box.due_day is not None else max(day for day, _ in ends)) - box.last_day
    hours = (box.due_h if box.due_h is not None else max(h for _, h in ends)) - box.last_h
    return (max(days, 1), max(hours, 1))


def limit_box(box: LimitBox, *, size: Size = "large") -> str:
    """The limit box as SVG.

    Parameters
    ----------
    box
        What is drawn.
    size
        "small" is 96 x 64 px without words, for lists; "large" is 360 px wide with axes.

    Returns
    -------
    str
        One `<svg>` element.
    """
    return _small(box) if size == "small" else _large(box)


def _small(box: LimitBox) -> str:
    drawing = Drawing(96, 64, box.title, _in_words(box))
    _draw(drawing, box, _frame(box, 3, 6, 91, 61), dot=3.2)
    return drawing.svg()


def _large(box: LimitBox) -> str:
    answer = wrapped(box.exit_label, 344, 14, most=2)
    top = 18.0 + 19 * len(answer)
    frame = _frame(box, 64, top, 346, top + 190)
    drawing = Drawing(360, frame.foot + 48, box.title, _in_words(box))
    for row, line in enumerate(answer):
        drawing.text((8, 20 + 19 * row), line, size=14)
    _draw(drawing, box, frame, dot=5)
    _label_hours(drawing, box, frame)
    _label_days(drawing, box, frame)
    return drawing.svg()


def _draw(drawing: Drawing, box: LimitBox, frame: Axes, dot: float) -> None:
    _edges(drawing, box, frame)
    _fan(drawing, box, frame)
    drawing.path([frame.at(*point) for point in _cut(recorded(box), frame)], "track")
    _marks(drawing, box, frame, dot)


def _holds(frame: Axes, point: Point) -> bool:
    return point[0] <= frame.last and point[1] <= frame.high


def _leaves(line: Sequence[Point], frame: Axes) -> list[Point]:
    """The point where a line runs off the paper, so that it is cut there and not bent along the edge."""
    for start, end in pairwise(line):
        if _holds(frame, start) and not _holds(frame, end):
            over = [(frame.last - start[0]) / (end[0] - start[0])] if end[0] > frame.last else []
            over += [(frame.high - start[1]) / (end[1] - start[1])] if end[1] > frame.high else []
            return [(part(start[0], end[0], min(over)), part(start[1], end[1], min(over)))]
    return []


def _edges(drawing: Drawing, box: LimitBox, frame: Axes) -> None:
    """The box, open on a side that has no limit, and the tolerance outside it."""
    day = box.due_day if box.due_day is not None else frame.last
    h = box.due_h if box.due_h is not None else frame.high
    _sides_of(drawing, box, frame, (day, h), "ink")
    drawing.path(
        [frame.at(box.last_day, h), frame.at(box.last_day, box.last_h), frame.at(day, box.last_h)], "ink"
    )
    if box.tolerance_days or box.tolerance_h:
        outer = (
            day + box.tolerance_days if box.due_day is not None else day,
            h + box.tolerance_h if box.due_h is not None else h,
        )
        _sides_of(drawing, box, frame, outer, "dash")


def _sides_of(drawing: Drawing, box: LimitBox, frame: Axes, corner: Point, style: str) -> None:
    day, h = corner
    if box.due_h is not None:
        drawing.line(frame.at(box.last_day, h), frame.at(day, h), style)
    if box.due_day is not None:
        drawing.line(frame.at(day, h), frame.at(day, box.last_h), style)


def _fan(drawing: Drawing, box: LimitBox, frame: Axes) -> None:
    """The spread as a shade and its middle as a broken line, both cut at the edge of the paper."""
    low = _cut([(box.today, box.now_h), *((day, low) for day, low, _, _ in box.fan)], frame)
    high = _cut([(box.today, box.now_h), *((day, high) for day, _, _, high in box.fan)], frame)
    middle = _cut(heading(box), frame)
    if len(middle) > 1:
        corner = [(max(high[-1][0], low[-1][0]), max(high[-1][1], low[-1][1]))]
        area = [*high, *corner, *reversed(low)]
        drawing.path([frame.at(*point) for point in area], "soft", closed=True)
        drawing.path([frame.at(*point) for point in middle], "course")


def _cut(line: list[Point], frame: Axes) -> list[Point]:
    return [point for point in line if _holds(frame, point)] + _leaves(line, frame)


def _marks(drawing: Drawing, box: LimitBox, frame: Axes, dot: float) -> None:
    """A full dot where the engine stands, a ring where it will leave, a bar where it has left."""
    leaving, now = exit_of(box), _cut(recorded(box), frame)[-1]
    if leaving and leaving.recorded:
        x, y = frame.at(leaving.day, leaving.h)
        drawing.line((x - 1.6 * dot, y + 1.6 * dot), (x + 1.6 * dot, y - 1.6 * dot), "signal")
    elif leaving:
        drawing.ellipse(frame.at(leaving.day, leaving.h), dot * 1.2, dot * 1.2, "signal")
    if leaving and leaving.recorded:
        drawing.ellipse(frame.at(*now), dot, dot, "signal-solid")
    else:
        drawing.ellipse(frame.at(*now), dot * 0.8, dot * 0.8, "solid")


def _label_hours(drawing: Drawing, box: LimitBox, frame: Axes) -> None:
    """Hours at the left: the limits always, where the engine stands if it does not collide."""
    fixed = [box.last_h] + ([box.due_h] if box.due_h is not None else [])
    for h in fixed:
        drawing.text((frame.left - 6, frame.y(h) + 4), _hours(h), anchor="end")
    now = frame.y(_cut(recorded(box), frame)[-1][1])
    if all(abs(frame.y(h) - now) > 16 for h in fixed):
        drawing.line((frame.left - 4, now), (frame.left, now), "ink")
        drawing.text((frame.left - 6, now + 4), _hours(box.now_h), anchor="end")


def _hours(h: float) -> str:
    return f"{h:.1f}".removesuffix(".0") + " h"


def _label_days(drawing: Drawing, box: LimitBox, frame: Axes) -> None:
    """Dates below: limits on the first row, today on a second, so that they never collide."""
    drawing.text((frame.left, frame.foot + 18), box.last_label)
    if box.due_day is not None:
        x = frame.x(box.due_day)
        drawing.line((x, frame.foot), (x, frame.foot + 5), "ink")
        if x >= frame.left + 190:
            drawing.text((x, frame.foot + 18), box.due_label, anchor="end")
        else:
            drawing.text((max(x - 20, frame.left + 100), frame.foot + 18), box.due_label)
    x, y = frame.at(*_cut(recorded(box), frame)[-1])
    drawing.line((x, y), (x, frame.foot + 24), "hair")
    anchor = (
        "middle" if frame.left + 50 < x < frame.right - 50 else "start" if x <= frame.left + 50 else "end"
    )
    drawing.text((x, frame.foot + 38), box.today_label, anchor=anchor)


def _in_words(box: LimitBox) -> str:
    limits = [f"{box.due_h:g} h"] if box.due_h is not None else []
    limits += [box.due_label or "the calendar limit"] if box.due_day is not None else []
    leaving = exit_of(box)
    sentences = [
        f"Last done {box.last_label} at {box.last_h:g} h." if box.last_label else "Last done: not known.",
        f"Due: {' or '.join(limits) or 'no limit'}{', whichever comes first' if len(limits) > 1 else ''}.",
        f"Now {box.now_h:g} h, {box.today_label}.",
        f"Leaves the box through the {leaving.side} side{' already' if leaving.recorded else ''}."
        if leaving
        else "",
        box.exit_label,
    ]
    return " ".join(" ".join(sentences).split())
