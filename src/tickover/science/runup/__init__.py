"""How does this engine run? Phases, figures and verdicts of a run-up on the ground.

Begin at `judging`: `phases` and the measures take a trace apart, `danger`, `seen` and `baseline` judge it.
"""

from tickover.science.runup.judging import (
    Against,
    Baseline,
    Finding,
    Levels,
    Measure,
    Noted,
    Phase,
    RunUp,
    Trace,
    Weight,
    analyse,
    answer,
    baseline_of,
    judge,
    make_trace,
    reference_figures,
    why_not_accepted,
    with_noted,
)

__all__ = [
    "Against",
    "Baseline",
    "Finding",
    "Levels",
    "Measure",
    "Noted",
    "Phase",
    "RunUp",
    "Trace",
    "Weight",
    "analyse",
    "answer",
    "baseline_of",
    "judge",
    "make_trace",
    "reference_figures",
    "why_not_accepted",
    "with_noted",
]
