"""What does one figure of a run-up say: about the limits of its type, and about this engine's own earlier runs?"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import IntEnum

from tickover.science.core.decimals import format_reading
from tickover.science.core.kinds import checked_fields
from tickover.science.measurement.conformity import Decision, Rule, decide, percent
from tickover.science.run_up.baseline import ENOUGH_RUNS, Baseline
from tickover.science.run_up.measuring.measures import Measure

__all__ = ["Against", "RunUpFinding", "Severity", "against_baseline", "against_limit"]

STEPS = {"rpm": 10.0, "s": 0.1, "%": 1.0, "deg C": 1.0, "deg C/min": 1.0, "kgf": 0.1}
AS_READ = "cht-full"
UNITS = {"deg C": "°C", "deg C/min": "°C/min"}


class Severity(IntEnum):
    """How much a finding matters; the least number is told first."""

    DANGER = 0
    OUTSIDE = 1
    CANNOT_TELL = 2
    UNLIKE_ITSELF = 3
    MEASURE_NEXT = 4
    GOOD = 5


@dataclass(frozen=True)
class RunUpFinding:
    """One verdict on a run: what was seen, against what, how sure, what to do or to measure next.

    `start_s` to `end_s` is where on the run it shows [s]; `side` is "low" or "high" where the figure lies to one side
    of what it should be, or leans there. `limit` is the id of the type's limit it was judged by, "" for none.
    """

    id: str
    weight: Severity
    seen: str
    against: str
    sure: str
    do: str
    start_s: float = 0.0
    end_s: float = 0.0
    side: str = ""
    limit: str = ""

    @property
    def danger(self) -> bool:
        return self.weight is Severity.DANGER


@dataclass(frozen=True)
class Against:
    """A limit of the type for one figure, in the figure's unit; `standard_uncertainty` is that of the instrument.

    `never_above` is what going beyond cannot be undone: a stop temperature, an over-speed.
    `low_means`, `high_means`, `action` are the type sheet's words, `authority` says what the limit rests on.
    """

    lower: float | None
    upper: float | None
    standard_uncertainty: float
    resolution: float
    low_means: str = ""
    high_means: str = ""
    action: str = ""
    authority: str = ""
    guarded: bool = True
    never_above: float | None = None

    def __post_init__(self) -> None:
        checked_fields(self)


def against_limit(measure: Measure, limit: Against, low_do: str, high_do: str) -> RunUpFinding:
    """The figure against its limit by JCGM 106; scatter of the run and error of the instrument together."""
    assert measure.value is not None
    verdict = decide(
        measure.value,
        limit.lower,
        limit.upper,
        resolution=limit.resolution,
        expanded_uncertainty=2.0 * math.hypot(measure.standard_uncertainty, limit.standard_uncertainty),
        rule=Rule.GUARDED if limit.guarded else Rule.SIMPLE,
    )
    weight = {
        Decision.INSIDE: Severity.GOOD,
        Decision.OUTSIDE: Severity.OUTSIDE,
        Decision.CANNOT_TELL: Severity.CANNOT_TELL,
    }[verdict.decision]
    means = {"low": limit.low_means, "high": limit.high_means}.get(verdict.side, "")
    place = {"low": "below its limit", "high": "above its limit"}.get(verdict.side, "inside")
    if verdict.decision is Decision.CANNOT_TELL:
        place = "too close to its limit to say"
    seen = f"{measure.title}: {written(measure)}, {place}."
    do = {"low": low_do, "high": high_do}.get(verdict.side, "")
    return RunUpFinding(
        measure.id,
        weight,
        " ".join(filter(None, (seen, means if weight is Severity.OUTSIDE else ""))),
        f"Limit of the type: {_span(limit, measure.unit)} ({limit.authority}).",
        f"± {spread(2.0 * verdict.standard_uncertainty)} {unit(measure.unit)}; "
        f"{percent(verdict.probability_inside)} likely inside.",
        do if weight is not Severity.GOOD else "",
        measure.start_s,
        measure.end_s,
        verdict.side if weight is not Severity.GOOD else "",
    )


def against_baseline(measure: Measure, baseline: Baseline, low_do: str, high_do: str) -> RunUpFinding:
    """The figure against the accepted runs of this engine; with few of them it says so and judges nothing."""
    assert measure.value is not None
    where = (measure.start_s, measure.end_s)
    id = f"{measure.id}-itself"
    if not baseline.enough:
        return _few_runs(measure, baseline, id, where)
    u = math.hypot(measure.standard_uncertainty, STEPS[measure.unit] / math.sqrt(12.0))
    lower, upper = baseline.interval(u)
    away = measure.value - baseline.mean
    against = (
        f"Usual for it: {number(lower, measure.unit)} to {number(upper, measure.unit)} {unit(measure.unit)} "
        f"({baseline.runs} accepted runs)."
        f"{_aside(measure, baseline)}"
    )
    seen = f"{measure.title}: {written(measure)}, {number(abs(away), measure.unit)} {unit(measure.unit)}"
    sure = f"95 % prediction interval from {baseline.runs} runs, with the same logger."
    if measure.id == AS_READ:
        sure += " Not corrected for air temperature: record it with each run."
    if lower <= measure.value <= upper:
        way = "over" if away >= 0 else "under"
        return RunUpFinding(
            id, Severity.GOOD, f"{seen} {way} its usual mean: as before.", against, sure, "", *where
        )
    way, do = ("below", low_do) if away < 0 else ("above", high_do)
    if not do:
        better = f"{seen} {way} its usual mean: better than before."
        return RunUpFinding(id, Severity.GOOD, better, against, sure, "", *where)
    return RunUpFinding(
        id,
        Severity.UNLIKE_ITSELF,
        f"{seen} {way} its usual mean: not as before.",
        against,
        sure,
        do,
        *where,
        "low" if away < 0 else "high",
    )


def _aside(measure: Measure, baseline: Baseline) -> str:
    """Which accepted runs stand apart; "" for none."""
    values = " and ".join(number(value, measure.unit) for value in baseline.aside)
    return f" {values} {unit(measure.unit)} is far off and left out: check that run." if values else ""


def _few_runs(measure: Measure, baseline: Baseline, id: str, where: tuple[float, float]) -> RunUpFinding:
    assert measure.value is not None
    away = measure.value - baseline.mean
    way = "over" if away >= 0 else "under"
    return RunUpFinding(
        id,
        Severity.MEASURE_NEXT,
        f"{measure.title}: {number(abs(away), measure.unit)} {unit(measure.unit)} {way} its runs so far.",
        f"{baseline.runs} accepted run{'s' * (baseline.runs > 1)} only.",
        f"Not judged: fewer than {ENOUGH_RUNS} runs are too few to know this engine’s scatter.",
        "Accept runs of the engine in good order into its baseline.",
        *where,
    )


def written(measure: Measure) -> str:
    """A figure with its unit, to the digits it deserves."""
    assert measure.value is not None
    return f"{number(measure.value, measure.unit)} {unit(measure.unit)}"


def number(value: float, of_unit: str) -> str:
    """A number to the step of its unit."""
    step = STEPS[of_unit]
    return format_reading(round(value / step) * step, min(step, 1.0)) if step >= 1.0 else f"{value:.1f}"


def unit(text: str) -> str:
    """A unit as it is printed."""
    return UNITS.get(text, text)


def spread(value: float) -> str:
    """An uncertainty to two figures at most."""
    return f"{value:.0f}" if value >= 10 else f"{float(f'{value:.2g}'):g}"


def _span(limit: Against, of_unit: str) -> str:
    if limit.lower is None:
        return f"at most {limit.upper:g} {unit(of_unit)}"
    if limit.upper is None:
        return f"at least {limit.lower:g} {unit(of_unit)}"
    return f"{limit.lower:g} to {limit.upper:g} {unit(of_unit)}"
