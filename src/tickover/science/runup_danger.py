"""Is there anything on the run for which the throttle has to be closed at once?

A hot cylinder, a speed that climbs at full throttle (the mixture leans out), a sudden step of the speed there
(something slipped, broke or seized for a moment). Figures are common practice, no source; the maker's go first.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tickover.science.runup_measures import Measure, robust_sd
from tickover.science.runup_phases import FULL, Phase
from tickover.science.runup_trace import Floats, Trace

__all__ = ["CHT_STOP_C", "EGT_STOP_C", "Danger", "dangers"]

CHT_STOP_C, EGT_STOP_C = 250.0, 680.0
CLIMB_SHARE = 0.01
"""Climb in a minute, as a share of the static speed, that is more than an engine does as it warms."""
STEP_SHARE = 0.04
STEP_SIGMAS = 8.0
STEP_WINDOW_S = 2.0


@dataclass(frozen=True)
class Danger:
    """What was seen, against what, how sure, what to do; where on the run. [s]"""

    id: str
    seen: str
    against: str
    sure: str
    do: str
    start_s: float
    end_s: float


def dangers(
    trace: Trace, phases: tuple[Phase, ...], measures: dict[str, Measure], u_cht_c: float, u_egt_c: float
) -> tuple[Danger, ...]:
    """Everything that says stop, hottest first."""
    full = [phase for phase in phases if phase.name == FULL]
    found = (
        _hot(trace, trace.cht_c, "CHT", CHT_STOP_C, u_cht_c),
        _hot(trace, trace.egt_c, "EGT", EGT_STOP_C, u_egt_c),
        _climb(measures),
        *(_step(trace, phase) for phase in full),
    )
    return tuple(danger for danger in found if danger)


def _hot(trace: Trace, degrees: Floats | None, name: str, stop_c: float, u_c: float) -> Danger | None:
    """Over the stop temperature as read: what is uncertain counts against the engine."""
    if degrees is None:
        return None
    over = np.flatnonzero(degrees >= stop_c)
    if not over.size:
        return None
    top = float(np.nanmax(degrees))
    where = "cylinder head" if name == "CHT" else "exhaust"
    return Danger(
        f"{name.lower()}-stop",
        f"The {where} reached {top:.0f} °C.",
        f"Stop at {stop_c:.0f} °C (from memory; the maker’s figure goes first).",
        f"As read, and the probe may be wrong by {2 * u_c:.0f} °C: on either side it is too hot.",
        "Stop. Close the throttle, let it idle down and stop it. Do not run it again before the cause is found: "
        "lean mixture, air leak, cooling, ignition. Look at the piston through the exhaust.",
        float(trace.t_s[over[0]]),
        float(trace.t_s[over[-1]]),
    )


def _climb(measures: dict[str, Measure]) -> Danger | None:
    change, static = measures["static-change"], measures["static-rpm-20"]
    if change.value is None:
        return None
    usual = CLIMB_SHARE * (static.value or 7_000.0)
    if change.value - 1.645 * change.u <= usual:
        return None
    return Danger(
        "climbs-at-full",
        f"At full throttle the speed climbs by {change.value:.0f} rpm in a minute.",
        f"Level, or a little sag as it warms: at most {usual:.0f} rpm of climb (1 %, common practice, no source).",
        f"± {2 * change.u:.0f} rpm by the scatter of the run; over 95 % sure that it climbs by more.",
        "Stop: this is how a mixture that leans out shows itself before a seizure. Do not close a needle. Look for an "
        "air leak and for fuel that does not keep up (filter, pick-up, pump and its pulse) before the next run.",
        change.start_s,
        change.end_s,
    )


def _step(trace: Trace, full: Phase) -> Danger | None:
    """The largest step that stays: medians of the two seconds before and after, with nothing slow in between."""
    window = max(STEP_WINDOW_S, 3.0 * trace.step_s)
    start, end = full.start_s + 3.0, full.end_s - 1.0
    inside = trace.within(start, end)
    t_s, rpm = trace.t_s[inside], trace.rpm[inside]
    n = round(window / trace.step_s)
    if t_s.size < 2 * n + 3:
        return None
    gap = max(1, round(0.4 / trace.step_s))
    strips = np.lib.stride_tricks.sliding_window_view(rpm, n)
    middle = np.median(strips, axis=1)
    jump = middle[n + gap :] - middle[: -n - gap]
    if not jump.size:
        return None
    at = int(np.abs(jump).argmax())
    quiet = robust_sd(np.diff(rpm)) / np.sqrt(2.0)
    least = max(STEP_SHARE * float(np.median(rpm)), STEP_SIGMAS * quiet)
    if abs(jump[at]) < least:
        return None
    when = float(t_s[at + n])
    return Danger(
        "steps-at-full",
        f"At full throttle the speed {'falls' if jump[at] < 0 else 'jumps'} by {abs(jump[at]):.0f} rpm within a second "
        f"at {when:.0f} s and stays there.",
        f"A held throttle holds the speed: steps above {least:.0f} rpm are none of hunting.",
        f"It hunts by {quiet:.0f} rpm from sample to sample; this is {abs(jump[at]) / max(quiet, 1.0):.0f} times that.",
        "Stop. Something slipped, came loose, dropped a cylinder’s firing or dragged: look at propeller, belt or "
        "gears, clutch, plug and lead, mounts, and at the piston through the exhaust before it runs again.",
        when - 1.0,
        when + 1.0,
    )
