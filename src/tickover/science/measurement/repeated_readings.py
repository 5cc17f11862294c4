"""What do several readings of one thing say together: which value, how far do they scatter, how sure is it?

References
----------
JCGM 100:2008, 4.2 (evaluation of standard uncertainty from repeated observations, type A).
Range of a few normal readings to their standard deviation: factors d2 of ISO 7870-2 (control charts).
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass

from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.core.kinds import kinds_checked
from tickover.science.core.working import Quantity, Working

D2 = {2: 1.128, 3: 1.693, 4: 2.059, 5: 2.326}
"""Expected range of n normal readings, in standard deviations."""
MEDIAN_OVER_MEAN = math.sqrt(math.pi / 2.0)
"""How much wider than a mean the median of many normal readings scatters; of few, it is less."""


@dataclass(frozen=True)
class Repeated:
    """Several readings and the one value taken from them, all in one unit.

    `sd` is the scatter of a single reading, `standard_uncertainty` what that scatter leaves on `value`; both
    are 0 for a lone reading, which says nothing of its scatter.
    """

    readings: tuple[float, ...]
    take: str
    value: float
    spread: float
    sd: float
    standard_uncertainty: float

    @kinds_checked
    def agree(self, spread_max: float | None) -> bool:
        """Whether the readings lie within the spread allowed; the allowed spread itself is within it."""
        # A difference of decimals carries a last binary digit: 1.41 - 1.38 is a hair above 0.03.
        return spread_max is None or self.spread <= spread_max * (1.0 + 1e-9)

    def working(self, unit: str, title: str) -> Working:
        """How value and scatter came about."""
        n = len(self.readings)
        by_range = n in D2
        scatter = f"s = R/d₂, d₂ = {D2[n]:g} for {n} readings" if by_range else "s = √(Σ(xᵢ − x̄)²/(n − 1))"
        spread = {"last": "u = s", "median": "u = s/√2" if n == 2 else "u = 1.253·s/√n"}[self.take]
        return Working(
            title=f"{title}, {n} readings",
            formula=f"x = {self.take} of the readings; {scatter}; {spread}",
            inputs=(
                *(Quantity(f"reading {i}", x, unit) for i, x in enumerate(self.readings, start=1)),
                Quantity("spread R, largest less smallest", self.spread, unit),
                Quantity("scatter of one reading s", self.sd, unit),
                Quantity("standard uncertainty by the scatter u", self.standard_uncertainty, unit),
            ),
            result=Quantity(f"{self.take} x", self.value, unit),
            validity="readings taken alike, each begun afresh; of so few the scatter is known only roughly",
            source="JCGM 100:2008, 4.2; d₂ by ISO 7870-2",
            authority="standard",
        )


@kinds_checked
def repeated(readings: Sequence[float], *, take: str = "median") -> Repeated:
    """Take one value from several readings.

    Parameters
    ----------
    readings : sequence of float
        At least one, all in one unit.
    take : "median" or "last"
        The middle one (the mean of the two middle ones of an even number), or the last.

    Returns
    -------
    Repeated

    Raises
    ------
    OutOfRangeError
        No reading, one that is not a number, or another way to take.

    Notes
    -----
    Of two to five readings the standard deviation is estimated from their range, of more from their squares.
    The last reading scatters as any single one does; the median by s/sqrt(2) of two, else at most by
    1.253 s/sqrt(n), which for few readings errs on the safe side.

    Examples
    --------
    >>> found = repeated(readings=[1.4, 1.42, 1.41], take='median')
    >>> print(f"{found.value:.4g}")
    1.41
    """
    values = tuple(map(float, readings))
    if not values or not all(map(math.isfinite, values)):
        raise OutOfRangeError(f"readings must be one or more finite numbers, not {list(values)}")
    if take not in ("median", "last"):
        raise OutOfRangeError(f'take the "median" or the "last" of the readings, not {take!r}')
    spread = max(values) - min(values)
    sd = _standard_deviation(values, spread)
    value = statistics.median(values) if take == "median" else values[-1]
    return Repeated(values, take, value, spread, sd, _left_on_value(sd, len(values), take))


def _standard_deviation(values: tuple[float, ...], spread: float) -> float:
    if len(values) == 1:
        return 0.0
    return spread / D2[len(values)] if len(values) in D2 else statistics.stdev(values)


def _left_on_value(sd: float, n: int, take: str) -> float:
    if take == "last":
        return sd
    return sd / math.sqrt(n) * (MEDIAN_OVER_MEAN if n > 2 else 1.0)
