"""How does this engine run? Phases, figures and verdicts of a run-up on the ground.

Begin at `judging`: `phases` and the measures take a trace apart, `danger`, `seen` and `baseline` judge it.
"""

from tickover.science.run_up.air import (Noted, reference_figures)
from tickover.science.run_up.baseline import (Baseline, baseline_of)
from tickover.science.run_up.judging import (RunUp, analyse, answer, judge, why_not_accepted, with_noted)
from tickover.science.run_up.measuring.measures import (Measure)
from tickover.science.run_up.measuring.phases import (Levels, Phase)
from tickover.science.run_up.seen import (Against, Finding, Weight)
from tickover.science.run_up.measuring.trace import (Trace, make_trace)

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
