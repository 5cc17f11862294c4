"""How does this engine run? Phases, figures and verdicts of a run-up on the ground.

A danger comes first and says stop. Nothing here advises to close a needle: a lean mixture seizes the engine, and a
low speed or a rich sound has other causes that are looked for first.

References
----------
Limits are those of the type sheet; rules of thumb are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from tickover.science.core.input_checks import OutOfRangeError, checked_choice
from tickover.science.core.kinds import kinds_checked
from tickover.science.core.plausible import FULL_RPM
from tickover.science.run_up.air import Noted, reference_measures
from tickover.science.run_up.baseline import ENOUGH_RUNS, Baseline
from tickover.science.run_up.danger import dangers
from tickover.science.run_up.findings import Against, RunUpFinding, Severity, against_baseline, against_limit
from tickover.science.run_up.measuring.measures import (
    Measure,
    full_measures,
    idle_measures,
    temperature_measures,
)
from tickover.science.run_up.measuring.opening import opening_measures, return_measures
from tickover.science.run_up.measuring.phases import Levels, Phase, find_phases
from tickover.science.run_up.measuring.trace import Trace
from tickover.science.run_up.rising import rising
from tickover.science.run_up.words import BASELINE_OF, DO, INSTEAD, LIMIT_NAMES, LIMIT_OF, rules_of_thumb

__all__ = ["RunUpJudgement", "analyse", "answer", "judge", "why_not_accepted", "with_noted"]

NO_BASELINE = RunUpFinding(
    "baseline-itself",
    Severity.MEASURE_NEXT,
    "No run of this engine is accepted yet: nothing to compare with.",
    "",
    "Not compared with itself.",
    "Accept runs of the engine in good order into its baseline.",
)


@dataclass(frozen=True, eq=False)
class RunUpJudgement:
    """A run-up taken apart: its trace, levels, phases and measures."""

    trace: Trace
    levels: Levels
    phases: tuple[Phase, ...]
    measures: tuple[Measure, ...]
    _by_id: dict[str, Measure] = field(default_factory=dict, repr=False)

    @kinds_checked
    def measure(self, id: str) -> Measure:
        """The measure of that id; OutOfRangeError where there is none."""
        if id not in self._by_id:
            raise OutOfRangeError(f'a run-up has no figure "{id}"; it has {", ".join(self._by_id)}')
        return self._by_id[id]

    @property
    def figures(self) -> dict[str, float | None]:
        """Every figure by its id, None where it was not measured."""
        return {measure.id: measure.value for measure in self.measures}


@kinds_checked
def analyse(trace: Trace, usual_full_rpm: float | None = None) -> RunUpJudgement:
    """Take a run-up apart.

    Parameters
    ----------
    trace : Trace
        From `make_trace`.
    usual_full_rpm : float, optional
        What an engine of this type turns at full throttle on the ground. [rpm]

    Returns
    -------
    RunUpJudgement

    Raises
    ------
    InsufficientDataError
        The engine never runs in it.

    Examples
    --------
    >>> import numpy as np
    >>> from tickover.science.run_up.measuring.trace import make_trace
    >>> t_s = np.arange(0.0, 60.0, 0.5)
    >>> rpm = np.interp(t_s, [0, 15, 16, 45, 46, 60], [2000, 2000, 7900, 7900, 2000, 2000])
    >>> run = analyse(make_trace(t_s, rpm))
    >>> print(f"{run.figures['idle-rpm']:.0f}, {run.figures['static-rpm-20']:.0f}")
    2000, 7900
    """
    if usual_full_rpm is not None:
        FULL_RPM.checked(usual_full_rpm)
    levels, phases = find_phases(trace, usual_full_rpm)
    measures = (
        *idle_measures(trace, levels, phases),
        *return_measures(trace, levels, phases),
        *opening_measures(trace, levels, phases),
        *full_measures(trace, phases),
        *temperature_measures(trace, phases),
    )
    return RunUpJudgement(trace, levels, phases, measures, {measure.id: measure for measure in measures})


@kinds_checked
def with_noted(run: RunUpJudgement, noted: Noted) -> RunUpJudgement:
    """The run with what was noted beside it: thrust and head temperature carried to standard air.

    Parameters
    ----------
    run : RunUpJudgement
        By `analyse`.
    noted : Noted
        Air of the day [K], [Pa], [-] and thrust [kgf].

    Returns
    -------
    RunUpJudgement

    Raises
    ------
    OutOfRangeError
        An air that cannot be.

    Examples
    --------
    >>> import numpy as np
    >>> from tickover.science.run_up.measuring.trace import make_trace
    >>> t_s = np.arange(0.0, 60.0, 0.5)
    >>> rpm = np.interp(t_s, [0, 15, 16, 45, 46, 60], [2000, 2000, 7900, 7900, 2000, 2000])
    >>> run = with_noted(analyse(make_trace(t_s, rpm)), Noted(293.15, 99e3, 0.5, 30.0))
    >>> print(f"{run.figures['thrust-reference']:.1f}")
    31.5
    """
    u_cht_k = next((m.standard_uncertainty for m in run.measures if m.id == "cht-full"), None)
    measures = (*run.measures, *reference_measures(run.figures, noted, u_cht_k=u_cht_k))
    return RunUpJudgement(
        run.trace, run.levels, run.phases, measures, {measure.id: measure for measure in measures}
    )


@kinds_checked
def why_not_accepted(findings: tuple[RunUpFinding, ...]) -> str:
    """Why a run may not become part of what is usual for its engine; "" where it may."""
    sentence = " ".join(finding.seen for finding in findings if finding.danger)
    if not sentence:
        return ""
    return (
        f"{sentence} A run that says stop never goes into the baseline. Find the cause, fix it, and accept "
        "the next run-up."
    )


@kinds_checked
def judge(
    run: RunUpJudgement,
    limits: Mapping[str, Against] | None = None,
    baseline: Mapping[str, Baseline] | None = None,
) -> tuple[RunUpFinding, ...]:
    """Verdicts on a run-up, danger first.

    Parameters
    ----------
    run : RunUp
    limits : mapping of str to Against, optional
        The type's limits by their ids on the sheet: idle-rpm, static-rpm, cht, egt.
    baseline : mapping of str to Baseline, optional
        Accepted runs of this engine, by the id of the measure.

    Returns
    -------
    tuple[RunUpFinding, ...]

    Raises
    ------
    OutOfRangeError
        For a limit that no run-up is judged by, such as a misspelt one: nobody would see that it judged nothing.

    Examples
    --------
    >>> import numpy as np
    >>> from tickover.science.run_up.measuring.trace import make_trace
    >>> t_s = np.arange(0.0, 60.0, 0.5)
    >>> rpm = np.interp(t_s, [0, 15, 16, 45, 46, 60], [2000, 2000, 7900, 7900, 2000, 2000])
    >>> [finding.id for finding in judge(analyse(make_trace(t_s, rpm)))][-1:]
    ['static-change']
    """
    limits, baseline = limits or {}, baseline or {}
    for id in limits:
        checked_choice("the id of a limit", id, tuple(LIMIT_NAMES))
    by_id = {measure.id: measure for measure in run.measures}
    found = list(dangers(run.trace, run.phases, by_id, limits))
    for measure_id, limit_id in LIMIT_OF.items():
        if limit_id in limits and measure_id in by_id and by_id[measure_id].value is not None:
            verdict = against_limit(by_id[measure_id], limits[limit_id], *DO[measure_id])
            found.append(replace(verdict, limit=limit_id))
    for name in ("cht", "egt"):
        if name in limits:
            found += rising(by_id[f"{name}-full"], by_id[f"{name}-rate"], limits[name])
    found += rules_of_thumb(run.measure)
    if not baseline:
        found.append(NO_BASELINE)
    for id in (_comparable(id, by_id, baseline) for id in BASELINE_OF):
        if id in by_id and by_id[id].value is not None and id in baseline:
            found.append(against_baseline(by_id[id], baseline[id], *DO[id]))
    return tuple(sorted(found, key=lambda finding: finding.weight))


def _comparable(id: str, by_id: Mapping[str, Measure], baseline: Mapping[str, Baseline]) -> str:
    """The figure itself, or the one as read where the air was not noted, now or with the runs so far."""
    known = id in by_id and by_id[id].value is not None and id in baseline
    instead = INSTEAD.get(id, id)
    fewer = known and instead in baseline and baseline[id].runs < min(baseline[instead].runs, ENOUGH_RUNS)
    return id if known and not fewer else instead


@kinds_checked
def answer(findings: tuple[RunUpFinding, ...]) -> str:
    """The one sentence that a technician came for; where nothing is wrong it names the limits that were judged."""
    worst = findings[0].weight if findings else Severity.MEASURE_NEXT
    if worst is Severity.DANGER:
        return f"Stop. {findings[0].seen}"
    if worst in (Severity.GOOD, Severity.MEASURE_NEXT):
        return f"{_limits_judged(findings)}; {_left_open(findings)}."
    worst_ones = [finding for finding in findings if finding.weight is worst]
    more = len(worst_ones) - 1
    return f"{worst_ones[0].seen} {more} more like it below." if more else worst_ones[0].seen


def _limits_judged(findings: tuple[RunUpFinding, ...]) -> str:
    """By which limits of the type a run without a fault was judged: a rule of thumb found good is no limit."""
    judged = {finding.limit for finding in findings}
    names = ", ".join(name for id, name in LIMIT_NAMES.items() if id in judged)
    return f"Inside its limits ({names})" if names else "No limits to judge by"


def _left_open(findings: tuple[RunUpFinding, ...]) -> str:
    left = [finding for finding in findings if finding.weight is Severity.MEASURE_NEXT]
    if any(finding.id.endswith("-itself") for finding in left):
        return "no baseline for this engine yet"
    return "some figures not measured" if left or not findings else "runs as before"
