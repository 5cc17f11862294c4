"""Plan a year of visits for one engine, and spread a fleet's visits over bench weeks."""

from __future__ import annotations

import time
from typing import NamedTuple

import numpy as np

from tickover.science.planning.access import visit_minutes
from tickover.science.planning.due_date_cost import DueTask
from tickover.science.planning.visits import Outlook, Visit, plan_visits
from tickover.science.planning.workload import BenchWeek, spread

TODAY = 739_001
MONDAY = TODAY - (TODAY - 1) % 7


class Group(NamedTuple):
    """An opening with made-up minutes."""

    id: str
    title: str
    minutes: float
    requires: tuple[str, ...] = ()


OPENINGS = (
    Group("air-box", "Air box off", 6),
    Group("carburettor", "Carburettor off", 18, ("air-box",)),
    Group("reeds", "Reed block out", 10, ("carburettor",)),
    Group("plug", "Plug out", 3),
    Group("exhaust", "Exhaust off", 15),
    Group("shroud", "Cooling shroud off", 8),
    Group("head", "Cylinder head off", 15, ("shroud",)),
    Group("propeller", "Propeller off", 20),
    Group("belt", "Belt cover off", 10, ("propeller",)),
    Group("recoil", "Recoil cover off", 10),
    Group("tank", "Tank out", 12),
)


def programme(rng: np.random.Generator, tasks: int) -> list[DueTask]:
    """Tasks with a fan of due days, a tolerance and one opening each."""
    return [_task(rng, n) for n in range(tasks)]


def _task(rng: np.random.Generator, n: int) -> DueTask:
    interval = float(rng.choice([90.0, 180.0, 365.0, 730.0]))
    first = TODAY + int(rng.integers(0, interval))
    early, late = sorted(int(days) for days in rng.integers(0, 1 + int(interval / 10), 2))
    return DueTask(
        id=f"task-{n:02}",
        title=f"Task {n}",
        minutes=float(rng.integers(5, 60)),
        access=(OPENINGS[int(rng.integers(len(OPENINGS)))].id,),
        due_days=(first, first + early, first + late),
        latest_day=first + int(rng.integers(0, 1 + int(interval / 12))),
        interval_days=interval,
        worth_min=float(rng.integers(10, 200)),
    )


def fleet(rng: np.random.Generator, visits: int, weeks: int) -> dict[str, Visit]:
    """Visits of one task each, due all over the weeks."""
    found = {}
    for n in range(visits):
        due = MONDAY + int(rng.integers(7, 7 * weeks))
        minutes = float(rng.integers(60, 400))
        task = DueTask(f"task-{n}", f"Task {n}", minutes, (), (due,) * 3, due + 14, 180.0, minutes)
        found[f"visit-{n:03}"] = Visit(due, (task,), visit_minutes([task], ()))
    return found


def main() -> None:
    """Print times, whether proven, and what sharing saves."""
    for tasks in (10, 20, 30, 50):
        drawn = programme(np.random.default_rng(tasks), tasks)
        begin = time.perf_counter()
        plan = plan_visits(drawn, OPENINGS, Outlook(TODAY, TODAY + 365, visit_min=20.0))
        times = sum(len(visit.tasks) for visit in plan.visits)
        print(
            f"{tasks:3} tasks, {times:3} times in a year: {time.perf_counter() - begin:6.2f} s, "
            f"{len(plan.visits):2} visits, gap {plan.gap:.2%}, "
            f"{1 - plan.total_min / plan.separate_min:.0%} less than each by itself"
        )
    for visits, weeks in ((40, 12), (100, 26), (200, 52)):
        booked = fleet(np.random.default_rng(visits), visits, weeks)
        bench_min = 1.05 * sum(visit.total_min for visit in booked.values()) / weeks
        begin = time.perf_counter()
        spreading = spread(booked, [BenchWeek(MONDAY + 7 * n, bench_min) for n in range(weeks)])
        print(
            f"{visits:3} visits in {weeks} weeks: {time.perf_counter() - begin:6.2f} s, "
            f"{spreading.over_min:.0f} min over (at least {spreading.least_over_min:.0f}), "
            f"cost {spreading.cost_min:.1f} min, at least {spreading.bound_min:.1f}"
        )


if __name__ == "__main__":
    main()
