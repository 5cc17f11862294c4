"""Visits that share openings against published inputs, computed optima and another solver."""

import math
from typing import NamedTuple

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from tickover.science.planning.access import visit_minutes
from tickover.science.planning.due_date_cost import DueTask
from tickover.science.planning.schedule_solver import Item, cheapest_days
from tickover.science.planning.visits import Outlook, Visit, VisitPlan, plan_visits
from tickover.science.planning.workload import BenchWeek, spread
from tickover.science.reliability.replacement_age import period_with_repairs

TODAY = 739_001
MONDAY = TODAY - (TODAY - 1) % 7
LONG_DAYS = 1000.0


class Group(NamedTuple):
    id: str
    title: str
    minutes: float
    requires: tuple[str, ...] = ()


class Replenishment(NamedTuple):
    """Ordering several goods together: one major set-up an order, a minor one for each good in it."""

    major: float
    minor: tuple[float, ...]
    holding: tuple[float, ...]
    demand: tuple[float, ...]
    cycle: float
    cost_rate: float
    multiples: tuple[int, ...]


# Joint replenishment: an order is a visit, a major set-up what every task needs open, a minor set-up the
# opening of one good; a demand may be met early, at the cost of holding it, and never late. Inputs as
# published; best cycle, multiples and cost by enumeration of all multiples, computed beforehand with another
# library.
# - E.A. Silver, "A simple method of determining order quantities in joint replenishments under deterministic
#   demand", Management Science 22 (1976) 1351: example.
# - E.A. Silver, D.F. Pyke, R. Peterson, "Inventory Management and Production Planning and Scheduling", 3rd
#   edition (1998), page 428: example.
# - Three goods, from the instances of the library stockpyl 1.0.2 ("SCMO").
SILVER_1976 = Replenishment(
    major=10.0,
    minor=(1.87, 5.27, 7.94, 8.19, 8.87),
    holding=(0.2,) * 5,
    demand=(1736.0, 656.0, 558.0, 170.0, 142.0),
    cycle=0.24555758968719596,
    cost_rate=218.2515857,
    multiples=(1, 1, 2, 3, 3),
)
SILVER_PYKE_PETERSON_1998 = Replenishment(
    major=40.0,
    minor=(15.0,) * 4,
    holding=(0.24,) * 4,
    demand=(86_000.0, 12_500.0, 1_400.0, 3_000.0),
    cycle=0.07617340262784976,
    cost_rate=2067.6508409,
    multiples=(1, 1, 4, 3),
)
THREE_GOODS = Replenishment(
    major=600.0,
    minor=(120.0, 840.0, 300.0),
    holding=(160.0, 20.0, 50.0),
    demand=(1.0,) * 3,
    cycle=3.103164454170876,
    cost_rate=837.8544026,
    multiples=(1, 3, 1),
)


def ordered(case: Replenishment, periods: int) -> VisitPlan:
    """Orders for the demands of so many periods, a day standing for a period."""
    goods = range(len(case.minor))
    openings = [Group("order", "Order", case.major)]
    openings += [Group(f"good {n}", f"Good {n}", case.minor[n], ("order",)) for n in goods]
    demands = [
        DueTask(
            id=f"good {n} period {period}",
            title=f"Good {n}",
            minutes=0.0,
            access=(f"good {n}",),
            due_days=(TODAY + period,) * 3,
            latest_day=TODAY + period,
            interval_days=LONG_DAYS,
            worth_min=LONG_DAYS * case.holding[n] * case.demand[n] * case.cycle**2,
        )
        for n in goods
        for period in range(periods)
    ]
    return plan_visits(demands, openings, Outlook(TODAY, TODAY + periods))


@pytest.mark.parametrize("case", [SILVER_1976, SILVER_PYKE_PETERSON_1998, THREE_GOODS])
def test_joint_replenishment_is_found_by_visits_that_share_openings(case: Replenishment) -> None:
    periods = math.lcm(*case.multiples)
    plan = ordered(case, periods)
    orders = [sum(f"Good {n}" in v.minutes.openings for v in plan.visits) for n in range(len(case.minor))]
    assert plan.proven
    assert orders == [periods // multiple for multiple in case.multiples]
    within_the_period = sum(h * d * case.cycle / 2 for h, d in zip(case.holding, case.demand, strict=True))
    cost_rate = plan.total_min / (periods * case.cycle) + within_the_period
    assert cost_rate == pytest.approx(case.cost_rate, rel=1e-6)


# Grouping by penalties for moved renewals: the model of R.E. Wildeman, R. Dekker, A.C.J.M. Smit, European
# Journal of Operational Research 99 (1997) 530, on made-up inputs; the paper's own figures were not at hand.
# Expected values computed beforehand, the saving by all 15 partitions of the four.
SET_UP = 15.0
PARTS = (
    period_with_repairs(2.0, 60, 20 + SET_UP, 40),
    period_with_repairs(1.8, 85, 12 + SET_UP, 30),
    period_with_repairs(2.5, 45, 30 + SET_UP, 60),
    period_with_repairs(2.2, 100, 25 + SET_UP, 25),
)


def test_the_best_age_of_each_part_and_what_moving_it_costs() -> None:
    assert [part.at_h for part in PARTS] == pytest.approx([56.124861, 90.747986, 34.103623, 113.969944])
    rates = [float(part.cost_rate(part.at_h)) for part in PARTS]
    assert rates == pytest.approx([1.247219, 0.669436, 2.19918, 0.643444], rel=1e-6)
    later, sooner, not_moved = np.array([part.penalty([5.0, -5.0, 0.0]) for part in PARTS]).T
    assert later == pytest.approx([0.2777778, 0.0735021, 1.2381237, 0.0849316], abs=1e-6)
    assert sooner == pytest.approx([0.2777778, 0.0740443, 1.1789865, 0.0844362], abs=1e-6)
    assert not_moved == pytest.approx(0.0, abs=1e-12)


def test_the_best_grouping_of_four_renewals() -> None:
    tenths = range(300, 1250)
    things = [
        Item(
            f"part {n}",
            dict(zip(tenths, part.penalty(np.array(tenths) / 10 - part.at_h).tolist(), strict=True)),
            frozenset({"set-up"}),
        )
        for n, part in enumerate(PARTS)
    ]
    choice = cheapest_days(things, {"set-up": SET_UP})
    days = choice.days
    assert choice.proven
    assert days[0] == days[2] < days[1] == days[3]
    assert 4 * SET_UP - choice.cost == pytest.approx(24.758901, abs=2e-3)  # days in tenths


def by_highs(visits: list[Visit], open_weeks: list[BenchWeek]) -> tuple[float, float]:
    """Fewest minutes over, then least cost, with the solver HiGHS of scipy."""
    pairs = [
        (v, w)
        for v, visit in enumerate(visits)
        for w, week in enumerate(open_weeks)
        if visit.window[0] <= week.friday <= visit.window[1]
    ]
    columns, rows = len(pairs) + len(open_weeks), len(visits) + len(open_weeks)
    matrix = np.zeros((rows, columns))
    for column, (v, w) in enumerate(pairs):
        matrix[v, column] = 1.0
        matrix[len(visits) + w, column] = visits[v].total_min
    matrix[len(visits) :, len(pairs) :] = -np.eye(len(open_weeks))
    upper = np.r_[np.ones(len(visits)), [week.bench_min for week in open_weeks]]
    lower = np.r_[np.ones(len(visits)), np.full(len(open_weeks), -np.inf)]
    over = np.r_[np.zeros(len(pairs)), np.ones(len(open_weeks))]
    cost = np.r_[[visits[v].cost_min_on(open_weeks[w].friday) for v, w in pairs], np.zeros(len(open_weeks))]
    whole = np.r_[np.ones(len(pairs)), np.zeros(len(open_weeks))]
    bounds = Bounds(0.0, np.where(whole == 1, 1.0, np.inf))
    weeks = LinearConstraint(matrix, lower, upper)
    exact = {"mip_rel_gap": 0.0}
    first = milp(over, integrality=whole, bounds=bounds, constraints=[weeks], options=exact)
    keep = LinearConstraint(over, -np.inf, first.fun + 1e-6)
    second = milp(cost, integrality=whole, bounds=bounds, constraints=[weeks, keep], options=exact)
    return first.fun, second.fun


# The same integer programs by HiGHS, an independent open-source solver, through scipy.optimize.milp.
@pytest.mark.parametrize("seed", range(6))
def test_bench_weeks_by_another_solver(seed: int) -> None:
    rng = np.random.default_rng(seed)
    open_weeks = [BenchWeek(MONDAY + 7 * n, float(rng.integers(200, 500))) for n in range(8)]
    visits = []
    for n in range(14):
        day = MONDAY + int(rng.integers(7, 50))
        task = DueTask(
            id=f"task {n}",
            title=f"Task {n}",
            minutes=float(rng.integers(60, 300)),
            access=(),
            due_days=(day, day, day),
            latest_day=day + int(rng.integers(0, 15)),
            interval_days=100.0,
            worth_min=float(rng.integers(10, 300)),
        )
        visits.append(Visit(day, (task,), visit_minutes([task], ())))
    plan = spread({f"v{n:02}": visit for n, visit in enumerate(visits)}, open_weeks)
    over, cost = by_highs(visits, open_weeks)
    assert plan.proven
    assert plan.over_min == pytest.approx(over, abs=1e-3)
    assert plan.cost_min == pytest.approx(cost, abs=0.02)
