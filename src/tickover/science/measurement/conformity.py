"""Does a reading lie inside its limits, outside, or can this instrument not tell?

A reading is not the true value: the instrument spreads it. Simple acceptance takes the reading at its word;
guarded acceptance asks how likely the true value is to be inside, and says so when it cannot tell. Nothing is
supposed beforehand about the part that is measured, and the error of the instrument is taken as normal.

References
----------
JCGM 106:2012, 7 (probability of conformity) and 8 (decision rules).
"""

from __future__ import annotations

import math

from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.core.kinds import kinds_checked
from tickover.science.measurement.guard_bands import Span, chance_below_and_above
from tickover.science.measurement.verdict import (
    Decision,
    MeasuringInstrument,
    Rule,
    Verdict,
    percent,
    sentence,
)

__all__ = ["Decision", "MeasuringInstrument", "Rule", "Verdict", "decide", "percent", "sentence"]


@kinds_checked
def decide(
    value: float,
    lower: float | None,
    upper: float | None,
    *,
    resolution: float,
    expanded_uncertainty: float,
    coverage_factor: float = 2.0,
    resolution_included: bool = False,
    rule: Rule = Rule.GUARDED,
    confidence: float = 0.95,
) -> Verdict:
    """Hold a reading against its limits.

    Parameters
    ----------
    value, lower, upper : float
        Reading and limits, all in one unit. One limit may be None. The limits themselves are inside.
    resolution, expanded_uncertainty, coverage_factor, resolution_included
        The instrument, see Instrument.
    rule : Rule
        Simple: inside when the reading is. Guarded: inside when the chance of it is at least `confidence`,
        outside when it is at most 1 - `confidence`, else it cannot be told.
    confidence : float
        Above 0.5, below 1. [-]

    Returns
    -------
    Verdict

    Raises
    ------
    OutOfRangeError
        For a reading that is not a number, limits missing or crossed, an impossible instrument or confidence.

    Examples
    --------
    >>> lever = decide(1.58, 1.2, 1.6, resolution=0.01, expanded_uncertainty=0.05)
    >>> print(lever.decision, f"{lever.probability_inside:.2f}")
    cannot tell 0.79
    """
    if not math.isfinite(value):
        raise OutOfRangeError(f"the reading must be a finite number, not {value}")
    if not 0.5 < confidence < 1.0:
        raise OutOfRangeError(f"confidence must lie between 0.5 and 1, not {confidence}")
    limits = Span(lower, upper)
    instrument = MeasuringInstrument(resolution, expanded_uncertainty, coverage_factor, resolution_included)
    uncertainty = instrument.standard_uncertainty
    below, above = chance_below_and_above(value, limits, uncertainty)
    inside = max(0.0, 1.0 - below - above)
    decision = _by_reading(value, limits) if rule is Rule.SIMPLE else _by_chance(inside, confidence)
    side = "" if decision is Decision.INSIDE else "low" if below > above else "high"
    return Verdict(decision, value, lower, upper, uncertainty, inside, rule, confidence, side, instrument)


def _by_reading(value: float, limits: Span) -> Decision:
    return Decision.INSIDE if limits.holds(value) else Decision.OUTSIDE


def _by_chance(inside: float, confidence: float) -> Decision:
    if inside >= confidence:
        return Decision.INSIDE
    # 1 - 0.95 is a hair above 0.05 in binary: compare the chance of being outside instead.
    return Decision.OUTSIDE if 1.0 - inside >= confidence else Decision.CANNOT_TELL
