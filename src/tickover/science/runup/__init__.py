"""How does this engine run? Phases, figures and verdicts of a run-up on the ground.

Begin at `judging`: `phases` and the measures take a trace apart, `danger`, `seen` and `baseline` judge it.
"""

from tickover.science.runup.air import Noted, reference_figures
from tickover.science.runup.baseline import Baseline, baseline_of
from tickover.science.runup.judging import RunUp, analyse, answer, judge, why_not_accepted, with_noted
from tickover.science.runup.measures import Measure
from tickover.science.runup.phases import Levels, Phase
from tickover.science.runup.seen import Against, Finding, Weight
from tickover.science.runup.trace import Trace, make_trace

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
