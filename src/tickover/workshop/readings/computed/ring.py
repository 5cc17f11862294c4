"""Ring end gap held against the bore it is measured in."""

from __future__ import annotations

from collections.abc import Callable

from tickover.workshop.readings.input_fields import (Asked)
from tickover.workshop.readings.computed.computation import (Amounts, Computation, Site)

GAP, BORE = "of-gap", "of-bore"


def _asks(site: Site) -> tuple[Asked, ...]:
    bore_mm = site.known("bore_mm")
    return (
        Asked(GAP, "End gap, ring square in the bore", "mm", within=0.02),
        Asked(BORE, "Bore where the ring lies", "mm", gauged=False, within=0.02, given=bore_mm),
    )


def _parts(site: Site) -> float:
    """In what part of the bore the limit counts: hundredths where it is in per cent."""
    return 100.0 if site.limit.unit == "%" else 1.0


def _sum(site: Site, _amounts: Amounts) -> Callable[[Amounts], float]:
    return lambda a: _parts(site) * a[GAP] / a[BORE]


def _near(site: Site, value: float) -> dict[str, float]:
    bore_mm = site.known("bore_mm")
    return {GAP: value * bore_mm / _parts(site), BORE: bore_mm}


GAP_PER_BORE = Computation(
    asks=_asks,
    sum_for=_sum,
    near=_near,
    formula="gap / bore",
    validity="ring pushed square with the piston, above the ports, and in the worn part too",
    source="",
    standing="common practice, no source",
)
