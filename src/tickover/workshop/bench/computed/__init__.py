"""Readings that are computed from others, one file for each; a type sheet names them by their id.

May import `science`, `formats`, `sheets` and the words for what is asked; knows no tables and no pages.
"""

from tickover.workshop.bench.computed import adapter, belt, pressure, ring, squish, track
from tickover.workshop.bench.computed.computation import Amounts, Computation, Site

COMPUTATIONS: dict[str, Computation] = {
    "squish-both-sides": squish.BOTH_SIDES,
    "belt-tension": belt.TENSION,
    "pressure-loss": pressure.LOSS,
    "offset-adapter": adapter.OFFSET_ADAPTER,
    "ring-gap-per-bore": ring.GAP_PER_BORE,
    "track-spread": track.SPREAD,
}

__all__ = ["COMPUTATIONS", "Amounts", "Computation", "Site"]
