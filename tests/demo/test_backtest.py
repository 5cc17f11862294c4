"""Does what the forecast says come true? Two years of the demo's flying, forecast from many days in them.

The flying has a structure of its own (weeks of nothing, gamma-distributed weeks) that the forecast does not
know.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import pytest

from tickover.demo.cast import FLEET
from tickover.demo.flying import weekly_hours
from tickover.science.planning.fleet import Fleet, Flown, learn_fleet
from tickover.science.planning.usage import due_day, gain_quantiles

BEGIN = date(2023, 1, 2)
WEEKS = 104
WEEKS_AFTER = 416
SEEDS = range(8)
CUTS = range(26, WEEKS + 1, 6)
MONTH_WEEKS = {30: 4, 60: 9, 90: 13}
TASKS_H = (25.0, 100.0)


@dataclass
class Tally:
    """How often what happened lay inside, and below."""

    inside: int = 0
    below: int = 0
    all: int = 0

    def count(self, happened: float, low: float, high: float) -> None:
        self.all += 1
        self.inside += low <= happened <= high
        self.below += happened < low

    @property
    def share(self) -> float:
        return self.inside / self.all


@dataclass
class Past:
    """What was known on a day: the fleet, each engine, and what it flew afterwards, week by week."""

    fleet: Fleet
    engines: list[tuple[Flown, np.ndarray]]


def pasts() -> list[Past]:
    found = []
    for seed in SEEDS:
        rng = np.random.default_rng(seed)
        flying = [weekly_hours(rng, p.hours_a_year, BEGIN, WEEKS + WEEKS_AFTER) for p in FLEET]
        found += [past(flying, cut) for cut in CUTS]
    return found


def past(flying: list[np.ndarray], cut: int) -> Past:
    sundays = BEGIN.toordinal() + 6 + 7 * np.arange(cut)
    logs = [Flown(sundays, hours[:cut], BEGIN.toordinal() - 1) for hours in flying]
    fleet = learn_fleet(logs, int(sundays[-1]))
    return Past(fleet, [(log, hours[cut:]) for log, hours in zip(logs, flying, strict=True)])


@pytest.fixture(scope="module")
def known() -> list[Past]:
    return pasts()


@pytest.mark.parametrize("days", MONTH_WEEKS)
def test_the_80_per_cent_fan_holds_80_per_cent_of_the_hours_flown(known: list[Past], days: int) -> None:
    tally, weeks = Tally(), MONTH_WEEKS[days]
    for then in known:
        for log, after in then.engines:
            low, high = gain_quantiles(then.fleet.usage_of(log), 7.0 * weeks, (0.1, 0.9), u_h=0.0)[:, 0]
            tally.count(after[:weeks].sum(), low, high)
    assert tally.all > 2000
    assert 0.75 <= tally.share <= 0.85
    assert 0.07 <= tally.below / tally.all <= 0.14


@pytest.mark.parametrize("task_h", TASKS_H)
def test_the_80_per_cent_span_holds_80_per_cent_of_the_due_days(known: list[Past], task_h: float) -> None:
    tally = Tally()
    for then in known:
        for log, after in then.engines:
            low, _, high = due_day(then.fleet.usage_of(log), task_h, np.inf, u_h=0.0).days[:, 0, 0]
            # Chosen by the forecast alone: where the years that follow are long enough to tell.
            if high < 7 * (WEEKS_AFTER - (WEEKS - 26)):
                tally.count(_day_reached(after, task_h), low, high)
    assert tally.all > 2000
    assert 0.75 <= tally.share <= 0.85


@pytest.mark.parametrize(("least", "most"), [(0, 20), (20, 40), (40, 200)])
def test_it_holds_for_rare_and_for_busy_engines(known: list[Past], least: float, most: float) -> None:
    tally = Tally()
    for then in known:
        for part, (log, after) in zip(FLEET, then.engines, strict=True):
            if least <= part.hours_a_year < most:
                low, high = gain_quantiles(then.fleet.usage_of(log), 91.0, (0.1, 0.9), u_h=0.0)[:, 0]
                tally.count(after[:13].sum(), low, high)
    assert 0.74 <= tally.share <= 0.86


def _day_reached(after: np.ndarray, hours: float) -> float:
    """Days until so many hours; within a week they are flown evenly."""
    total = np.concatenate([[0.0], after.cumsum()])
    week = int(np.searchsorted(total, hours))
    if week == len(total):
        return float("inf")
    return 7.0 * (week - 1 + (hours - total[week - 1]) / (total[week] - total[week - 1]))
