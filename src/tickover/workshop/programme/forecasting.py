"""Where each engine stands, and where its tasks are heading: all of them forecast in one call."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from tickover.science.planning.due import Due
from tickover.science.planning.fleet import Fleet, Flown
from tickover.science.planning.forecast import due_days
from tickover.science.planning.usage import Usage, rates_of
from tickover.sheets import TaskRow, TypeSheet
from tickover.workshop.programme.decisions import Unknown
from tickover.workshop.register.models import Engine

FAR_DAYS = 36500.0
DayHours = tuple[date, float, float]


@dataclass(frozen=True)
class DueForecast:
    """Where the engine is heading: dates by which the task is due with 10, 50 and 90 % probability."""

    day_10: date
    day_50: date
    day_90: date
    chance_by_hours: float


@dataclass(frozen=True)
class EngineUse:
    """Where one engine stands: what it has run, how it is used, and the limits of its tasks."""

    engine: Engine
    sheet: TypeSheet
    entries: tuple[DayHours, ...]
    usage: Usage
    limits: tuple[tuple[TaskRow, Due], ...]
    unknown: Unknown | None
    not_known: frozenset[str] = frozenset()
    """Tasks of which the last time is not known."""

    @property
    def now_h(self) -> float:
        return sum(hours for _, hours, _ in self.entries)


def sd_since(entries: Sequence[DayHours], day: int, last_h: float = 0.0) -> float:
    """Error of what was run after a day on which the engine had `last_h`: what was before is on both sides. [h]

    Hours that came with an engine are one entry of a later day. Of an entry cut in two by `last_h`, so is its variance.
    """
    variance_h2, before_h = 0.0, 0.0
    for d, hours_h, sd_h in entries:
        after_h = before_h + hours_h
        if d.toordinal() > day:
            cut = before_h < last_h and hours_h > 0.0
            part = min(1.0, max(0.0, (after_h - last_h) / hours_h)) if cut else 1.0
            variance_h2 += part * sd_h**2
        before_h = after_h
    return math.sqrt(variance_h2)


def flown(entries: Sequence[DayHours], in_service_on: date) -> Flown:
    """An engine's use; what it had run before it came into the register is none."""
    return Flown(
        np.array([d.toordinal() for d, _, _ in entries], dtype=np.int64),
        np.array([h for _, h, _ in entries], dtype=np.float64),
        in_service_on.toordinal(),
    )


def forecast_due_dates(engines: Sequence[EngineUse], fleet: Fleet, today: date) -> list[DueForecast]:
    """Where every task of every engine is heading, in one call."""
    now = today.toordinal()
    rows = [
        (
            n,
            math.inf if due.due_h is None else due.due_h - s.now_h,
            math.inf if due.due_day is None else float(due.due_day - now),
            sd_since(s.entries, due.last_day, due.last_h),
        )
        for n, s in enumerate(engines)
        for _, due in s.limits
    ]
    engine, left_h, calendar, sd_h = np.array(rows, dtype=np.float64).reshape(-1, 4).T[:, :, None]
    rates = rates_of(tuple(s.usage for s in engines)).of(engine[:, 0].astype(np.int64))
    found = due_days(rates, left_h, calendar, sd_h, now, fleet.season)
    days = np.minimum(found.days[:, :, 0], FAR_DAYS).astype(np.int64)
    return [
        DueForecast(day_10, day_50, day_90, float(chance))
        for (day_10, day_50, day_90), chance in zip(
            ((today + timedelta(days=int(d)) for d in three) for three in days.T),
            found.chance_by_hours[:, 0],
            strict=True,
        )
    ]
