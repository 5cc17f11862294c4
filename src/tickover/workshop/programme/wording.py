"""Sentences about what is due. They word what `science` computed; they compute nothing of the trade."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from tickover.language.amounts import day, hours
from tickover.workshop.drawings.limit_box import LimitBox

if TYPE_CHECKING:
    from tickover.workshop.programme.due_line import DueLine


BASELINE_ID = "baseline-inspection"
NOT_KNOWN = "not known: baseline inspection"


def span(days: int) -> str:
    """A number of days as people say it."""
    if days < 14:
        return "1 day" if days == 1 else f"{days} days"
    if days < 70:
        return f"{round(days / 7)} weeks"
    return f"{round(days / 30.44)} months"


def due_sentence(line: DueLine) -> str:
    """The answer in one line: how soon, by which limit, how sure."""
    if line.unknown is not None and line.task.id == BASELINE_ID:
        return f"due now: hours not known ({line.unknown.reason})"
    if line.not_known:
        return NOT_KNOWN
    if line.due.due_h is None and line.due.due_day is None:
        return "on condition: no limit by hours or date, checked with other work"
    due, today = line.due, line.today.toordinal()
    over_h = due.due_h is not None and line.now_h >= due.due_h
    over_day = due.due_day is not None and today >= due.due_day
    if over_h or over_day:
        return _due_now(line)
    days = (line.heading.day_50 - line.today).days
    if line.left_h is not None and line.heading.chance_by_hours >= 0.5:
        return f"{hours(line.left_h)} h left, about {span(days)}"
    return f"{span(days)} left, due {day(line.heading.day_50)}"


def _due_now(line: DueLine) -> str:
    """How far past its limits; past the tolerance it names the next move."""
    over = _how_far_over(line)
    if line.state == "over tolerance":
        return f"overdue {over or 'today'}: before next run"
    return f"due now: {over} over, within tolerance" if over else "due today"


def _how_far_over(line: DueLine) -> str:
    """Hours and days past a limit, such as "3.0 h and 5 days"; "" for what is due this very day."""
    due, parts = line.due, []
    if due.due_h is not None and line.now_h >= due.due_h:
        parts.append(f"{hours(line.now_h - due.due_h)} h")
    if due.due_day is not None and line.today.toordinal() > due.due_day:
        parts.append(span(line.today.toordinal() - due.due_day))
    return " and ".join(parts)


def limits_sentence(line: DueLine) -> str:
    """The limits themselves: 'at 312.4 h or on 1 May 2026, whichever comes first; now 288.0 h'."""
    if line.not_known:
        return "When it was last done is not known. The inspection starts the count."
    limits = []
    if line.due.due_h is not None:
        limits.append(f"at {hours(line.due.due_h)} h")
    if line.due.due_day is not None:
        limits.append(f"on {day(date.fromordinal(line.due.due_day))}")
    if line.unknown is not None:
        until = f"Due {limits[0]}, by date only" if limits else "No limit by date"
        return f"{until}: without the engine’s hours, no limit in hours can be kept."
    if not limits:
        return f"No limit by hours or date; now {hours(line.now_h)} h."
    joined = " or ".join(limits)
    first = ", whichever comes first" if len(limits) == 2 else ""
    return f"Due {joined}{first}; now {hours(line.now_h)} h."


def labelled_box(
    line: DueLine, track: tuple[tuple[int, float], ...], fan: tuple[tuple[int, float, float, float], ...]
) -> LimitBox:
    due = line.due
    # The day it was noted is no limit to be drawn.
    due_day = None if line.not_known else due.due_day
    return LimitBox(
        title=f"{line.engine.name}: {line.task.title}",
        last_day=due.last_day,
        last_h=due.last_h,
        due_day=due_day,
        due_h=due.due_h,
        tolerance_days=due.tolerance_days,
        tolerance_h=due.tolerance_h,
        today=line.today.toordinal(),
        now_h=line.now_h,
        track=track,
        fan=fan,
        last_label="" if line.not_known else day(date.fromordinal(due.last_day)),
        due_label=day(date.fromordinal(due_day)) if due_day else "",
        today_label=day(line.today),
        exit_label=_first_to_come(line),
    )


def _first_to_come(line: DueLine) -> str:
    if line.not_known:
        return "not known"
    if line.state in ("due", "over tolerance"):
        return "due now"
    which = "hours" if line.heading.chance_by_hours >= 0.5 else "date"
    return f"{which} first, about {day(line.heading.day_50)}"
