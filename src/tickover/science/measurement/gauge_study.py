"""How much of what is read differs by the part, by who reads it, and by reading it again?

Several people read the same parts several times; the spread is taken apart by analysis of variance. Where people and
parts show no interplay, that is counted with the repeating.

References
----------
AIAG, Measurement Systems Analysis, 4th ed. (2010), III B (analysis of variance; from memory). Five distinct classes
or more, and less than a tenth of the spread by the gauge, are what it calls fit.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import fdtrc

from tickover.science.core.arrays import Array
from tickover.science.core.input_checks import OutOfRangeError, checked
from tickover.science.core.results import NamedFigures
from tickover.science.core.working import Quantity, Working

__all__ = ["GaugeStudy", "RangeStudy", "by_ranges", "gauge_study"]

INTERPLAY_P = 0.25
"""Interplay less sure than this counts as none. [-]"""
CLASSES = math.sqrt(2.0)
RANGE_OF_TIMES = {2: 0.8862, 3: 0.5908}
RANGE_OF_ONE_ROW = (0.7071, 0.5231, 0.4467, 0.4030, 0.3742, 0.3534, 0.3375, 0.3249, 0.3146)
"""Standard deviation over the mean range: of 2 and 3 times; of one range of 2, 3, ... 10 values (K1; K2 and K3). [-]"""


@dataclass(frozen=True)
class Squares:
    """Sums of squares about the mean, in the unit squared."""

    part: float
    person: float
    interplay: float
    repeat: float

    @property
    def total(self) -> float:
        return self.part + self.person + self.interplay + self.repeat


@dataclass(frozen=True)
class GaugeStudy:
    """Standard deviations by where the spread comes from, in the unit of the readings.

    `repeat_sd`: the same person again; `person_sd`: from person to person, alike on all parts; `interplay_sd`: from
    person to person, other on each part, 0 where it is counted with the repeating; `part_sd`: from part to part.
    `interplay_p`: chance of so much interplay where there is none. [-]
    """

    parts: int
    people: int
    times: int
    squares: Squares
    interplay_f: float
    interplay_p: float
    repeat_sd: float
    person_sd: float
    interplay_sd: float
    part_sd: float

    @property
    def gauge_sd(self) -> float:
        """Of reading one part: repeating and people together."""
        return math.hypot(self.repeat_sd, self.person_sd, self.interplay_sd)

    @property
    def total_sd(self) -> float:
        return math.hypot(self.gauge_sd, self.part_sd)

    @property
    def gauge_percent(self) -> float:
        """Of the whole spread. [%]"""
        return 100.0 * self.gauge_sd / self.total_sd

    @property
    def classes(self) -> int:
        """How many classes of such parts these readings can tell apart; 1 where they tell none. [-]"""
        if self.gauge_sd == 0.0:
            raise OutOfRangeError("all readings of each part are the same: take a finer instrument")
        return max(1, int(CLASSES * self.part_sd / self.gauge_sd))

    def working(self, unit: str) -> Working:
        """How the share came about."""
        return Working(
            title="spread of the readings by the gauge and its people",
            formula="analysis of variance of parts, people and times; share = 100 √(repeat² + people²)/total",
            inputs=(
                Quantity("parts", self.parts, ""),
                Quantity("people", self.people, ""),
                Quantity("times each", self.times, ""),
                Quantity("reading again, standard deviation", self.repeat_sd, unit),
                Quantity("from person to person", math.hypot(self.person_sd, self.interplay_sd), unit),
                Quantity("from part to part", self.part_sd, unit),
            ),
            result=Quantity("share of the gauge in the whole spread", self.gauge_percent, "%"),
            validity="parts as they come in, read in a mixed order by people who do not see each other's readings",
            source="AIAG, Measurement Systems Analysis, 4th ed. (2010), III B (from memory)",
            authority="own data",
        )


def gauge_study(readings: ArrayLike) -> GaugeStudy:
    """Take the spread of readings apart.

    Parameters
    ----------
    readings : array_like [parts, people, times]
        In one unit; at least two of each.

    Raises
    ------
    OutOfRangeError
        Also when all readings are the same.
    """
    x = checked("reading", readings, -np.inf, np.inf)
    if x.ndim != 3 or min(x.shape) < 2:
        raise OutOfRangeError(
            f"readings must be of two parts, people and times at least; got the shape {x.shape}"
        )
    if float(np.ptp(x)) == 0.0:
        raise OutOfRangeError("all readings are the same: take a finer instrument, or parts that differ")
    parts, people, times = x.shape
    squares = _squares(x)
    freedom = (parts - 1, people - 1, (parts - 1) * (people - 1), parts * people * (times - 1))
    part, person, both, repeat = np.divide(
        (squares.part, squares.person, squares.interplay, squares.repeat), freedom
    )
    f = float(both / repeat) if repeat > 0.0 else math.inf
    p = float(fdtrc(freedom[2], freedom[3], f)) if repeat > 0.0 else 0.0
    if p > INTERPLAY_P:
        repeat = both = (squares.interplay + squares.repeat) / (freedom[2] + freedom[3])
    sds = (
        repeat,
        (person - both) / (parts * times),
        (both - repeat) / times,
        (part - both) / (people * times),
    )
    return GaugeStudy(
        parts, people, times, squares, f, p, *(math.sqrt(max(float(variance), 0.0)) for variance in sds)
    )


@dataclass(frozen=True)
class RangeStudy(NamedFigures):
    """Standard deviations of repeating, of people and of parts, in the unit of the readings."""

    repeating: float
    people: float
    parts: float


def by_ranges(readings: ArrayLike) -> RangeStudy:
    """Standard deviations of repeating, of people and of parts by ranges: the sum that is done on paper.

    Readings and errors as for `gauge_study`, of 2 to 10 parts, 2 or 3 people, 2 or 3 times; blind to interplay.
    """
    x = checked("reading", readings, -np.inf, np.inf)
    if x.ndim != 3 or not (2 <= x.shape[0] <= 10 and set(x.shape[1:]) <= {2, 3}):
        raise OutOfRangeError(
            f"ranges are of 2 to 10 parts, 2 or 3 people and times; got the shape {x.shape}"
        )
    parts, people, times = x.shape
    repeat = RANGE_OF_TIMES[times] * float(np.ptp(x, axis=2).mean())
    person = RANGE_OF_ONE_ROW[people - 2] * float(np.ptp(x.mean(axis=(0, 2))))
    part = RANGE_OF_ONE_ROW[parts - 2] * float(np.ptp(x.mean(axis=(1, 2))))
    return RangeStudy(repeat, math.sqrt(max(person**2 - repeat**2 / (parts * times), 0.0)), part)


def _squares(x: Array) -> Squares:
    parts, people, times = x.shape
    mean, by_part, by_person, cells = x.mean(), x.mean(axis=(1, 2)), x.mean(axis=(0, 2)), x.mean(axis=2)
    part = people * times * float(np.sum((by_part - mean) ** 2))
    person = parts * times * float(np.sum((by_person - mean) ** 2))
    alone = cells - by_part[:, None] - by_person + mean
    return Squares(part, person, times * float(np.sum(alone**2)), float(np.sum((x - cells[..., None]) ** 2)))
