"""Is this run like this engine's earlier ones?

The accepted runs of one engine give a mean and a scatter for each figure. A new run of the same engine lies within
the prediction interval in 95 cases of 100. Speeds are compared as they are: static rpm hardly moves with the weather
(`static_weather`), so no air of the day is put in.

References
----------
Prediction interval for one more value of a normal sample: x̄ ± t(0.975, n−1) s √(1 + 1/n); NIST/SEMATECH e-Handbook
of Statistical Methods, 7.2 (t), and any text on regression.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.stats import t as student

from tickover.science.working import Quantity, Working

__all__ = ["ENOUGH_RUNS", "Baseline", "baseline_of"]

ENOUGH_RUNS = 3
"""With fewer runs their scatter says next to nothing."""


@dataclass(frozen=True)
class Baseline:
    """One figure over the accepted runs: their number, mean and standard deviation, in the figure's unit.

    `sd` is NaN for a single run.
    """

    runs: int
    mean: float
    sd: float

    @property
    def enough(self) -> bool:
        return self.runs >= ENOUGH_RUNS

    def interval(self, u: float = 0.0) -> tuple[float, float]:
        """Where one more run lies in 95 of 100 cases; `u` is what reading the figure off a run leaves unsure.

        Raises
        ------
        ValueError
            For fewer than two runs.
        """
        if self.runs < 2:
            raise ValueError("one run has no scatter: a prediction interval needs two at least")
        # Runs that happen to agree to the last digit do not make the next one agree better than it can be read.
        sd = max(self.sd, u)
        half = float(student.ppf(0.975, self.runs - 1)) * sd * math.sqrt(1.0 + 1.0 / self.runs)
        return self.mean - half, self.mean + half

    def working(self, title: str, unit: str, u: float = 0.0) -> Working:
        """How the interval came about."""
        lower, upper = self.interval(u)
        return Working(
            title=f"{title}: where the next run of this engine is expected",
            formula="mean ± t(0.975, n − 1) · s · √(1 + 1/n)",
            inputs=(
                Quantity("accepted runs n", float(self.runs), ""),
                Quantity("their mean", self.mean, unit),
                Quantity("their standard deviation s", self.sd, unit),
                Quantity("least s: what one reading leaves unsure", u, unit),
                Quantity("lower end", lower, unit),
            ),
            result=Quantity("upper end", upper, unit),
            validity="same engine, propeller, pitch, exhaust and carburettor; speeds scattered normally",
            source="NIST/SEMATECH e-Handbook of Statistical Methods, 7.2",
            standing="standard",
        )


def baseline_of(runs: Sequence[Mapping[str, float | None]]) -> dict[str, Baseline]:
    """Baseline of each figure from the figures of the accepted runs, by the id of the figure."""
    ids = sorted({id for run in runs for id in run})
    found: dict[str, Baseline] = {}
    for id in ids:
        values = np.array([v for run in runs if (v := run.get(id)) is not None], dtype=np.float64)
        if values.size:
            sd = float(values.std(ddof=1)) if values.size > 1 else float("nan")
            found[id] = Baseline(int(values.size), float(values.mean()), sd)
    return found
