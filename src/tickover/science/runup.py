"""How does this engine run? Phases, figures and verdicts of a run-up on the ground.

A danger comes first and says stop. Nothing here advises to close a needle: a lean mixture seizes the engine, and a
low speed or a rich sound has other causes that are looked for first.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from tickover.science.runup_baseline import Baseline, baseline_of
from tickover.science.runup_danger import dangers
from tickover.science.runup_measures import Measure, full_measures, idle_measures, temperature_measures
from tickover.science.runup_opening import opening_measures, return_measures
from tickover.science.runup_phases import Levels, Phase, find_phases
from tickover.science.runup_seen import Against, Finding, Weight, against_baseline, against_limit
from tickover.science.runup_trace import Trace, make_trace
from tickover.science.runup_words import BASELINE_OF, DO, LIMIT_OF, rules_of_thumb

__all__ = [
    "Against",
    "Baseline",
    "Finding",
    "Levels",
    "Measure",
    "Phase",
    "RunUp",
    "Trace",
    "Weight",
    "analyse",
    "answer",
    "baseline_of",
    "judge",
    "make_trace",
]

U_CHT_C, U_EGT_C = 3.0, 6.0
"""Standard uncertainty of a plug-washer probe and of an exhaust probe where the sheet says none: from memory."""


NO_BASELINE = Finding(
    "baseline-itself",
    Weight.MEASURE_NEXT,
    "No run of this engine is accepted yet, so that nothing tells what is usual for it.",
    "",
    "Not judged against itself.",
    "Accept runs of the engine in good order into its baseline.",
)


@dataclass(frozen=True, eq=False)
class RunUp:
    """A run-up taken apart: its trace, levels, phases and measures."""

    trace: Trace
    levels: Levels
    phases: tuple[Phase, ...]
    measures: tuple[Measure, ...]
    _by_id: dict[str, Measure] = field(default_factory=dict, repr=False)

    def measure(self, id: str) -> Measure:
        """The measure of that id; KeyError where there is none."""
        return self._by_id[id]

    @property
    def figures(self) -> dict[str, float | None]:
        """Every figure by its id, None where it was not measured."""
        return {measure.id: measure.value for measure in self.measures}


def analyse(trace: Trace, usual_full_rpm: float | None = None) -> RunUp:
    """Take a run-up apart.

    Parameters
    ----------
    trace : Trace
        From `make_trace`.
    usual_full_rpm : float, optional
        What an engine of this type turns at full throttle on the ground. [rpm]

    Raises
    ------
    NotKnownHere
        The engine never runs in it.
    """
    levels, phases = find_phases(trace, usual_full_rpm)
    measures = (
        *idle_measures(trace, levels, phases),
        *return_measures(trace, levels, phases),
        *opening_measures(trace, levels, phases),
        *full_measures(trace, phases),
        *temperature_measures(trace, phases),
    )
    return RunUp(trace, levels, phases, measures, {measure.id: measure for measure in measures})


def judge(
    run: RunUp, limits: Mapping[str, Against] | None = None, baseline: Mapping[str, Baseline] | None = None
) -> tuple[Finding, ...]:
    """Verdicts on a run-up, danger first.

    Parameters
    ----------
    run : RunUp
    limits : mapping of str to Against, optional
        The type's limits by their ids on the sheet: idle-rpm, static-rpm, cht, egt.
    baseline : mapping of str to Baseline, optional
        Accepted runs of this engine, by the id of the measure.
    """
    limits, baseline = limits or {}, baseline or {}
    u = {id: limit.u for id, limit in limits.items()}
    by_id = {measure.id: measure for measure in run.measures}
    found = [
        Finding(d.id, Weight.DANGER, d.seen, d.against, d.sure, d.do, d.start_s, d.end_s)
        for d in dangers(run.trace, run.phases, by_id, u.get("cht", U_CHT_C), u.get("egt", U_EGT_C))
    ]
    for measure_id, limit_id in LIMIT_OF.items():
        if limit_id in limits and by_id[measure_id].value is not None:
            found.append(against_limit(by_id[measure_id], limits[limit_id], *DO[measure_id]))
    found += rules_of_thumb(run.measure)
    if not baseline:
        found.append(NO_BASELINE)
    for measure_id in BASELINE_OF:
        if by_id[measure_id].value is not None and measure_id in baseline:
            found.append(against_baseline(by_id[measure_id], baseline[measure_id], *DO[measure_id]))
    return tuple(sorted(found, key=lambda finding: finding.weight))


def answer(findings: tuple[Finding, ...]) -> str:
    """The one sentence that a technician came for."""
    worst = findings[0].weight if findings else Weight.MEASURE_NEXT
    if worst is Weight.DANGER:
        return f"Stop. {findings[0].seen}"
    if worst is Weight.GOOD:
        return "It runs inside its limits and as it always did."
    told = [finding for finding in findings if finding.weight is worst]
    if worst is Weight.MEASURE_NEXT:
        unknown = any(finding.id.endswith("-itself") for finding in told)
        good = any(finding.weight is Weight.GOOD for finding in findings)
        usual = (
            "what is usual for this engine is not known yet" if unknown else "something is left to measure"
        )
        return f"Inside its limits; {usual}." if good else f"{usual.capitalize()}."
    return told[0].seen
