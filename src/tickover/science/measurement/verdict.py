"""What is a verdict on a reading, how did it come about, and what does it say in plain words?

References
----------
JCGM 106:2012, 7 to 9; JCGM 100:2008, F.2.2.1 (a digital step d counts as d/sqrt(12)).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from tickover.science.core.decimals import format_reading
from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.core.kinds import kinds_checked
from tickover.science.core.working import Quantity, Working
from tickover.science.measurement.guard_bands import Span, acceptance_limits, guard_band


class Decision(StrEnum):
    """What a reading says about its limits; "not valid": nothing, since it was not taken as the test asks."""

    INSIDE = "inside"
    OUTSIDE = "outside"
    CANNOT_TELL = "cannot tell"
    NOT_VALID = "not valid"


class Rule(StrEnum):
    """Whether the reading is taken at its word or has to be sure."""

    SIMPLE = "simple"
    GUARDED = "guarded"


@dataclass(frozen=True)
class MeasuringInstrument:
    """What an instrument can tell, in the unit of its readings.

    Parameters
    ----------
    resolution : float
        Smallest step that can be read, 0 for none.
    expanded_uncertainty : float
        Uncertainty stated for it, a half width, 0 when none is stated.
    coverage_factor : float
        How many standard uncertainties that half width is.
    resolution_included : bool
        Whether the stated uncertainty has the resolution in it already. Supposed not: what is stated mostly
        speaks of the instrument, not of reading it, and adding the step errs on the safe side.
    """

    resolution: float
    expanded_uncertainty: float
    coverage_factor: float = 2.0
    resolution_included: bool = False

    def __post_init__(self) -> None:
        for name in ("resolution", "expanded_uncertainty"):
            if not 0.0 <= getattr(self, name) < math.inf:
                raise OutOfRangeError(
                    f"{name.replace('_', ' ')} must be 0 or more, not {getattr(self, name)}"
                )
        if not 0.0 < self.coverage_factor < math.inf:
            raise OutOfRangeError(f"coverage factor must be above 0, not {self.coverage_factor}")

    @property
    def standard_uncertainty(self) -> float:
        """Standard deviation of a reading about the true value."""
        step = 0.0 if self.resolution_included else self.resolution / math.sqrt(12.0)
        return math.hypot(self.expanded_uncertainty / self.coverage_factor, step)


@dataclass(frozen=True)
class Verdict:
    """A reading held against its limits; `side` is the limit in question, "" when inside."""

    decision: Decision
    value: float
    lower: float | None
    upper: float | None
    standard_uncertainty: float
    probability_inside: float
    rule: Rule
    confidence: float
    side: str
    instrument: MeasuringInstrument

    @property
    def limits(self) -> Span:
        """The limits as one span."""
        return Span(self.lower, self.upper)

    @property
    def specific_risk(self) -> float:
        """Chance of being wrong in calling this reading inside (JCGM 106:2012, 9). [-]"""
        return 1.0 - self.probability_inside

    @property
    def guard_band(self) -> float:
        """Distance to keep from one limit to be sure of it."""
        return guard_band(self.standard_uncertainty, self.confidence)

    @property
    def sure_between(self) -> Span | None:
        """Readings that would show the value to be inside; None when this instrument never can."""
        return acceptance_limits(self.limits, self.standard_uncertainty, self.confidence)

    def working(self, unit: str, title: str) -> Working:
        """How the probability came about."""
        resolution_in = "in the uncertainty" if self.instrument.resolution_included else ""
        return Working(
            title=title,
            formula="P = Φ((upper − x)/u) − Φ((lower − x)/u), u = √((U/k)² + (d/√12)²)",
            inputs=(
                Quantity("reading x", self.value, unit),
                Quantity("lower limit", "none" if self.lower is None else self.lower, unit),
                Quantity("upper limit", "none" if self.upper is None else self.upper, unit),
                Quantity("expanded uncertainty U", self.instrument.expanded_uncertainty, unit),
                Quantity("coverage factor k", self.instrument.coverage_factor, ""),
                Quantity("resolution d", self.instrument.resolution, unit, resolution_in),
                Quantity("standard uncertainty u", self.standard_uncertainty, unit),
                Quantity(f"decision rule, {self.rule}", self.decision, ""),
                Quantity("confidence asked for", self.confidence, ""),
            ),
            result=Quantity("probability P that the true value is inside", self.probability_inside, ""),
            validity="normal error of the instrument; nothing supposed beforehand about the part",
            source="JCGM 106:2012, 7 and 8",
            authority="standard",
        )


@kinds_checked
def sentence(verdict: Verdict, unit: str, low_means: str = "", high_means: str = "") -> str:
    """A sentence or two for the bench: the reading, OK or what is wrong, what it means, what to do.

    Parameters
    ----------
    verdict : Verdict
    unit : str
        Unit of reading and limits, as it is to be written.
    low_means, high_means : str
        What a value below or above its limits does to the engine, for example "runs rich"; may be empty.

    Returns
    -------
    str

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> from tickover.science.measurement.conformity import decide
    >>> print(sentence(decide(1.4, 1.2, 1.6, resolution=0.01, expanded_uncertainty=0.05), "mm"))
    1.40 mm ± 0.05: OK (1.2 to 1.6).
    """
    means = {"low": low_means, "high": high_means}.get(verdict.side, "").rstrip(".")
    if verdict.decision is Decision.CANNOT_TELL:
        return _cannot_tell(verdict, unit, means)
    found = _outside(verdict) if verdict.decision is Decision.OUTSIDE else "OK"
    as_read = " as read" if verdict.rule is Rule.SIMPLE or verdict.standard_uncertainty == 0.0 else ""
    means = f" {means[:1].upper()}{means[1:]}." if means else ""
    return f"{_reading(verdict, unit)}{_give_or_take(verdict)}: {found}{as_read} ({_span(verdict)}).{means}"


@kinds_checked
def percent(chance: float) -> str:
    """A chance in words that never claim certainty: "58 %", "99.7 %", "over 99.9 %", "under 0.1 %"."""
    share = 100.0 * chance
    if share > 99.9:
        return "over 99.9 %"
    if share < 0.1:
        return "under 0.1 %"
    return f"{math.floor(share * 10.0) / 10.0:.1f} %" if share > 99.0 or share < 1.0 else f"{share:.0f} %"


def _reading(verdict: Verdict, unit: str) -> str:
    """The value with as many decimals as the instrument can read, and never on the other side of a limit."""
    step = verdict.instrument.resolution
    return f"{format_reading(verdict.value, step, verdict.lower, verdict.upper)} {unit}".rstrip()


def _give_or_take(verdict: Verdict) -> str:
    """The expanded uncertainty (k = 2) to two figures; "" where none is stated."""
    expanded = float(f"{2.0 * verdict.standard_uncertainty:.2g}")
    return f" ± {expanded:g}" if expanded else ""


def _limit(verdict: Verdict) -> str:
    """The limit in question."""
    return f"{verdict.lower if verdict.side == 'low' else verdict.upper:.10g}"


def _span(verdict: Verdict) -> str:
    stated = "" if verdict.standard_uncertainty else "; gauge error not stated"
    return f"{_limits(verdict)}{stated}"


def _limits(verdict: Verdict) -> str:
    if verdict.lower is None or verdict.upper is None:
        return f"max {verdict.upper:.10g}" if verdict.lower is None else f"min {verdict.lower:.10g}"
    return f"{verdict.lower:.10g} to {verdict.upper:.10g}"


def _outside(verdict: Verdict) -> str:
    return "too low" if verdict.side == "low" else "too high"


def _cannot_tell(verdict: Verdict, unit: str, means: str) -> str:
    read = f"{_reading(verdict, unit)}{_give_or_take(verdict)}"
    if verdict.sure_between is None:
        return f"{read}: this gauge is too coarse for {_limits(verdict)} {unit}. Use a finer gauge."
    beyond = f" If {_outside(verdict)}: {means}." if means else ""
    return (
        f"{read}: too close to {_limit(verdict)} for this gauge.{beyond} Measure again, or use a finer gauge."
    )
