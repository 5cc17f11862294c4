"""How many bench hours the next weeks will ask for: not a number but a distribution, with what is behind it.

Each task falls due in a week with a chance that follows from its forecast; its minutes and those of its
openings come with it. The weeks' sums are sums of independent chances, computed on a grid of minutes without
drawing random numbers.

Notes
-----
- Each task is counted once: one done in a week may fall due again within the time shown, which is left out.
- What is due already is counted in the first week.
- Openings are counted with each task; a visit that does several together asks for less.
- Tasks of one engine are taken as independent, though one busy month brings them all: the true spread is a
  little wider.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tickover.science.planning.access import opened_for
from tickover.workshop.drawings.drawing import Drawing
from tickover.workshop.programme.queries import DueLine, EngineLine, chance_due_within
from tickover.workshop.register import queries as register

Array = NDArray[np.float64]
WEEKS = 12
GRID_POINTS = 6000
"""The whole programme of one engine, minute by minute; of a fleet, in coarser steps."""
WORTH_NAMING = 0.05
SMALLEST_CHANCE = 1e-4
LOW, HIGH = 0.1, 0.9
PICTURE_WIDTH, PICTURE_HEIGHT = 240, 26
BUSIEST_DRAWN = 3.0


@dataclass(frozen=True)
class BenchDemand:
    """A task that may fall due in a week: how likely, and the minutes with its openings."""

    line: DueLine
    chance: float
    minutes: float


@dataclass(frozen=True)
class Week:
    """A week's bench hours: expected, and the span that holds 80 %."""

    first: date
    expected_h: float
    low_h: float
    high_h: float
    chance_over: float | None
    asked: tuple[BenchDemand, ...]

    @property
    def last(self) -> date:
        return self.first + timedelta(days=6 - self.first.weekday())

    @property
    def number(self) -> int:
        return self.first.isocalendar().week


@dataclass(frozen=True)
class SeasonMonth:
    """How busy the fleet is in a month, by what its own flying taught; 1 is the year's mean."""

    first: date
    busyness: float

    @property
    def picture(self) -> str:
        """The busyness as a bar, the year's mean as a dashed line."""
        foot, scale = PICTURE_HEIGHT - 4.0, (PICTURE_WIDTH - 4.0) / BUSIEST_DRAWN
        words = f"{self.busyness:.1f} times the year's mean"
        drawing = Drawing(PICTURE_WIDTH, PICTURE_HEIGHT, f"Flying in {self.first:%B}", words)
        right = 2 + scale * min(self.busyness, BUSIEST_DRAWN)
        drawing.path([(2, 5), (right, 5), (right, foot), (2, foot)], "shade", closed=True)
        drawing.line((2 + scale, 0), (2 + scale, PICTURE_HEIGHT), "dash")
        return drawing.svg()


@dataclass(frozen=True)
class Ahead:
    """The weeks ahead, and the bench hours there are in each, where they are given."""

    weeks: tuple[Week, ...]
    bench_h: float | None

    @property
    def expected_h(self) -> float:
        return sum(week.expected_h for week in self.weeks)

    @property
    def there_h(self) -> float | None:
        return None if self.bench_h is None else self.bench_h * len(self.weeks)

    @property
    def tight(self) -> tuple[Week, ...]:
        """Weeks that more likely than not ask for more than there is."""
        return tuple(w for w in self.weeks if w.chance_over is not None and w.chance_over > 0.5)

    @cached_property
    def scale_h(self) -> float:
        """The most hours the picture has to hold."""
        return max(
            [w.high_h for w in self.weeks] + [w.expected_h for w in self.weeks] + [self.bench_h or 0, 1.0]
        )

    def picture(self, week: Week) -> str:
        """The 80 % span as a band, the expected hours as a stroke, the hours there are as a dashed line."""
        foot, scale = PICTURE_HEIGHT - 4.0, (PICTURE_WIDTH - 4.0) / self.scale_h
        span = f"{week.low_h:.1f} to {week.high_h:.1f} h with 80 %, {week.expected_h:.1f} h expected"
        drawing = Drawing(PICTURE_WIDTH, PICTURE_HEIGHT, f"Bench hours of week {week.number}", span)
        low, high, middle = (2 + scale * h for h in (week.low_h, week.high_h, week.expected_h))
        drawing.line((2, foot), (PICTURE_WIDTH - 2, foot), "hair")
        drawing.path([(low, 5), (high, 5), (high, foot), (low, foot)], "shade", closed=True)
        drawing.line((middle, 2), (middle, foot), "track")
        if self.bench_h is not None:
            drawing.line((2 + scale * self.bench_h, 0), (2 + scale * self.bench_h, PICTURE_HEIGHT), "dash")
        return drawing.svg()


def season(engines: Iterable[EngineLine], today: date) -> tuple[SeasonMonth, ...]:
    """The fleet's season, month by month from this one on; nothing while none is known."""
    usage = next((line.usage for engine in engines for line in engine.lines), None)
    if usage is None or not usage.season.waves:
        return ()
    months = [
        date(today.year + (today.month - 1 + n) // 12, (today.month - 1 + n) % 12 + 1, 1) for n in range(12)
    ]
    busy = usage.season.at(np.array([month.toordinal() + 14 for month in months], dtype=np.float64))
    return tuple(SeasonMonth(month, float(level)) for month, level in zip(months, busy, strict=True))


def ahead(engines: Iterable[EngineLine], today: date, bench_h: float | None = None) -> Ahead:
    """The next twelve weeks, the first of them what is left of this one."""
    firsts = week_starts(today)
    ends = np.array([(first - today).days for first in firsts[1:]], dtype=np.float64) - 1.0
    lines = [line for engine in engines for line in engine.lines if not line.left_to_choose]
    chances = _chances(lines, ends)
    minutes = _minutes(lines)
    spread, step = sums(chances, minutes)
    weeks = []
    for n, first in enumerate(firsts[:-1]):
        grid_h = step * np.arange(spread.shape[1]) / 60.0
        reached = np.cumsum(spread[n])
        low, high = (float(grid_h[np.searchsorted(reached, q - 1e-9)]) for q in (LOW, HIGH))
        over = None if bench_h is None else float(spread[n][grid_h > bench_h].sum())
        expected = float(chances[:, n] @ minutes) / 60.0
        weeks.append(Week(first, expected, low, high, over, _asked(lines, chances[:, n], minutes)))
    return Ahead(tuple(weeks), bench_h)


def week_starts(today: date) -> list[date]:
    """Today, the Mondays that follow, and the one after the last week."""
    monday = today - timedelta(days=today.weekday())
    return [today, *(monday + timedelta(weeks=n) for n in range(1, WEEKS + 1))]


def sums(chances: Array, minutes: Array) -> tuple[Array, float]:
    """How each week's minutes are distributed: chances float[weeks, m] on a grid, and its step. [min]

    Parameters
    ----------
    chances : float[n, weeks]
        Chance that each of n tasks falls due in each week.
    minutes : float[n]
        What it asks for. [min]
    """
    step = max(1.0, float(minutes.sum()) / GRID_POINTS)
    places = np.rint(minutes / step).astype(np.int64)
    spread = np.zeros((chances.shape[1], int(places.sum()) + 1))
    spread[:, 0] = 1.0
    for chance, place in zip(chances, places, strict=True):
        if place > 0 and chance.max() >= SMALLEST_CHANCE:
            p = chance[:, None]
            moved = np.zeros_like(spread)
            moved[:, place:] = spread[:, :-place]
            spread = (1.0 - p) * spread + p * moved
    return spread, step


def _chances(lines: Sequence[DueLine], ends: Array) -> Array:
    """Chance of falling due in each week, float[n, weeks]; what is due already is in the first."""
    if not lines:
        return np.zeros((0, ends.size))
    reached = np.array([chance_due_within(line, ends) for line in lines])
    return np.diff(reached, axis=1, prepend=0.0)


def _minutes(lines: Sequence[DueLine]) -> Array:
    """Each task's minutes with those of what has to be opened for it. [min]"""
    sheets: dict[tuple[str, str], dict[str, float]] = {}
    found = []
    for line in lines:
        build = (line.engine.sheet_id, line.engine.build_id)
        if build not in sheets:
            sheet = register.build_of(line.engine)
            sheets[build] = {
                t.id: t.minutes + sum(o.minutes for o in opened_for(t.access, sheet.access))
                for t in sheet.programme
            }
        found.append(sheets[build].get(line.task.id, line.task.minutes))
    return np.array(found, dtype=np.float64)


def _asked(lines: Sequence[DueLine], chances: Array, minutes: Array) -> tuple[BenchDemand, ...]:
    """The tasks worth naming in a week, the likeliest first."""
    named = [
        BenchDemand(line, float(chance), float(m))
        for line, chance, m in zip(lines, chances, minutes, strict=True)
        if chance >= WORTH_NAMING
    ]
    return tuple(sorted(named, key=lambda a: -a.chance))
