"""Is there anything on the run for which the throttle has to be closed at once?

A hot cylinder, a speed that climbs at full throttle (the mixture leans out), a sudden step of the speed or of the
vibration there (something slipped, broke or seized for a moment). Figures here are common practice, no source, and
count only where the type sheet has none: a figure of the sheet replaces them, whether it is lower or higher.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from tickover.science.run_up.findings import Against, RunUpFinding, Severity
from tickover.science.run_up.measuring.measures import Measure
from tickover.science.run_up.measuring.phases import FULL, Phase
from tickover.science.run_up.measuring.steps import largest_step
from tickover.science.run_up.measuring.trace import Floats, Trace
from tickover.science.run_up.over_speed import over_speed
from tickover.science.run_up.words import CLIMB_SHARE

__all__ = ["dangers"]


STOP_C = {"cht": 250.0, "egt": 680.0}
"""From memory; for a type whose sheet has no figure."""
USUAL_RPM = 7_000.0
"""For a run whose static speed could not be measured, of a type whose sheet has none: common practice, no source."""
SURE = 1.645
"""Standard uncertainties on one side that leave 5 % beyond them. JCGM 106:2012, table 1."""
U_C = {"cht": 3.0, "egt": 6.0}
"""Standard uncertainty of a plug-washer probe and of an exhaust probe where the sheet says none: from memory."""
PLACE = {"cht": "cylinder head", "egt": "exhaust"}
STEP_SHARE = 0.04
STEP_SIGMAS = 8.0
SHAKE_RATIO = 1.5


def dangers(
    trace: Trace, phases: tuple[Phase, ...], measures: Mapping[str, Measure], limits: Mapping[str, Against]
) -> tuple[RunUpFinding, ...]:
    """Everything that says stop, hottest first; `limits` are the type's by their ids: cht, egt, static-rpm."""
    full = [phase for phase in phases if phase.name == FULL]
    speed = limits.get("static-rpm")
    found = (
        _hot(trace, trace.cht_c, "cht", limits.get("cht")),
        _hot(trace, trace.egt_c, "egt", limits.get("egt")),
        over_speed(trace, speed),
        _climb(measures, speed),
        *(_step(trace, phase) for phase in full),
        *(_shakes(trace, phase) for phase in full),
    )
    return tuple(danger for danger in found if danger)


def _hot(trace: Trace, degrees: Floats | None, name: str, limit: Against | None) -> RunUpFinding | None:
    """At or over the stop temperature as read: what is uncertain counts against the engine."""
    if degrees is None:
        return None
    stop_c, rests_on = _stop_temperature(name, limit)
    over = np.flatnonzero(degrees >= stop_c)
    if not over.size:
        return None
    u_c = limit.standard_uncertainty if limit else U_C[name]
    return RunUpFinding(
        f"{name}-stop",
        Severity.DANGER,
        f"The {PLACE[name]} reached {np.nanmax(degrees):.0f} °C.",
        f"Stop at {stop_c:.0f} °C ({rests_on}).",
        f"As read, and the probe may be wrong by {2 * u_c:.0f} °C: on either side it is too hot.",
        "Stop. Close the throttle, let it idle down and stop it. Do not run it again before the cause is found: "
        "lean mixture, air leak, cooling, ignition. Check the piston through the exhaust.",
        float(trace.t_s[over[0]]),
        float(trace.t_s[over[-1]]),
    )


def _stop_temperature(name: str, limit: Against | None) -> tuple[float, str]:
    """Where it stops [°C], and what that rests on: what the sheet never allows, else its highest, else ours."""
    if limit is not None and limit.never_above is not None:
        return limit.never_above, f"the type’s stop temperature, {limit.authority}"
    if limit is not None and limit.upper is not None:
        return limit.upper, f"the type’s limit, {limit.authority}"
    return STOP_C[name], "from memory; the type sheet has no figure"


def _climb(measures: Mapping[str, Measure], limit: Against | None) -> RunUpFinding | None:
    change, static = measures["static-change"], measures["static-rpm-20"]
    if change.value is None:
        return None
    usual = CLIMB_SHARE * (static.value or (limit and limit.lower) or USUAL_RPM)
    if change.value - SURE * change.standard_uncertainty <= usual:
        return None
    return RunUpFinding(
        "climbs-at-full",
        Severity.DANGER,
        f"At full throttle the speed climbs by {change.value:.0f} rpm in a minute.",
        f"Level, or a little sag as it warms: at most {usual:.0f} rpm of climb (1 %, common practice, no source).",
        f"± {2 * change.standard_uncertainty:.0f} rpm by the scatter of the run; over 95 % sure that it climbs by "
        "more.",
        "Stop: this is how a mixture leans out before a seizure. Do not close a needle. Check for an air leak "
        "and poor fuel supply (filter, pick-up, pump and its pulse) before the next run.",
        change.start_s,
        change.end_s,
    )


def _step(trace: Trace, full: Phase) -> RunUpFinding | None:
    step = largest_step(trace, trace.rpm, full)
    if step is None:
        return None
    size, quiet = step.after - step.before, step.quiet
    least = max(STEP_SHARE * step.level, STEP_SIGMAS * quiet)
    if abs(size) < least:
        return None
    return RunUpFinding(
        "steps-at-full",
        Severity.DANGER,
        f"At full throttle the speed {'falls' if size < 0 else 'jumps'} by {abs(size):.0f} rpm within a second "
        f"at {step.at_s:.0f} s and stays there.",
        f"A held throttle holds the speed: steps above {least:.0f} rpm are none of hunting.",
        f"It hunts by {quiet:.0f} rpm from sample to sample; this is {abs(size) / max(quiet, 1.0):.0f} times that.",
        "Stop. Something slipped, came loose, dropped a cylinder’s firing or dragged: check propeller, belt or "
        "gears, clutch, plug and lead, mounts, and at the piston through the exhaust before it runs again.",
        step.at_s - 1.0,
        step.at_s + 1.0,
    )


def _shakes(trace: Trace, full: Phase) -> RunUpFinding | None:
    step = largest_step(trace, trace.vibration, full) if trace.vibration is not None else None
    if step is None or step.before <= 0.0:
        return None
    size, ratio = step.after - step.before, step.after / step.before
    if ratio < SHAKE_RATIO or size < STEP_SIGMAS * step.quiet:
        return None
    return RunUpFinding(
        "shakes-at-full",
        Severity.DANGER,
        f"At full throttle the vibration goes from {step.before:.3g} to {step.after:.3g} within a second at "
        f"{step.at_s:.0f} s and stays there.",
        f"A held throttle holds the vibration: {SHAKE_RATIO:g} times as much is none of its scatter (a judgement, no "
        "source).",
        f"It scatters by {step.quiet:.2g} from sample to sample, and this is {size:.3g}.",
        "Stop. Something broke or came loose. Nobody goes near the disc before it stops: then check propeller and its "
        "bolts, hub, mounts, belt, exhaust and its springs, bearings.",
        step.at_s - 1.0,
        step.at_s + 1.0,
    )
