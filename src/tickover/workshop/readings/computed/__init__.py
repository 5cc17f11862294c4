"""Readings that are computed from others, one file for each; a type sheet names them by their id.

May import `science`, `formats`, `sheets` and the words for what is asked; knows no tables and no pages.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import get_args

from tickover.sheets import LimitRow, Problem
from tickover.sheets.schema.limits import Computed
from tickover.workshop.readings.computed import adapter, belt, pressure, ring, squish, track
from tickover.workshop.readings.computed.computation import (
    Amounts,
    Computation,
    MeasurementContext,
    NoComputationError,
)

COMPUTATIONS: dict[str, Computation] = {
    "squish-both-sides": squish.BOTH_SIDES,
    "belt-tension": belt.TENSION,
    "pressure-loss": pressure.LOSS,
    "offset-adapter": adapter.OFFSET_ADAPTER,
    "ring-gap-per-bore": ring.GAP_PER_BORE,
    "track-spread": track.SPREAD,
}

__all__ = [
    "COMPUTATIONS",
    "Amounts",
    "Computation",
    "MeasurementContext",
    "NoComputationError",
    "computed_by",
    "missing",
]


def computed_by(limit: LimitRow) -> Computation | None:
    """The sum that a limit's value comes out of, None where it is read. Raises NoComputationError for an unknown."""
    if not limit.computed:
        return None
    if limit.computed not in COMPUTATIONS:
        raise NoComputationError(
            f"{limit.title} is computed by “{limit.computed}”, which this version of tickover does not know. "
            "Nothing was judged. Update tickover."
        )
    return COMPUTATIONS[limit.computed]


def missing(limits: Iterable[LimitRow]) -> Iterator[Problem]:
    """Limits of a sheet whose sum is not known here: read as if typed, they would be judged by the wrong number."""
    for limit in limits:
        if limit.computed and limit.computed not in COMPUTATIONS:
            what = f'this version of tickover does not know the computation "{limit.computed}"'
            yield Problem(f"limits.{limit.id}.computed", what)


def complete() -> None:
    """Raises NoComputationError where the schema allows a computation that is not known here."""
    if unknown := set(get_args(Computed)) - {"", *COMPUTATIONS}:
        raise NoComputationError(f"No computation for {', '.join(sorted(unknown))}.")


complete()
