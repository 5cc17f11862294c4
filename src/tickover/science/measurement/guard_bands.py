"""How often does a decision rule go wrong? Guard bands, acceptance limits and risks of accepting.

Values are in whatever unit the reading has, all the same one. Errors of measurement are normal.

References
----------
JCGM 106:2012, Evaluation of measurement data: the role of measurement uncertainty in conformity assessment.
Clause 6 (what is known after measuring), 7 (probability of conformity), 8 (guard bands), 9 (risks); clause
numbers from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from tickover.science.core.input_checks import OutOfRangeError, checked_one
from tickover.science.core.kinds import checked_fields, kinds_checked
from tickover.science.core.results import NamedFigures

LARGEST = 1e12
"""No reading of any unit is larger; beyond it the sums would lose their digits."""


@dataclass(frozen=True)
class Span:
    """A closed interval; None leaves that side open.

    Raises OutOfRangeError when both sides are open, a side is not a finite number, or the sides are crossed.
    """

    lower: float | None
    upper: float | None

    def __post_init__(self) -> None:
        checked_fields(self)
        given = [side for side in (self.lower, self.upper) if side is not None]
        if not given:
            raise OutOfRangeError("no limit is given: state a lower limit, an upper limit or both")
        if not all(math.isfinite(side) for side in given):
            raise OutOfRangeError(f"a limit must be a finite number, not {self.lower} to {self.upper}")
        if given[0] > given[-1]:
            raise OutOfRangeError(f"the lower limit {self.lower} is above the upper limit {self.upper}")

    @property
    def low(self) -> float:
        """Lower end, minus infinity when open."""
        return -math.inf if self.lower is None else self.lower

    @property
    def high(self) -> float:
        """Upper end, infinity when open."""
        return math.inf if self.upper is None else self.upper

    @kinds_checked
    def holds(self, value: float) -> bool:
        """Whether a value lies inside; the ends belong to the inside."""
        return self.low <= value <= self.high

    @kinds_checked
    def shrunk(self, guard_band: float) -> Span:
        """The span with a guard band taken off each closed side; OutOfRangeError when nothing is left.

        A negative one widens it, as relaxed acceptance does (JCGM 106:2012, 8.3.3).
        """
        checked_one("guard band", guard_band, -LARGEST, LARGEST)
        return Span(
            None if self.lower is None else self.lower + guard_band,
            None if self.upper is None else self.upper - guard_band,
        )


@dataclass(frozen=True)
class Normal:
    """A normal distribution: what is known of a value before or after measuring it."""

    mean: float
    sd: float

    def __post_init__(self) -> None:
        checked_one("mean", self.mean, -LARGEST, LARGEST)
        checked_one("standard deviation", self.sd, 0.0, LARGEST)


@dataclass(frozen=True)
class Risk:
    """Of all the items that come by: the share wrongly accepted and the share wrongly rejected. [-]"""

    consumer: float
    producer: float


@dataclass(frozen=True)
class ChanceOutside(NamedFigures):
    """Chance that the true value lies below the lower limit, and above the upper one. [-]"""

    below: float
    above: float


@kinds_checked
def chance_below_and_above(value: float, limits: Span, standard_uncertainty: float) -> ChanceOutside:
    """Chance that the true value lies below the lower limit, and that it lies above the upper limit.

    Nothing is known beforehand (JCGM 106:2012, 7.2). With no uncertainty the chances are 0 or 1.

    Raises OutOfRangeError for a value that is not finite and an uncertainty below 0.

    Parameters
    ----------
    value : float
        Reading.
    limits : Span
        Lower and upper limit, in the unit of the reading; one may be None.
    standard_uncertainty : float
        Of the reading, 0 or more, in its unit.

    Returns
    -------
    ChanceOutside

    Raises
    ------
    OutOfRangeError
        For a value that is not finite and an uncertainty below 0.

    Examples
    --------
    >>> below, above = chance_below_and_above(1.58, Span(1.2, 1.6), 0.025)
    >>> print(f"{below:.3f} {above:.3f}")
    0.000 0.212
    """
    if not math.isfinite(value):
        raise OutOfRangeError(f"the value must be a finite number, not {value}")
    _refuse_uncertainty(standard_uncertainty)
    if standard_uncertainty == 0.0:
        return ChanceOutside(float(value < limits.low), float(value > limits.high))
    below = ndtr((limits.low - value) / standard_uncertainty)
    above = ndtr((value - limits.high) / standard_uncertainty)
    return ChanceOutside(float(below), float(above))


@kinds_checked
def guard_band(standard_uncertainty: float, confidence: float) -> float:
    """Width to keep away from one limit, so that the chance of being outside stays at 1 - confidence.

    JCGM 106:2012, 8.3: at 95 % it is 1.645 standard uncertainties, at 97.7 % two of them.

    Raises OutOfRangeError for an uncertainty below 0 and a confidence not within 0.5 to below 1.

    Parameters
    ----------
    standard_uncertainty : float
        Of the reading, 0 or more, in its unit.
    confidence : float
        0.5 to below 1. [-]

    Returns
    -------
    float

    Raises
    ------
    OutOfRangeError
        For an uncertainty below 0 and a confidence not within 0.5 to below 1.

    Examples
    --------
    >>> print(f"{guard_band(standard_uncertainty=0.02, confidence=0.95):.4g}")
    0.0329
    """
    _refuse_uncertainty(standard_uncertainty)
    if not 0.5 <= confidence < 1.0:
        raise OutOfRangeError(f"confidence must lie between 0.5 and 1, not {confidence}")
    return float(ndtri(confidence)) * standard_uncertainty


@kinds_checked
def acceptance_limits(limits: Span, standard_uncertainty: float, confidence: float) -> Span | None:
    """Readings that show with the given confidence that the value is inside.

    None when no reading can: the instrument is too coarse for these limits.

    Parameters
    ----------
    limits : Span
        Lower and upper limit; one may be None.
    standard_uncertainty : float
        Of the reading, 0 or more, in the unit of the limits.
    confidence : float
        0.5 to below 1. [-]

    Returns
    -------
    Span | None

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> sure = acceptance_limits(Span(1.2, 1.6), 0.025, 0.95)
    >>> print(f"{sure.lower:.3f} to {sure.upper:.3f}")
    1.241 to 1.559
    """
    band = guard_band(standard_uncertainty, confidence)
    if limits.lower is None or limits.upper is None or standard_uncertainty == 0.0:
        return limits.shrunk(band)
    half_width = (limits.upper - limits.lower) / 2.0

    def short_of(distance: float) -> float:
        """Confidence lacking at a reading that far inside a limit; the other limit counts too."""
        near = ndtr(-distance / standard_uncertainty)
        far = ndtr((distance - 2.0 * half_width) / standard_uncertainty)
        return float(near + far) - (1.0 - confidence)

    if half_width <= band or short_of(half_width) > 0.0:
        return None
    from scipy.optimize import brentq  # slow to read

    return limits.shrunk(float(brentq(short_of, band / 2.0, half_width)))


@kinds_checked
def posterior(prior: Normal, value: float, standard_uncertainty: float) -> Normal:
    """What is known of an item after reading it once, given what was known of its kind (JCGM 106:2012, 6).

    Raises OutOfRangeError where kind and reading are both called exact: the two cannot be weighed.

    Parameters
    ----------
    prior : Normal
        How the true values of such items spread.
    value : float
        Reading.
    standard_uncertainty : float
        Of the reading, 0 or more, in its unit.

    Returns
    -------
    Normal

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> known = posterior(Normal(mean=1.4, sd=0.05), 1.58, 0.05)
    >>> print(f"{known.mean:.3f} {known.sd:.3f}")
    1.490 0.035
    """
    checked_one("value", value, -LARGEST, LARGEST)
    _refuse_uncertainty(standard_uncertainty)
    if not prior.sd**2 + standard_uncertainty**2 > 0.0:
        raise OutOfRangeError("the kind and the reading cannot both be without any uncertainty")
    weight = prior.sd**2 / (prior.sd**2 + standard_uncertainty**2)
    return Normal(
        mean=prior.mean + weight * (value - prior.mean), sd=math.sqrt(weight) * standard_uncertainty
    )


@kinds_checked
def global_risk(kind: Normal, limits: Span, accepted: Span, standard_uncertainty: float) -> Risk:
    """Share of all items that are outside but accepted, and inside but rejected (JCGM 106:2012, 9.5).

    Parameters
    ----------
    kind : Normal
        How true values of such items spread.
    limits : Span
        Where the true value should be.
    accepted : Span
        Where the reading must be to accept.
    standard_uncertainty : float
        Standard uncertainty of one reading, greater than 0.

    Returns
    -------
    Risk

    Raises
    ------
    OutOfRangeError
        For a spread or an uncertainty that is not above 0.

    Notes
    -----
    By Gauss-Legendre quadrature over the true value, cut at nine standard deviations (a share of 2e-19 is
    left out).

    Examples
    --------
    >>> risk = global_risk(Normal(1.4, 0.1), Span(1.2, 1.6), Span(1.24, 1.56), 0.025)
    >>> print(f"{risk.consumer:.4f} {risk.producer:.3f}")
    0.0005 0.076
    """
    if not (math.isfinite(kind.mean) and 0.0 < kind.sd < math.inf and 0.0 < standard_uncertainty < math.inf):
        raise OutOfRangeError("a global risk needs a spread of the items and an uncertainty, both above 0")
    reach = 8.0 * standard_uncertainty
    edges = [edge + shift for edge in (accepted.low, accepted.high) for shift in (-reach, 0.0, reach)]
    true, weight = _nodes(kind, [*edges, limits.low, limits.high])
    inside = (true >= limits.low) & (true <= limits.high)
    below = ndtr((accepted.low - true) / standard_uncertainty)
    above = ndtr((true - accepted.high) / standard_uncertainty)
    return Risk(
        consumer=float(np.sum(weight * (1.0 - below - above) * ~inside)),
        producer=float(np.sum(weight * (below + above) * inside)),
    )


def _refuse_uncertainty(standard_uncertainty: float) -> None:
    if not 0.0 <= standard_uncertainty < math.inf:
        raise OutOfRangeError(f"the standard uncertainty must be 0 or more, not {standard_uncertainty}")


def _nodes(kind: Normal, edges: list[float]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """True values and the share of items each stands for; between two edges the integrand is smooth."""
    start, end = kind.mean - 9.0 * kind.sd, kind.mean + 9.0 * kind.sd
    cuts = np.array(sorted({start, kind.mean, end, *(e for e in edges if start < e < end)}))
    node, share = np.polynomial.legendre.leggauss(64)
    half = np.diff(cuts)[:, None] / 2.0
    true = (cuts[:-1, None] + half * (node + 1.0)).ravel()
    density = np.exp(-0.5 * ((true - kind.mean) / kind.sd) ** 2) / (kind.sd * math.sqrt(2.0 * math.pi))
    return true, (half * share).ravel() * density
