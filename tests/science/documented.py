"""What a docstring of public science has to hold, and which functions still lack some of it. The list only shrinks."""

from __future__ import annotations

import inspect
import re
import sys
from collections.abc import Callable
from typing import Any

SECTIONS = ("Parameters", "Returns", "Raises", "References", "Examples")
"""As numpydoc names them. References may be those of the module, which answers one question from one set of sources."""

BARE_TUPLES = frozenset(
    {
        "core.calendar_days.date_of",
        "fasteners.threads.thread_mm",
        "fuel_system.metering.fit.Calibrated.computed",
        "fuel_system.metering.fit.Calibrated.fuel_l_h",
    }
)


def lacking(function: Callable[..., Any]) -> list[str]:
    """Sections that the docstring of a function does not have."""
    own, module = inspect.unwrap(function).__doc__ or "", sys.modules[function.__module__].__doc__ or ""
    return [
        name
        for name in SECTIONS
        if not has_section(own, name) and not (name == "References" and has_section(module, name))
    ]


def has_section(docstring: str, name: str) -> bool:
    return re.search(rf"^\s*{name}\n\s*-+$", docstring, re.MULTILINE) is not None


STILL_LACKING = frozenset(
    {
        "core.decimals.format_reading",
        "engine.induction_leak.engine_air_l_min",
        "engine.induction_leak.induction_leak",
        "engine.trial_runs.TrialRuns.left",
        "engine_time.from_log.from_channel",
        "engine_time.from_log.from_ground_speed",
        "engine_time.from_log.from_noise",
        "engine_time.from_log.from_track",
        "engine_time.reconciling.is_better",
        "engine_time.reconciling.meter_share",
        "engine_time.reconciling.part_before",
        "engine_time.reconciling.share",
        "engine_time.reconciling.within",
        "engine_time.reconciling.without",
        "fasteners.tightening_sequence.tightening",
        "faults.explain.effects",
        "faults.explain.effects_on",
        "faults.explain.leader_after",
        "faults.explain.sensitivities",
        "faults.explain.share_working",
        "faults.grades.network",
        "faults.learning.cause_frequencies",
        "faults.network.Evidence.of",
        "faults.next.advise",
        "faults.next.repair_minutes_after",
        "faults.posterior.posterior",
        "fuel_system.fuels.from_atoms",
        "fuel_system.fuels.with_ethanol",
        "fuel_system.metering.fit.Calibrated.fuel_l_h",
        "fuel_system.metering.fit.calibrated",
        "fuel_system.metering.flow.flow",
        "fuel_system.metering.mixture_by_lever.lowest_height_mm",
        "fuel_system.metering.mixture_by_lever.mixture_by_height_percent",
        "fuel_system.metering.mixture_by_lever.suction_for_flow_pa",
        "fuel_system.metering.lever_balance.Metering.bending_n",
        "fuel_system.metering.lever_balance.Metering.suction_pa",
        "fuel_system.metering.lever_balance.pop_off",
        "fuel_system.mixture.equivalence_ratio",
        "fuel_system.mixture.mixture_change",
        "fuel_system.mixture_advice.advise",
        "planning.access.offers",
        "planning.access.opened_for",
        "planning.access.visit_minutes",
        "planning.due.Due.state",
        "planning.due_date_cost.due_task",
        "planning.fleet.learn_fleet",
        "planning.forecast.due_days",
        "planning.schedule_solver.cheapest_days",
        "planning.schedule_solver.cost_of",
        "planning.season.learn_season",
        "planning.usage.chance_reached_by",
        "planning.usage.day_reached_quantiles",
        "planning.usage.due_day",
        "planning.usage.gain_quantiles",
        "planning.visits.plan_visits",
        "planning.workload.spread",
        "reliability.event_rates.Rate.after",
        "run_up.air.reference_figures",
        "run_up.judging.analyse",
        "run_up.judging.judge",
        "run_up.judging.with_noted",
        "run_up.measuring.degrees.possible_degrees",
        "run_up.measuring.trace.Trace.blind",
        "run_up.measuring.trace.Trace.within",
        "run_up.measuring.trace.make_trace",
        "run_up.needle_setting.cold_margin",
        "run_up.needle_setting.next_step",
        "run_up.needle_setting.span_words",
        "sound.track.track_rpm",
    }
)
