"""What can be measured on a run-up, and how sure is each figure?

Speeds of neighbouring samples are not independent: an engine hunts over about a second. So a mean over some seconds
counts as that many independent values and not as that many samples.

References
----------
JCGM 100:2008, 4.2.3 (mean of readings), F.2.2.1 (a step d counts as d/√12). One independent value a second is a
judgement, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from tickover.science.core.working import Quantity, Working
from tickover.science.run_up.measuring.phases import FULL, IDLE, Levels, Phase
from tickover.science.run_up.measuring.trace import Floats, Trace

__all__ = ["Measure", "full_measures", "idle_measures", "temperature_measures"]

INDEPENDENT_S = 1.0
SETTLE_S = 3.0
CHANGE_FROM_S, CHANGE_LEAST_S = 8.0, 15.0
"""The first seconds at full the engine still takes up its load; a change needs this long to be one."""
CLOSES_S, LEVEL_LEAST_S = 1.0, 2.0
"""Full throttle as it was found ends with the speed falling already; a level wants some seconds before that."""
RATE_OVER_S = 15.0
END_S = 3.0
SEEN_LEAST_S = 1.0


@dataclass(frozen=True)
class Measure:
    """A figure of a run-up with its standard uncertainty, both in `unit`; `value` is None where `why_not` says why.

    The uncertainty is that of reading the figure off the run, and has no default; where there is no value it is 0.
    `how` is its formula in words, `start_s` to `end_s` the stretch of the run it comes from [s]; `inputs`, `source`
    and `holds_for` are those of a figure that rests on more than the run.
    """

    id: str
    title: str
    unit: str
    value: float | None
    standard_uncertainty: float
    start_s: float = 0.0
    end_s: float = 0.0
    how: str = ""
    why_not: str = ""
    inputs: tuple[Quantity, ...] = ()
    source: str = "JCGM 100:2008, 4.2.3 and F.2.2.1"
    holds_for: str = "speeds and temperatures as the logger has them; its own error comes on top"

    @property
    def expanded(self) -> float:
        """Two standard uncertainties."""
        return 2.0 * self.standard_uncertainty

    @property
    def _stretch(self) -> tuple[Quantity, ...]:
        return Quantity("from", round(self.start_s, 2), "s"), Quantity("to", round(self.end_s, 2), "s")

    def working(self) -> Working:
        """How the figure came about."""
        return Working(
            title=self.title,
            formula=self.how,
            inputs=(
                *(self.inputs or self._stretch),
                Quantity(
                    "standard uncertainty of reading it off the run", self.standard_uncertainty, self.unit
                ),
            ),
            result=Quantity(self.title, "not measured" if self.value is None else self.value, self.unit),
            validity=self.why_not or self.holds_for,
            source=self.source,
            authority="arithmetic on this run",
        )


def not_measured(id: str, title: str, unit: str, why: str) -> Measure:
    """A figure that this run does not hold, and why."""
    return Measure(id, title, unit, None, 0.0, why_not=why)


def idle_measures(trace: Trace, levels: Levels, phases: Iterable[Phase]) -> tuple[Measure, ...]:
    """Level and steadiness of the idle."""
    idle = [phase for phase in phases if phase.name == IDLE]
    within = _any_within(trace, ((p.start_s + min(SETTLE_S, p.length_s / 3), p.end_s) for p in idle))
    speed = trace.rpm[within]
    if not np.isfinite(levels.idle_rpm) or speed.size < 3:
        why = "the run holds no stretch of idle"
        return not_measured("idle-rpm", "Idle", "rpm", why), not_measured(
            "idle-steadiness", "Idle hunts by", "rpm", why
        )
    start, end = idle[0].start_s, idle[-1].end_s
    seconds = float(within.sum()) * trace.step_s
    sd = robust_sd(speed)
    level = Measure(
        "idle-rpm", "Idle", "rpm", float(np.median(speed)), mean_u(sd, seconds), start, end,
        "median of all idle, without the first seconds of each stretch",
    )  # fmt: skip
    few = max(seconds / INDEPENDENT_S, 2.0)
    hunts = Measure(
        "idle-steadiness", "Idle hunts by", "rpm", sd, sd / math.sqrt(2.0 * few), start, end,
        "1.4826 × median distance from the median",
    )  # fmt: skip
    return level, hunts


def full_measures(trace: Trace, phases: Iterable[Phase]) -> tuple[Measure, ...]:
    """Static speed at 20 s and at 60 s, its change in a minute, and the share of four-stroking."""
    full = longest(phases, FULL)
    names = (("static-rpm-20", "Static rpm at 20 s", 20.0), ("static-rpm-60", "Static rpm at 60 s", 60.0))
    if full is None:
        why = "the run holds no 5 s of full throttle"
        missing = [not_measured(id, title, "rpm", why) for id, title, _ in names]
        return (
            *missing,
            not_measured("static-change", "Change in a minute", "rpm", why),
            _four_stroking(trace, None),
        )
    at = [_level_at(trace, full, *name) for name in names]
    return *at, _change(trace, full), _four_stroking(trace, full)


def temperature_measures(trace: Trace, phases: Iterable[Phase]) -> tuple[Measure, ...]:
    """Highest temperature, temperature at the end of full throttle, and its rate there, for CHT and EGT."""
    full = longest(phases, FULL)
    channels = (("cht", "CHT", trace.cht_c), ("egt", "EGT", trace.egt_c))
    return tuple(measure for channel in channels for measure in _temperature(trace, full, *channel))


def robust_sd(values: Floats) -> float:
    """Standard deviation by the median distance from the median. Normal spread: 1.4826 times that."""
    return 1.4826 * float(np.median(np.abs(values - np.median(values))))


def mean_u(sd: float, seconds: float) -> float:
    """Standard uncertainty of a mean over some seconds of a speed that hunts."""
    return sd / math.sqrt(max(seconds / INDEPENDENT_S, 1.0))


def longest(phases: Iterable[Phase], name: str) -> Phase | None:
    """The longest phase of a name."""
    return max((p for p in phases if p.name == name), key=lambda p: p.length_s, default=None)


def line_fit(t_s: Floats, values: Floats) -> tuple[float, float]:
    """Slope of a straight line and its standard uncertainty, one independent value a second. [unit/s]"""
    middle = t_s - t_s.mean()
    squares = float((middle**2).sum())
    slope = float((middle * values).sum()) / squares
    independent = max(float(np.ptp(t_s)) / INDEPENDENT_S, 3.0)
    inflate = math.sqrt(max(values.size / independent, 1.0))
    return slope, inflate * scatter_about_line(t_s, values) / math.sqrt(squares)


def scatter_about_line(t_s: Floats, values: Floats) -> float:
    """Standard deviation of values about a straight line through them; 0 for two, which any line meets."""
    middle = t_s - t_s.mean()
    slope = float((middle * values).sum()) / float((middle**2).sum())
    left = values - values.mean() - slope * middle
    return math.sqrt(float((left**2).sum()) / max(values.size - 2, 1))


def _any_within(trace: Trace, spans: Iterable[tuple[float, float]]) -> np.ndarray:
    found = np.zeros(trace.t_s.size, dtype=np.bool_)
    for start, end in spans:
        found |= trace.within(start, end)
    return found


def _level_at(trace: Trace, full: Phase, id: str, title: str, after_s: float) -> Measure:
    """Mean of the four seconds about a time after full throttle was reached, or of the last before it closes."""
    centre = full.start_s + after_s
    end = min(centre + 2.0, full.end_s - CLOSES_S)
    start = min(centre - 2.0, end - LEVEL_LEAST_S)
    speed = trace.rpm[trace.within(start, end)]
    if full.length_s < after_s:
        why = f"full throttle lasted {full.length_s:.0f} s, needs {after_s:.0f} s"
        return not_measured(id, title, "rpm", why)
    seen_s = speed.size * trace.step_s
    if speed.size < 2 or seen_s < SEEN_LEAST_S:
        why = f"no sure speed for most of the time about {after_s:.0f} s after full throttle was reached"
        return not_measured(id, title, "rpm", why)
    level, u = float(speed.mean()), mean_u(float(speed.std(ddof=1)), min(seen_s, 4.0))
    how = f"mean of the speeds 2 s to each side of {after_s:.0f} s after full throttle was reached, while it was open"
    return Measure(id, title, "rpm", level, u, start, end, how)


def _change(trace: Trace, full: Phase) -> Measure:
    start, end = full.start_s + CHANGE_FROM_S, min(full.end_s - CLOSES_S, full.start_s + 75.0)
    within = trace.within(start, end)
    if end - start < CHANGE_LEAST_S or within.sum() < 5:
        why = f"full throttle lasted {full.length_s:.0f} s, too short to see sag or climb"
        return not_measured("static-change", "Change in a minute", "rpm", why)
    slope, u = line_fit(trace.t_s[within], trace.rpm[within])
    how = "slope of a straight line through full throttle from 8 s on, times 60 s; below 0 it sags"
    return Measure("static-change", "Change in a minute", "rpm", 60.0 * slope, 60.0 * u, start, end, how)


def _four_stroking(trace: Trace, full: Phase | None) -> Measure:
    id, title = "four-stroking", "Four-stroking at full throttle"
    if trace.four_stroking is None:
        return not_measured(id, title, "%", "needs a sound recording")
    within = None if full is None else trace.within(full.start_s + SETTLE_S, full.end_s)
    heard = np.array([]) if within is None else trace.four_stroking[within]
    heard = heard[np.isfinite(heard)]
    if full is None or heard.size < 3:
        return not_measured(id, title, "%", "the run holds no full throttle to hear it in")
    share = float(heard.mean())
    u = math.sqrt(max(share * (1.0 - share), 0.25 / heard.size) / max(full.length_s / INDEPENDENT_S, 1.0))
    how = "share of the time at full throttle, after 3 s, in which it fires every second turn"
    return Measure(id, title, "%", 100.0 * share, 100.0 * u, full.start_s + SETTLE_S, full.end_s, how)


def _temperature(
    trace: Trace, full: Phase | None, id: str, name: str, degrees: Floats | None
) -> tuple[Measure, ...]:
    titles = (
        (f"{id}-highest", f"Highest {name}", "deg C"),
        (f"{id}-full", f"{name} at the end of full", "deg C"),
    )
    rate = (f"{id}-rate", f"{name} rises by", "deg C/min")
    if degrees is None:
        return tuple(not_measured(*title, f"the run has no {name}") for title in (*titles, rate))
    known = np.isfinite(degrees)
    t_s, value = trace.t_s[known], degrees[known]
    highest = _highest(t_s, value, titles[0])
    last = (
        (t_s >= full.end_s - RATE_OVER_S) & (t_s <= full.end_s)
        if full
        else np.zeros(t_s.size, dtype=np.bool_)
    )
    if full is None or last.sum() < 4 or full.length_s < RATE_OVER_S:
        why = "full throttle was too short to take it from"
        return highest, not_measured(*titles[1], why), not_measured(*rate, why)
    slope, u = line_fit(t_s[last], value[last])
    end = value[(t_s >= full.end_s - END_S) & (t_s <= full.end_s)]
    level = float(np.median(end)) if end.size else float(value[last][-1])
    level_u = mean_u(scatter_about_line(t_s[last], value[last]), END_S)
    span = (full.end_s - RATE_OVER_S, full.end_s)
    return (
        highest,
        Measure(*titles[1], level, level_u, *span, "median of the last 3 s of full throttle"),
        Measure(*rate, 60.0 * slope, 60.0 * u, *span, "slope over the last 15 s of full throttle"),
    )


def _highest(t_s: Floats, value: Floats, title: tuple[str, str, str]) -> Measure:
    """The highest sample. It is one alone: unsure by the scatter of those about it, and by the step to the next."""
    top = int(value.argmax())
    near = np.abs(t_s - t_s[top]) <= RATE_OVER_S / 2.0
    if near.sum() < 3:
        return not_measured(*title, f"fewer than 3 samples within {RATE_OVER_S:.0f} s of the highest")
    steps = np.abs(np.diff(value[max(top - 1, 0) : top + 2]))
    u = math.hypot(scatter_about_line(t_s[near], value[near]), float(steps.max()) / math.sqrt(12.0))
    return Measure(*title, float(value[top]), u, float(t_s[top]), float(t_s[top]), "highest sample")
