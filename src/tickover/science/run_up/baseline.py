"""Is this run like this engine's earlier ones?

The accepted runs of one engine give a mean and a scatter for each figure. A new run of the same engine lies within
the prediction interval in 95 cases of 100. Speeds are compared as they are: static rpm hardly moves with the weather
(`static_weather`). Thrust and head temperature do, and are carried to one air before they get here (`runup.air`).

From five runs on, one that stands apart from all the others is set aside and told: left in, it would widen the
interval until it hides what it should show.

References
----------
Prediction interval for one more value of a normal sample: x̄ ± t(0.975, n−1) s √(1 + 1/n); NIST/SEMATECH e-Handbook
of Statistical Methods, 7.2 (t), and any text on regression. Runs that stand apart: `outliers`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import stdtrit

from tickover.science.core.input_checks import OutOfRangeError, checked, checked_one
from tickover.science.core.kinds import kinds_checked
from tickover.science.core.results import ConfidenceInterval
from tickover.science.core.working import Quantity, Working
from tickover.science.measurement.outliers import outlying

__all__ = ["ENOUGH_RUNS", "Baseline", "baseline_of"]

ENOUGH_RUNS = 3
"""With fewer runs their scatter says next to nothing."""
LARGEST = 1e6
"""No figure of a run-up is larger, whatever its unit."""
ENOUGH_TO_SET_ASIDE = 5
APART_ALPHA = 0.01
APART_SHARE = 0.02
"""Runs nearer to the others than this do not stand apart, however well those agree: common practice, no source."""


@dataclass(frozen=True)
class Baseline:
    """One figure over the accepted runs: their number, mean and standard deviation, in the figure's unit.

    `sd` is NaN for a single run; `aside` are the figures of runs that stand apart, which are in none of the three.
    """

    runs: int
    mean: float
    sd: float
    aside: tuple[float, ...] = ()

    @property
    def enough(self) -> bool:
        return self.runs >= ENOUGH_RUNS

    @kinds_checked
    def interval(self, standard_uncertainty: float) -> ConfidenceInterval:
        """Where one more run lies in 95 of 100 cases; the standard uncertainty is that of reading
        the figure off a run.

        Raises
        ------
        OutOfRangeError
            For fewer than two runs.
        """
        if self.runs < 2:
            raise OutOfRangeError("one run has no scatter: a prediction interval needs two at least")
        checked_one("what reading the figure leaves unsure", standard_uncertainty, 0.0, LARGEST)
        # Runs that happen to agree to the last digit do not make the next one agree better than it can be read.
        sd = max(self.sd, standard_uncertainty)
        half = float(stdtrit(self.runs - 1, 0.975)) * sd * math.sqrt(1.0 + 1.0 / self.runs)
        return ConfidenceInterval(self.mean - half, self.mean + half)

    def working(self, title: str, unit: str, standard_uncertainty: float) -> Working:
        """How the interval came about."""
        lower, upper = self.interval(standard_uncertainty)
        return Working(
            title=f"{title}: where the next run of this engine is expected",
            formula="mean ± t(0.975, n − 1) · s · √(1 + 1/n)",
            inputs=(
                Quantity("accepted runs n", float(self.runs), ""),
                Quantity("their mean", self.mean, unit),
                Quantity("their standard deviation s", self.sd, unit),
                Quantity("least s: what one reading leaves unsure", standard_uncertainty, unit),
                *(Quantity("left out: far from the others", value, unit) for value in self.aside),
                Quantity("lower end", lower, unit),
            ),
            result=Quantity("upper end", upper, unit),
            validity="same engine, propeller, pitch, exhaust and carburettor; speeds scattered normally",
            source="NIST/SEMATECH e-Handbook of Statistical Methods, 7.2",
            authority="standard",
        )


@kinds_checked
def baseline_of(runs: Sequence[Mapping[str, float | None]]) -> dict[str, Baseline]:
    """Baseline of each figure from the figures of the accepted runs, by the id of the figure."""
    ids = sorted({id for run in runs for id in run})
    found: dict[str, Baseline] = {}
    for id in ids:
        values = np.array([v for run in runs if (v := run.get(id)) is not None], dtype=np.float64)
        if values.size:
            checked(id, values, -LARGEST, LARGEST)
            found[id] = _baseline(values)
    return found


def _baseline(values: NDArray[np.float64]) -> Baseline:
    apart = _apart(values)
    kept = np.delete(values, apart)
    sd = float(kept.std(ddof=1)) if kept.size > 1 else float("nan")
    return Baseline(int(kept.size), float(kept.mean()), sd, tuple(values[apart].tolist()))


def _apart(values: NDArray[np.float64]) -> NDArray[np.int64]:
    """Places of the runs that stand apart: by the test, and by enough to matter."""
    found = outlying(values, values.size // ENOUGH_TO_SET_ASIDE, APART_ALPHA)
    usual = float(np.delete(values, found).mean())
    far: NDArray[np.int64] = found[np.abs(values[found] - usual) > APART_SHARE * abs(usual)]
    return far
