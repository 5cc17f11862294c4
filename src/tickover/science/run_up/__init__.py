"""How does this engine run? Phases, figures and verdicts of a run-up on the ground.

Begin at `judging`: `phases` and the measures take a trace apart, `danger`, `findings` and `baseline` judge it. Imports
`core`, `measurement`, `atmosphere` and `fuel_system`.
"""

from tickover.science.run_up.air import Noted, reference_figures
from tickover.science.run_up.baseline import Baseline, baseline_of
from tickover.science.run_up.findings import Against, RunUpFinding, Severity
from tickover.science.run_up.judging import (
    RunUpJudgement,
    analyse,
    answer,
    judge,
    why_not_accepted,
    with_noted,
)
from tickover.science.run_up.measuring.measures import Measure
from tickover.science.run_up.measuring.phases import Levels, Phase
from tickover.science.run_up.measuring.trace import Trace, make_trace

__all__ = [
    "Against",
    "Baseline",
    "Levels",
    "Measure",
    "Noted",
    "Phase",
    "RunUpFinding",
    "RunUpJudgement",
    "Severity",
    "Trace",
    "analyse",
    "answer",
    "baseline_of",
    "judge",
    "make_trace",
    "reference_figures",
    "why_not_accepted",
    "with_noted",
]
