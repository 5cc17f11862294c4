"""One task of one engine as lists and pages show it: its limits, how far it is, and where it is heading."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from tickover.science.core.working import Working
from tickover.science.planning.due import Due
from tickover.science.planning.life_left import share_left
from tickover.science.planning.usage import Usage, chance_reached_by, gain_quantiles
from tickover.sheets import TaskRow
from tickover.workshop.drawings.limit_box import LimitBox
from tickover.workshop.programme import wording
from tickover.workshop.programme.decisions import Unknown
from tickover.workshop.programme.forecasting import DayHours, DueForecast, sd_since
from tickover.workshop.register.models import Engine

FAN_POINTS = 24
URGENCY = {"over tolerance": 0, "due": 1, "due soon": 2, "not yet": 3}


@dataclass(frozen=True)
class DueLine:
    """One task of one engine: its limits, its state and where it is heading."""

    engine: Engine
    task: TaskRow
    due: Due
    now_h: float
    sd_h: float
    today: date
    state: str
    heading: DueForecast
    usage: Usage
    entries: tuple[DayHours, ...]
    unknown: Unknown | None = None
    not_known: bool = False
    """Whether nobody knows when it was last done."""

    @property
    def left_to_choose(self) -> bool:
        """A part of unknown age is inspected first; whether it is replaced as well, the technician decides."""
        return self.not_known and self.task.kind == "replace"

    @property
    def sentence(self) -> str:
        return wording.due_sentence(self)

    @property
    def why(self) -> str:
        return wording.limits_sentence(self)

    @property
    def due_on(self) -> date | None:
        return date.fromordinal(self.due.due_day) if self.due.due_day else None

    @property
    def last_on(self) -> date:
        return date.fromordinal(self.due.last_day)

    @property
    def left_h(self) -> float | None:
        return None if self.due.due_h is None else self.due.due_h - self.now_h

    @property
    def life_left(self) -> float:
        """Share of its interval that would be given away by doing it now, by whichever limit leaves less. [-]"""
        return share_left(self.due, self.now_h, self.today.toordinal())

    @property
    def expanded_h(self) -> float:
        """Expanded uncertainty of the engine time, twice its standard deviation. [h]"""
        return 2.0 * self.sd_h

    @property
    def left_sd_h(self) -> float:
        """Standard deviation of the hours left."""
        return sd_since(self.entries, self.due.last_day, self.due.last_h)

    @property
    def working(self) -> Working:
        return self.due.working(self.now_h, self.today.toordinal(), self.usage.mean_h_per_day)

    @property
    def box(self) -> LimitBox:
        return _limit_box(self)


@dataclass(frozen=True)
class EngineLine:
    """One engine of the list: how long it has run and its most urgent task."""

    engine: Engine
    title: str
    build_title: str
    now_h: float
    sd_h: float
    lines: tuple[DueLine, ...]
    unknown: Unknown | None = None

    @property
    def expanded_h(self) -> float:
        """Expanded uncertainty of the engine time, twice its standard deviation. [h]"""
        return 2.0 * self.sd_h

    @property
    def not_known(self) -> frozenset[str]:
        """Tasks of which the last time is not known, by their ids."""
        return frozenset(line.task.id for line in self.lines if line.not_known)

    @property
    def first(self) -> DueLine | None:
        return self.lines[0] if self.lines else None

    @property
    def needs_nothing(self) -> bool:
        """Whether no task is due or due soon."""
        return self.first is None or self.first.state == "not yet"


def chance_due_within(line: DueLine, days_ahead: NDArray[np.float64]) -> NDArray[np.float64]:
    """Chance that a task is due within so many days, by whichever limit, float[n]. [days] -> [-]"""
    today = line.today.toordinal()
    by_calendar = np.inf if line.due.due_day is None else line.due.due_day - today
    if line.left_h is None:
        return (days_ahead >= by_calendar).astype(np.float64)
    by_hours = chance_reached_by(line.usage, line.left_h, days_ahead, u_h=line.left_sd_h)
    return np.where(days_ahead >= by_calendar, 1.0, by_hours)


def _limit_box(line: DueLine) -> LimitBox:
    due, today = line.due, line.today.toordinal()
    total, track = 0.0, []
    for day, hours, _ in line.entries:
        total += hours
        if day.toordinal() >= due.last_day:
            track.append((day.toordinal(), total))
    end = max(due.due_day or today + 365, today) + due.tolerance_days + 1
    ahead = np.linspace(0, max(end - today, 1), FAN_POINTS)
    low, middle, high = line.now_h + gain_quantiles(line.usage, ahead, (0.1, 0.5, 0.9), u_h=line.left_sd_h)
    fan = tuple(
        (today + round(float(d)), float(a), float(b), float(c))
        for d, a, b, c in zip(ahead, low, middle, high, strict=True)
    )
    return wording.labelled_box(line, tuple(track), fan)
