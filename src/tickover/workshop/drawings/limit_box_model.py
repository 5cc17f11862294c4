"""Through which side does a task's line leave its limits: by hours or by the calendar?"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from tickover.workshop.drawings.drawing import Point

Fan = tuple[float, float, float, float]


@dataclass(frozen=True)
class LimitBox:
    """What a limit box is drawn from; days are date ordinals, hours are engine time.

    Parameters
    ----------
    title
        Name of the task.
    last_day, last_h
        When the task was last done. [day], [h]
    due_day, due_h
        Calendar and hour limit; None where the task has no such limit. [day], [h]
    tolerance_days, tolerance_h
        How far past the limit the programme allows. [day], [h]
    today, now_h
        Where the engine stands. [day], [h]
    track
        Recorded engine time as (day, h), rising.
    fan
        Where it is heading as (day, h at 10 %, h at 50 %, h at 90 %), rising, from today on.
    last_label, due_label, today_label
        Those dates as the reader writes them.
    exit_label
        The answer in a few words, for example "hours first, about 14 March".
    """

    title: str
    last_day: int
    last_h: float
    due_day: int | None
    due_h: float | None
    today: int
    now_h: float
    tolerance_days: int = 0
    tolerance_h: float = 0.0
    track: tuple[tuple[float, float], ...] = ()
    fan: tuple[Fan, ...] = ()
    last_label: str = ""
    due_label: str = ""
    today_label: str = ""
    exit_label: str = ""


@dataclass(frozen=True)
class Exit:
    """Where a line leaves the box: through the "hours" or the "calendar" side, recorded or forecast."""

    day: float
    h: float
    side: str
    recorded: bool


def exit_of(box: LimitBox) -> Exit | None:
    """First point at which the recorded line, or else the middle of the fan, leaves the box.

    Parameters
    ----------
    box
        A limit box.

    Returns
    -------
    Exit or None
        None when neither line reaches a limit. [day], [h]
    """
    behind = _crossing(box, recorded(box), recorded=True)
    return behind or _crossing(box, heading(box), recorded=False)


def _crossing(box: LimitBox, line: list[Point], *, recorded: bool) -> Exit | None:
    for start, end in pairwise(line):
        by_hours, by_calendar = _share(start[1], end[1], box.due_h), _share(start[0], end[0], box.due_day)
        if min(by_hours, by_calendar) <= 1:
            share, side = min((by_hours, "hours"), (by_calendar, "calendar"))
            return Exit(part(start[0], end[0], share), part(start[1], end[1], share), side, recorded)
    return None


def _share(start: float, end: float, limit: float | None) -> float:
    """How far along from start to end the limit is reached; infinite when it is not."""
    if limit is None or end < limit:
        return math.inf
    return 0.0 if start >= limit else (limit - start) / (end - start)


def part(start: float, end: float, share: float) -> float:
    return start + share * (end - start)


def recorded(box: LimitBox) -> list[Point]:
    """The recorded line from the last time the task was done up to today, hours held between records."""
    inner = [(day, h) for day, h in box.track if box.last_day < day < box.today]
    return [(box.last_day, box.last_h), *inner, (box.today, box.now_h)]


def heading(box: LimitBox) -> list[Point]:
    return [(box.today, box.now_h), *((day, middle) for day, _, middle, _ in box.fan if day > box.today)]
