"""A good call of every public function of science, and of every public method that is asked something.

`test_nonsense_is_refused` bends each of these arguments in turn. A function without a row here fails that test.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from tests.science.faults.test_faults_network import grades
from tests.science.faults.test_faults_next import FIX_MIN, LOOKS, OPENINGS
from tests.science.good_sums import SUMS, UNBOUNDED
from tests.science.run_up.test_run_up import LIMITS, Truth
from tickover.science.engine.trial_runs import trial_runs
from tickover.science.engine_time.channels import CHANNELS
from tickover.science.engine_time.on_off_detection import Thresholds
from tickover.science.engine_time.reconciling import Source, share
from tickover.science.faults import Evidence
from tickover.science.faults.grades import network
from tickover.science.faults.next import Choices, SessionContext
from tickover.science.faults.posterior import posterior
from tickover.science.fuel_system.fuels import E5, PETROL, Premix
from tickover.science.fuel_system.metering.fit import calibrated
from tickover.science.fuel_system.metering.flow import POINTS
from tickover.science.fuel_system.metering.lever_balance import ILLUSTRATIVE
from tickover.science.fuel_system.metering.readings import MeteringReading
from tickover.science.fuel_system.mixture import mixture_change
from tickover.science.fuel_system.mixture_setting import AirOfTheDay, Setting, Venturi
from tickover.science.fuel_system.needle import Needle
from tickover.science.measurement.conformity import Rule, decide
from tickover.science.measurement.guard_bands import Normal, Span
from tickover.science.measurement.propagation import Unsure
from tickover.science.measurement.repeated_readings import repeated
from tickover.science.planning.access import visit_minutes
from tickover.science.planning.due import Interval, LastDone, next_due
from tickover.science.planning.due_date_cost import DueTask, EngineNow
from tickover.science.planning.fleet import Flown, learn_fleet
from tickover.science.planning.forecast import Rates
from tickover.science.planning.schedule_solver import Item
from tickover.science.planning.season import Season
from tickover.science.planning.usage import Usage
from tickover.science.planning.visits import Outlook, Visit
from tickover.science.planning.work_sequence.acts import Act, StepOfCard
from tickover.science.planning.work_sequence.card_states import CardEnds
from tickover.science.planning.work_sequence.merging import VisitCard, merged
from tickover.science.planning.workload import BenchWeek
from tickover.science.reliability.event_rates import Rate
from tickover.science.reliability.failure_trend import failure_trend
from tickover.science.reliability.replacement_age import age_replacement, period_with_repairs
from tickover.science.reliability.wear_trend import wear_trend
from tickover.science.reliability.weibull import weibull_life
from tickover.science.reliability.zero_failures import WeibayesScale
from tickover.science.run_up import Noted, baseline_of, judge, make_trace
from tickover.science.run_up.needle_setting import Needles
from tickover.science.sound import SoundSettings, SoundTracker

WORK_CARD = VisitCard("look", (StepOfCard("look", Act("look", 3.0)),))
TODAY = 739_000
"""A day in 2024, as an ordinal."""


@dataclass(frozen=True)
class Good:
    """A call that gives an answer: arguments by name, `of` the object for a method.

    `unbounded`: parts of the answer that may be infinite or NaN, as their docstring says. `fewer`: it takes its time,
    and is bent in fewer ways.
    """

    call: dict[str, Any]
    of: Any = None
    unbounded: frozenset[str] = frozenset()
    fewer: bool = field(default=False, kw_only=True)


def good(owner: Any = None, /, *, unbounded: str = "", fewer: bool = False, **call: Any) -> Good:
    return Good(call, owner, frozenset(unbounded.split()), fewer=fewer)


@dataclass(frozen=True)
class Task:
    id: str
    title: str
    minutes: float
    access: tuple[str, ...] = ()


TASKS = (
    Task("reeds", "Reeds", 20.0, ("carburettor-off",)),
    Task("lever", "Lever", 15.0, ("carburettor-off",)),
)
USAGE = Usage(0.1, 0.05, 200, known=20.0, season=Season((0.3, 0.1), 0.05), today=TODAY)
RATES = Rates(np.array([0.2]), np.array([0.5]), np.array([20.0]))
DUE_TASK = DueTask(
    "reeds", "Reeds", 20.0, ("carburettor-off",), (TODAY + 5, TODAY + 9, TODAY + 15), TODAY + 20, 90.0, 40.0
)
VISIT = Visit(TODAY + 5, (DUE_TASK,), visit_minutes([DUE_TASK], OPENINGS))
MONDAY = TODAY - TODAY % 7 + 1
WEEKS = (BenchWeek(MONDAY + 7, 300.0), BenchWeek(MONDAY + 14, 300.0), BenchWeek(MONDAY + 21, 300.0))
INTERVAL = Interval(25.0, 12, tolerance_h=2.5, tolerance_days=30)
DONE = LastDone(100.0, TODAY - 90, 101.0, TODAY - 88)
DUE = next_due(INTERVAL, DONE, TODAY - 400, 0.0)
T_S = np.arange(0.0, 600.0, 2.0)
NOISE = np.where((T_S > 100) & (T_S < 400), 900.0, 100.0)
LAT, LON = 47.0 + np.where(T_S < 300, 0.0, 1e-4 * (T_S - 300)), np.full(T_S.size, 8.0)
FLOWN = Flown(np.arange(TODAY - 300, TODAY, 10), np.full(30, 1.2), TODAY - 400)
FLEET = learn_fleet([FLOWN, FLOWN], TODAY)
TREND = wear_trend([10.0, 30.0, 50.0, 70.0], [0.10, 0.21, 0.29, 0.41])
LIFE = weibull_life([120.0, 150.0, 90.0, 170.0, 200.0], [120.0, 150.0, 90.0, 170.0, math.inf])
FAILURES = failure_trend([30.0, 90.0, 130.0, 150.0], 160.0)
AIR_THEN, AIR_NOW = AirOfTheDay(288.15, 101_325.0, 0.5), AirOfTheDay(303.15, 98_000.0, 0.6)
PREMIX = Premix(E5, 50.0)
SETTING = Setting(1.25, AIR_THEN, PREMIX)
NEEDLE = Needle(1.6, 10.0, 0.5)
CHANGE = mixture_change(SETTING, AIR_NOW, PREMIX)
READINGS = (
    MeteringReading("pop-off", 100_000.0, 3_000.0),
    MeteringReading("reseat", 70_000.0, 3_000.0),
    MeteringReading("fuel", 6.4, 0.2, point=POINTS[2]),
    MeteringReading("fuel", 5.9, 0.2, -0.2, point=POINTS[2]),
)
CALIBRATED = calibrated(ILLUSTRATIVE, READINGS)
NETWORK = network(grades())
NOW = posterior(NETWORK, Evidence(frozenset({"idle-races"}), frozenset({"misfires"})))
TITLES = {name: name.replace("-", " ") for name in (*NETWORK.causes, *NETWORK.findings)}
CHOICES = Choices(LOOKS, np.append(FIX_MIN, 200.0)[: len(NETWORK.causes)], OPENINGS)
RUN = Truth().run()
FINDINGS = judge(RUN, LIMITS)
BASELINE = baseline_of([RUN.figures, Truth(full=7950.0).run().figures, Truth(full=7930.0).run().figures])
TRACE = make_trace(RUN.trace.t_s, RUN.trace.rpm, cht_c=RUN.trace.cht_c)
SOUND = (0.1 * np.sin(2 * np.pi * 130.0 * np.arange(16_000) / 8_000.0)).astype(np.float32)
SOURCE = Source(0.0, 100.0, ((10.0, 40.0),), "logger")
BETTER = Source(20.0, 60.0, ((25.0, 35.0),), "engine meter")
VERDICT = decide(1.4, 1.2, 1.6, resolution=0.02, expanded_uncertainty=0.04)
LIMIT_SPAN = Span(1.2, 1.6)
SIMPLE: dict[str, Good] = {
    "measurement.guard_bands.Span.holds": good(LIMIT_SPAN, value=1.4),
    "measurement.guard_bands.Span.shrunk": good(LIMIT_SPAN, guard_band=0.05),
    "measurement.guard_bands.acceptance_limits": good(
        unbounded="low high", limits=LIMIT_SPAN, standard_uncertainty=0.02, confidence=0.95
    ),
    "measurement.guard_bands.chance_below_and_above": good(
        value=1.4, limits=LIMIT_SPAN, standard_uncertainty=0.02
    ),
    "measurement.guard_bands.global_risk": good(
        kind=Normal(1.4, 0.1), limits=LIMIT_SPAN, accepted=Span(1.25, 1.55), standard_uncertainty=0.02
    ),
    "measurement.guard_bands.guard_band": good(standard_uncertainty=0.02, confidence=0.95),
    "measurement.guard_bands.posterior": good(prior=Normal(1.4, 0.1), value=1.45, standard_uncertainty=0.02),
    "planning.bench_pace.bench_pace": good(by_card_min=[110.0, 105.0], worked_min=[110.0, 120.0]),
    "planning.access.offers": good(planned=TASKS[:1], further=TASKS[1:], access=OPENINGS),
    "planning.work_sequence.card_states.card_faults": good(
        steps=[StepOfCard("box-off", Act("box-off", 6.0, opens=("air-box-off",)))],
        requires={"air-box-off": ()},
        ends=CardEnds(left_open=("air-box-off",)),
        may_wait=False,
    ),
    "planning.work_sequence.merging.merged": good(cards=[WORK_CARD], apart=("reed-check",)),
    "planning.work_sequence.ordering.in_order": good(
        nodes=merged([WORK_CARD]), cards=[WORK_CARD], requires={"air-box-off": ()}, apart=(), done=()
    ),
    "planning.work_sequence.sequence.work_sequence": good(
        cards=[WORK_CARD], requires={"air-box-off": ()}, done=()
    ),
    "planning.work_sequence.still_so.begun": good(done=(), cards=[WORK_CARD]),
    "planning.access.opened_for": good(names=["carburettor-off"], access=OPENINGS),
    "planning.access.visit_minutes": good(tasks=TASKS, access=OPENINGS),
    "atmosphere.standard_atmosphere.altitude_of_density_m": good(density_kg_m3=1.1),
    "atmosphere.standard_atmosphere.altitude_of_pressure_m": good(pressure_pa=95e3),
    "atmosphere.standard_atmosphere.geometric_altitude_m": good(geopotential_m=500.0),
    "atmosphere.standard_atmosphere.geopotential_altitude_m": good(geometric_m=500.0),
    "atmosphere.standard_atmosphere.standard_air": good(altitude_m=500.0, geometric=False),
    "atmosphere.standard_atmosphere.standard_pressure_pa": good(altitude_m=500.0),
    "atmosphere.altitudes.density_altitude": good(temperature_k=303.15, pressure_pa=98e3, humidity=0.6),
    "atmosphere.altitudes.pressure_altitude_m": good(qnh=101e3, elevation_m=300.0),
    "atmosphere.altitudes.qfe_pa": good(qnh=101e3, elevation_m=300.0),
    "atmosphere.altitudes.qnh_pa": good(qfe=97e3, elevation_m=300.0),
    "planning.workload.spread": good(visits={"one": VISIT}, weeks=WEEKS, effort=1.0, fewer=True),
    "core.calendar_days.add_months": good(day=TODAY, months=6),
    "core.calendar_days.date_of": good(day=TODAY),
    "core.calendar_days.day_of": good(year=2026, month=5, day_of_month=3),
    "core.calendar_days.days_in_month": good(year=2026, month=5),
    "core.calendar_days.written": good(day=TODAY),
    "fuel_system.carburettor.air_fuel_ratio": good(
        venturi=(20.0, 0.85), jet=(1.0, 0.7), depression_pa=4_000.0, air=(101e3, 1.2), fuel=(745.0, 5.0)
    ),
    "fuel_system.carburettor.behind_a_filter": good(ratio=14.0, depression_pa=4_000.0, filter_drop_pa=300.0),
    "fuel_system.carburettor.jet_diameter_mm": good(
        fuel_kg_s=1e-3, discharge=0.7, depression_pa=4_000.0, density_kg_m3=745.0, head_mm=5.0
    ),
    "fuel_system.carburettor.jet_flow_kg_s": good(
        area_mm2=1.0, discharge=0.7, depression_pa=4_000.0, density_kg_m3=745.0, head_mm=5.0
    ),
    "fuel_system.carburettor.lowest_air_speed_m_s": good(head_mm=5.0, air_kg_m3=1.2, fuel_kg_m3=745.0),
    "engine_time.channels.clock": good(t_s=4_000.0),
    "planning.sequential_ordering.solve.sequential_order": good(
        costs=[[0.0, 2.0, 1.0], [-1.0, 0.0, 1.0], [-1.0, -1.0, 0.0]], effort=10, fewer=True
    ),
    "planning.schedule_solver.cheapest_days": good(
        things=(Item("a", {1: 5.0, 2: 3.0}, frozenset({"x"})), Item("b", {1: 2.0}, frozenset({"x"}))),
        prices={"x": 10.0},
        effort=1.0,
        fewer=True,
    ),
    "planning.schedule_solver.cost_of": good(
        days=(1,), things=(Item("a", {1: 5.0}, frozenset({"x"})),), prices={"x": 10.0}
    ),
    "atmosphere.dew_point.dew_point_k": good(temperature_k=293.15, humidity=0.5, pressure_pa=101e3),
    "atmosphere.dew_point.humidity_from_dew_point": good(
        temperature_k=293.15, dew_point_k=283.15, pressure_pa=101e3
    ),
    "planning.due_date_cost.DueTask.cost_min": good(DUE_TASK, day=TODAY + 3),
    "planning.due_date_cost.due_task": good(
        task=TASKS[0], interval=INTERVAL, due=DUE, engine=EngineNow(110.0, TODAY, USAGE, u_h=0.5)
    ),
    "engine_time.from_log.from_channel": good(t_s=T_S, level=NOISE, channel=CHANNELS[-1]),
    "engine_time.from_log.from_ground_speed": good(
        t_s=T_S, lat_deg=LAT, lon_deg=LON, settings=Thresholds(4.0, 1.5, 4.0, 60.0, 120.0, 0.0)
    ),
    "engine_time.from_log.from_noise": good(
        t_s=T_S, level=NOISE, settings=Thresholds(500.0, 350.0, 700.0, 30.0, 20.0, 20.0)
    ),
    "engine_time.from_log.from_track": good(t_s=T_S, lat_deg=LAT, lon_deg=LON, extensions={"ENL": NOISE}),
    "reliability.failure_trend.FailureTrend.shape_between": good(FAILURES, confidence=0.95),
    "reliability.failure_trend.failure_trend": good(at_h=[30.0, 90.0, 130.0, 150.0], end_h=160.0),
    "faults.conflict.by_itself": good(now=NOW),
    "faults.conflict.conflict": good(now=NOW),
    "faults.explain.effects": good(now=NOW, suspect=NETWORK.causes[0]),
    "faults.explain.effects_on": good(now=NOW, suspects=NETWORK.causes[:2]),
    "faults.explain.leader_after": good(now=NOW, finding="egt-high", seen=True),
    "faults.explain.share_working": good(now=NOW, suspect=NETWORK.causes[0], titles=TITLES),
    "faults.explain.sensitivities": good(now=NOW, open_findings=("egt-high", "case-loses")),
    "faults.grades.network": good(grades=grades(), mean_causes=1.15, not_listed=0.05, most=2),
    "faults.learning.cause_frequencies": good(
        weights={"a": 3.0, "b": 1.0}, counts={"a": 2}, worth=50.0, level=0.9
    ),
    "faults.network.Evidence.of": good(Evidence, findings={"a": True, "b": None}),
    "faults.network.Evidence.without": good(Evidence(frozenset({"a", "b"})), finding="a"),
    "faults.network.Network.cause": good(NETWORK, name=NETWORK.causes[1]),
    "faults.network.Network.finding": good(NETWORK, name="egt-high"),
    "faults.network.Network.row": good(NETWORK, name=NETWORK.causes[1]),
    "faults.network.Network.with_odds": good(NETWORK, multipliers={NETWORK.causes[0]: 2.0}),
    "faults.network.noisy_or": good(
        priors={"a": 0.1, "b": 0.2}, links={"a": {"f": 0.9}, "b": {"f": 0.4}}, leaks=0.01, least=0, most=2
    ),
    "faults.next.advise": good(
        unbounded="saves_min", now=NOW, choices=CHOICES, bench=SessionContext(frozenset({"filter-box-off"}))
    ),
    "faults.next.repair_minutes_after": good(now=NOW, columns=[0, 1], minutes=CHOICES.repair_min),
    "faults.posterior.Posterior.chance": good(NOW, finding="egt-high"),
    "faults.posterior.Posterior.joint_with_seen": good(NOW, name=NETWORK.causes[0]),
    "faults.posterior.Posterior.several": good(NOW, least_share=0.01),
    "faults.posterior.Posterior.share": good(NOW, name=NETWORK.causes[0]),
    "faults.posterior.posterior": good(network=NETWORK, evidence={"idle-races": True, "misfires": None}),
    "faults.repair.repair_order": good(shares=[0.5, 0.3, 0.2], minutes=[60.0, 20.0, 10.0]),
    "reliability.event_rates.Rate.after": good(Rate(2.0, 100.0), events=1.0, hours=30.0),
    "reliability.event_rates.Rate.between_per_h": good(Rate(2.0, 100.0), confidence=0.9),
    "reliability.event_rates.Rate.chance_of": good(Rate(2.0, 100.0), events=1.0, hours=30.0),
    "reliability.event_rates.clopper_pearson_interval": good(count=2.0, of=30.0, confidence=0.95),
    "reliability.event_rates.wilson_interval": good(count=2.0, of=30.0, confidence=0.95),
    "planning.fleet.Fleet.usage_of": good(FLEET, flown=FLOWN),
    "planning.fleet.Flown.blocks": good(FLOWN, today=TODAY),
    "planning.fleet.Flown.days_seen": good(FLOWN, today=TODAY),
    "planning.fleet.Flown.hours_seen": good(FLOWN, today=TODAY),
    "planning.fleet.learn_fleet": good(engines=(FLOWN, FLOWN), today=TODAY),
    "planning.forecast.Rates.of": good(RATES, engine=np.array([0, 0])),
    "planning.forecast.due_days": good(
        rates=RATES, hours_left=[[10.0]], calendar_days_left=[[90.0]], u_h=0.5, today=TODAY,
        season=Season((0.3, 0.1), 0.05), q=(0.1, 0.5, 0.9),
        unbounded="days",
    ),
    "fuel_system.fuels.Fuel.density_kg_m3": good(PETROL, temperature_k=293.15),
    "fuel_system.fuels.Premix.density_kg_m3": good(PREMIX, temperature_k=293.15),
    "fuel_system.fuels.Premix.fuel_share": good(PREMIX, temperature_k=293.15),
    "fuel_system.fuels.Premix.strength": good(PREMIX, temperature_k=293.15),
    "fuel_system.fuels.from_atoms": good(name="petrol", atoms=(1.0, 1.87, 0.0), density_15_c_kg_m3=745.0),
    "fuel_system.fuels.stoichiometric_air": good(carbon=0.864, hydrogen=0.136, oxygen=0.0),
    "fuel_system.fuels.with_ethanol": good(petrol=PETROL, share=0.1, name="petrol with 10 % ethanol"),
    "measurement.gauge_study.by_ranges": good(readings=np.arange(12.0).reshape(3, 2, 2) ** 1.1),
    "measurement.gauge_study.gauge_study": good(readings=np.arange(12.0).reshape(3, 2, 2) ** 1.1),
    "reliability.weibull.Life.failed_by": good(LIFE, hours=100.0),
    "reliability.weibull.Life.hours_until": good(LIFE, share=0.1, confidence=0.95),
    "reliability.weibull.Life.scale_between_h": good(LIFE, confidence=0.95, fewer=True),
    "reliability.weibull.Life.shape_between": good(LIFE, confidence=0.95, fewer=True, unbounded="answer"),
    "reliability.weibull.Life.shape_by_curvature": good(LIFE, confidence=0.95),
    "reliability.weibull.weibull_life": good(
        lower_h=[120.0, 150.0, 90.0, 170.0, 200.0], upper_h=[120.0, 150.0, 90.0, 170.0, math.inf],
        count=[1.0, 1.0, 1.0, 1.0, 2.0], unbounded="upper_h", fewer=True,
    ),
    "planning.due.Due.bites": good(DUE, now_h=110.0, today=TODAY, rate_h_per_day=0.1),
    "planning.life_left.share_left": good(due=DUE, now_h=110.0, today=TODAY, unbounded="answer"),
    "planning.due.Due.days_left": good(DUE, now_h=110.0, today=TODAY, rate_h_per_day=0.1, unbounded="answer"),
    "planning.due.Due.state": good(DUE, now_h=110.0, today=TODAY, soon_fraction=0.1, soon_days=30),
    "planning.due.next_due": good(interval=INTERVAL, done=DONE, in_service_day=TODAY - 400, in_service_h=0.0),
    "planning.due.first_again": good(
        interval=Interval(25.0, None, first_after_h=2.0), due=DUE, done=DONE, begun=LastDone(DONE.at_h, TODAY)
    ),
    "fuel_system.metering.lever_balance.Metering.bending_n": good(ILLUSTRATIVE, bend_mm=0.2, temperature_k=293.15),
    "fuel_system.metering.lever_balance.Metering.floods_at_rest": good(ILLUSTRATIVE, height_mm=0.1),
    "fuel_system.metering.lever_balance.Metering.greatest_lift_mm": good(ILLUSTRATIVE, height_mm=0.1),
    "fuel_system.metering.lever_balance.Metering.opening_mm2": good(ILLUSTRATIVE, lift_mm=0.1),
    "fuel_system.metering.lever_balance.Metering.suction_pa": good(
        ILLUSTRATIVE, lift_mm=0.1, height_mm=0.1, temperature_k=293.15
    ),
    "fuel_system.metering.lever_balance.pop_off": good(system=ILLUSTRATIVE, height_mm=0.1, method="cover on"),
    "fuel_system.metering.fit.Calibrated.computed": good(
        CALIBRATED, figures=lambda system, jet: np.array([system.spring_n, jet]), fewer=True
    ),
    "fuel_system.metering.fit.Calibrated.fuel_l_h": good(
        CALIBRATED, point=POINTS[2], height_mm=-0.1, fewer=True
    ),
    "fuel_system.metering.fit.calibrated": good(
        start=ILLUSTRATIVE, readings=READINGS, unknown=("spring_n", "jet"), by="own readings", fewer=True
    ),
    "fuel_system.metering.flow.flow": good(
        system=ILLUSTRATIVE, point=POINTS[2], height_mm=0.1, temperature_k=293.15, premix=PREMIX
    ),
    "fuel_system.metering.mixture_by_lever.lowest_height_mm": good(
        system=ILLUSTRATIVE, point=POINTS[2], loss=0.02, fewer=True
    ),
    "fuel_system.metering.mixture_by_lever.mixture_by_height_percent": good(
        system=ILLUSTRATIVE, height_mm=0.1, temperature_k=293.15, points=POINTS
    ),
    "fuel_system.metering.mixture_by_lever.suction_for_flow_pa": good(
        system=ILLUSTRATIVE, fuel_l_h=4.0, height_mm=0.1, temperature_k=293.15, premix=PREMIX
    ),
    "fuel_system.mixture.equivalence_ratio": good(
        then=SETTING, premix=PREMIX, temperature_k=303.15, pressure_pa=98e3, humidity=0.6
    ),
    "fuel_system.mixture.mixture_change": good(
        unbounded="ratio", then=SETTING, air=AIR_NOW, premix=PREMIX, venturi=Venturi()
    ),
    "fuel_system.mixture_advice.advise": good(change=CHANGE, needle=NEEDLE),
    "atmosphere.moist_air.moist_air": good(temperature_k=303.15, pressure_pa=98e3, humidity=0.6, co2=4e-4),
    "atmosphere.moist_air.moist_density_kg_m3": good(
        temperature_k=303.15, pressure_pa=98e3, humidity=0.6, co2=4e-4
    ),
    "atmosphere.moist_air.saturation_pressure_pa": good(temperature_k=303.15),
    "atmosphere.moist_air.vapour_fraction": good(temperature_k=303.15, pressure_pa=98e3, humidity=0.6),
    "fuel_system.needle.Needle.area_mm2": good(NEEDLE, turns=1.25),
    "fuel_system.needle.Needle.needle_area_mm2": good(NEEDLE, turns=1.25),
    "fuel_system.needle.Needle.turns_for_area": good(NEEDLE, area_mm2=0.3),
    "fuel_system.needle.cone_area_mm2": good(lift_mm=0.5, seat_mm=1.6, half_angle_deg=10.0),
    "measurement.outliers.critical": good(n=10, number=1, alpha=0.01),
    "measurement.outliers.outlying": good(values=[1.0, 1.1, 0.9, 1.05, 5.0], most=1, alpha=0.05),
    "measurement.propagation.propagate": good(
        function=lambda given: 2.0 * given["a"], inputs={"a": Unsure(1.0, 0.1)}
    ),
    "measurement.conformity.decide": good(
        unbounded="low high",
        value=1.4, lower=1.2, upper=1.6, resolution=0.02, expanded_uncertainty=0.04, coverage_factor=2.0,
        resolution_included=False, rule=Rule.GUARDED, confidence=0.95,
    ),
    "engine_time.reconciling.CountedTime.u_h": good(share(SOURCE, [BETTER]), u_whole_h=0.1),
    "engine_time.reconciling.is_better": good(grade="logger", other="estimate"),
    "engine_time.reconciling.joined": good(spans=((0.0, 2.0), (1.0, 3.0))),
    "engine_time.reconciling.length_s": good(spans=((0.0, 2.0), (5.0, 6.0))),
    "engine_time.reconciling.meter_share": good(difference_h=3.0, counted_h=2.5),
    "engine_time.reconciling.part_before": good(
        start_s=0.0, end_s=100.0, runs=((10.0, 40.0),), moment_s=30.0
    ),
    "engine_time.reconciling.share": good(source=SOURCE, others=[BETTER]),
    "engine_time.reconciling.within": good(spans=((0.0, 2.0), (5.0, 6.0)), start_s=1.0, end_s=5.5),
    "engine_time.reconciling.without": good(spans=((0.0, 2.0), (5.0, 6.0)), taken=((1.0, 1.5),)),
    "reliability.renewals.age_cost_rate": good(
        failed_by=lambda age: -np.expm1(-((age / 100.0) ** 2)), age_h=60.0, planned=1.0, failed=8.0
    ),
    "reliability.renewals.renewals": good(
        failed_by=lambda age: -np.expm1(-((age / 100.0) ** 2)), hours=150.0, fewer=True
    ),
    "measurement.repeated_readings.Repeated.agree": good(repeated([1.4, 1.42, 1.41]), spread_max=0.03),
    "measurement.repeated_readings.repeated": good(readings=[1.4, 1.42, 1.41], take="median"),
    "reliability.replacement_age.AgeReplacement.cost_rate": good(
        age_replacement(2.5, 100.0, 1.0, 8.0), age_h=60.0
    ),
    "reliability.replacement_age.PeriodWithRepairs.cost_rate": good(
        period_with_repairs(2.5, 100.0, 1.0, 0.5), period_h=60.0
    ),
    "reliability.replacement_age.PeriodWithRepairs.penalty": good(
        period_with_repairs(2.5, 100.0, 1.0, 0.5), moved_h=10.0
    ),
    "reliability.replacement_age.age_replacement": good(shape=2.5, scale_h=100.0, planned=1.0, failed=8.0),
    "reliability.replacement_age.period_with_repairs": good(
        shape=2.5, scale_h=100.0, planned=1.0, repair=0.5
    ),
    "run_up.air.reference_figures": good(
        figures={"cht-full": 185.0}, noted=Noted(293.15, 99e3, 0.5, 30.0)
    ),
    "run_up.baseline.Baseline.interval": good(BASELINE["static-rpm-20"], standard_uncertainty=5.0),
    "run_up.baseline.baseline_of": good(runs=({"a": 1.0, "b": None}, {"a": 1.2}), unbounded="sd"),
    "run_up.measuring.degrees.possible_degrees": good(
        unbounded="answer", name="CHT", degrees=np.full(20, 180.0), probe="CHT 1"
    ),
    "run_up.signs.signs": good(findings=FINDINGS),
    "run_up.judging.RunUpJudgement.measure": good(RUN, id="idle-rpm"),
    "run_up.judging.analyse": good(trace=TRACE, usual_full_rpm=8_000.0, fewer=True),
    "run_up.judging.answer": good(findings=FINDINGS),
    "run_up.judging.judge": good(run=RUN, limits=LIMITS, baseline=BASELINE),
    "run_up.judging.why_not_accepted": good(findings=FINDINGS),
    "run_up.judging.with_noted": good(run=RUN, noted=Noted(293.15, 99e3, 0.5, 30.0)),
    "run_up.measuring.trace.Trace.blind": good(TRACE, start_s=5.0, end_s=9.0),
    "run_up.measuring.trace.Trace.u_at": good(TRACE, moments_s=5.0),
    "run_up.measuring.trace.Trace.within": good(TRACE, start_s=5.0, end_s=9.0),
    "run_up.measuring.trace.make_trace": good(
        t_s=T_S, rpm=np.full(T_S.size, 2_000.0), cht_c=np.full(T_S.size, 120.0), egt_c=np.full(T_S.size, 500.0),
        four_stroking=np.zeros(T_S.size), confidence=np.ones(T_S.size), blur_s=0.1, vibration=np.ones(T_S.size),
        unbounded="rpm cht_c egt_c four_stroking vibration",
    ),
    "planning.season.Season.at": good(Season((0.3, 0.1)), day=TODAY),
    "planning.season.Season.days_until": good(
        Season((0.3, 0.1)), day=TODAY, season_days=30.0, unbounded="answer"
    ),
    "planning.season.Season.elapsed": good(Season((0.3, 0.1)), day=TODAY, days=30.0),
    "planning.season.learn_season": good(
        day=np.arange(TODAY - 700.0, TODAY, 14.0), hours=np.full(50, 2.0), even_hours=np.full(50, 2.0), waves=4
    ),
    "core.decimals.format_reading": good(value=1.405, step=0.02, lower=1.2, upper=1.6),
    "sound.track.SoundTracker.feed": good(SoundTracker(8_000.0), block=SOUND[:4_000]),
    "sound.track.track_rpm": good(
        samples=SOUND, rate_hz=8_000.0, settings=SoundSettings(2.6, 2), fewer=True,
        unbounded="rpm four_stroking four_stroking_share",
    ),
    "reliability.stock.newsvendor_stock": good(demand=2.0, holding=1.0, shortage=10.0),
    "reliability.stock.lead_time_sd": good(rate=2.0, rate_sd=0.5, lead=3.0, lead_sd=1.0),
    "reliability.stock.economic_order_quantity": good(rate=2.0, ordering=10.0, holding=1.0),
    "reliability.stock.reorder_point": good(rate=2.0, rate_sd=0.5, lead=3.0, service=0.95, lead_sd=1.0),
    "reliability.stock.expected_backorders": good(demand=2.0, stock=3.0),
    "reliability.stock.stock_cost": good(demand=2.0, stock=3.0, holding=1.0, shortage=10.0),
    "reliability.stock.base_stock_for_service": good(demand=2.0, service=0.95),
    "reliability.kaplan_meier.turnbull": good(
        lower_h=[0.0, 50.0, 50.0], upper_h=[50.0, 100.0, math.inf], count=[1.0, 1.0, 2.0]
    ),
    "reliability.kaplan_meier.kaplan_meier": good(
        age_h=[50.0, 80.0, 90.0], failed=[1, 0, 1], count=[1.0, 1.0, 2.0]
    ),
    "fasteners.tightening_sequence.tightening": good(count=6, torque_nm=9.0, pattern="x", passes=(0.5, 1.0)),
    "fasteners.tightening_sequence.tightening_order": good(count=6, pattern="x"),
    "fasteners.set_torque.largest_setting": good(never_above=10.0, deviation=0.04, step=0.5),
    "fasteners.set_torque.permissible_deviation": good(tool_class="II A", largest_nm=20.0),
    "fasteners.set_torque.torque_given": good(setting=9.0, deviation=0.04),
    "engine.trial_runs.TrialRuns.left": good(
        trial_runs([5.0, 7.0], [30.0, 90.0], [0.0, 10.0], [0.0, 0.0], standard_uncertainty=0.0), mass_g=5.0, at_deg=40.0
    ),
    "run_up.needle_setting.Needles.moved": good(Needles(1.0, 1.25), other=Needles(1.0, 1.5)),
    "run_up.needle_setting.cold_margin": good(
        unbounded="ratio", turns=1.25, then=AIR_THEN, setting=SETTING, coldest_k=268.15
    ),
    "run_up.needle_setting.eighths": good(turns=1.25),
    "run_up.needle_setting.span_words": good(fewest=0.5, most=2.0),
    "run_up.needle_setting.next_step": good(
        now=Needles(1.0, 1.25), run=RUN, findings=FINDINGS, run_at=Needles(1.0, 1.25), spans={"low": (0.5, 2.0)},
        warm_c=100.0,
    ),
    "reliability.zero_failures.parts_to_show": good(reliability=0.9, confidence=0.95),
    "reliability.zero_failures.WeibayesScale.hours_until": good(WeibayesScale(300.0, 200.0, 3.0, 0.95), share=0.1),
    "reliability.zero_failures.weibayes_scale": good(
        lived_h=[50.0, 80.0], failures=1.0, shape=2.0, confidence=0.95, unbounded="answer"
    ),
    "planning.usage.chance_reached_by": good(usage=USAGE, hours_left=10.0, days_ahead=60.0, u_h=0.5),
    "planning.usage.day_reached_quantiles": good(
        usage=USAGE, hours_left=10.0, q=(0.1, 0.5, 0.9), u_h=0.5, unbounded="answer"
    ),
    "planning.usage.due_day": good(
        usage=USAGE, hours_left=[10.0], calendar_days_left=[90.0], q=(0.1, 0.9), u_h=0.5, unbounded="days"
    ),
    "planning.usage.gain_quantiles": good(usage=USAGE, days_ahead=60.0, q=(0.1, 0.5, 0.9), u_h=0.5),
    "planning.usage.rates_of": good(unbounded="known", usages=(USAGE,)),
    "fuel_system.venturi.expansion_factor": good(throat_ratio=0.95),
    "fuel_system.venturi.throat_depression_pa": good(
        air_kg_s=0.01, throat_mm=20.0, discharge=0.85, pressure_pa=101e3, density_kg_m3=1.2
    ),
    "fuel_system.venturi.throat_mm": good(
        air_kg_s=0.01, discharge=0.85, depression_pa=4_000.0, pressure_pa=101e3, density_kg_m3=1.2
    ),
    "fuel_system.venturi.venturi_flow_kg_s": good(
        throat_mm=20.0, discharge=0.85, depression_pa=4_000.0, pressure_pa=101e3, density_kg_m3=1.2
    ),
    "measurement.verdict.percent": good(chance=0.93),
    "measurement.verdict.sentence": good(
        verdict=VERDICT, unit="mm", low_means="runs lean", high_means="runs rich"
    ),
    "planning.visits.Visit.cost_min_on": good(VISIT, day=TODAY + 3),
    "planning.visits.plan_visits": good(
        tasks=(DUE_TASK,), access=OPENINGS, outlook=Outlook(TODAY, TODAY + 90, 30.0, 1.0), fewer=True
    ),
    "reliability.wear_trend.Trend.reaches": good(TREND, limit=0.6, confidence=0.95),
    "reliability.wear_trend.Trend.reading_between": good(TREND, hours=80.0, confidence=0.95),
    "reliability.wear_trend.Trend.slope_between": good(TREND, confidence=0.95),
    "reliability.wear_trend.first_reached_h": good(
        hours=[10.0, 30.0, 50.0], readings=[0.1, 0.2, 0.3], limit=0.25
    ),
    "reliability.wear_trend.reached_from_new_h": good(
        hours=[10.0, 30.0, 50.0], worn=[0.1, 0.2, 0.3], limit=0.6
    ),
    "reliability.wear_trend.wear_trend": good(
        hours=[10.0, 30.0, 50.0, 70.0], readings=[0.1, 0.21, 0.29, 0.41]
    ),
}  # fmt: skip
GOOD = {n: Good(call, None, UNBOUNDED.get(n, frozenset())) for n, call in SUMS.items()} | SIMPLE
