"""How much could more causes at once than were counted change the answer? At most this much.

The chance of a finding grows with the causes present, but less and less: the logarithm of
``1 - (1 - leak) exp(-t)`` is concave in ``t``, the sum over the causes present of ``-log(1 - link)``. Its tangent
at any point lies above it, and with tangents in place of all findings seen the sum over every set of causes is a
product, however many there are. So each choice of tangent points gives an upper bound; a few rounds of moving
them to where the large sets are make it close.

References
----------
T.S. Jaakkola, M.I. Jordan, "Variational probabilistic inference and the QMR-DT network", *Journal of Artificial
Intelligence Research* 10 (1999) 291, for the tangents.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tickover.science.faults.grades import symmetric_sums
from tickover.science.faults.sets import Floats

ROUNDS = 12
ROUNDING = 1e-12
"""Room left for rounding, as a share of the sum over all sets."""


@dataclass(frozen=True, eq=False)
class Uncounted:
    """Causes that may be present beside those that certainly are, and the findings seen.

    odds : of each cause, with what is absent counted in, shape (causes,)
    link : with the findings seen, shape (causes, findings)
    silent : chance that a finding would not show without these causes, shape (findings,)
    counted : sets of up to so many of these causes are counted elsewhere
    """

    odds: Floats
    link: Floats
    silent: Floats
    counted: int

    def log_bound(self) -> float:
        """Natural logarithm of an upper bound on the sum over all larger sets, in the scale of the odds."""
        strength = -np.log(np.maximum(1 - self.link, 1e-20))
        at = strength.sum(axis=0) * 0.1 + 0.1
        best = np.inf
        for _ in range(ROUNDS):
            slope = self.silent * np.exp(-at) / (1 - self.silent * np.exp(-at))
            height = float((np.log1p(-self.silent * np.exp(-at)) - slope * at).sum())
            log_tilt = strength @ slope
            best = min(best, height + self._log_larger(log_tilt))
            at = 0.5 * at + 0.5 * (self._present(log_tilt) @ strength + 1e-6)
        return best

    def _log_larger(self, log_tilt: Floats) -> float:
        odds = self.odds * np.exp(log_tilt)
        every = float(np.log1p(odds).sum())
        smaller = float((symmetric_sums(odds.tolist(), self.counted) * np.exp(-every)).sum())
        return every + float(np.log(max(1 - smaller, 0.0) + ROUNDING))

    def _present(self, log_tilt: Floats) -> Floats:
        """Chance of each cause in a larger set, roughly: it only says where to put the tangents."""
        odds = self.odds * np.exp(log_tilt)
        chance = odds / (1 + odds)
        lacking = max(0.0, self.counted + 1 - float(chance.sum()))
        return np.asarray(np.minimum(1.0, chance * (1 + lacking / (float(chance.sum()) + 1e-12))))
