"""Ring end gap held against the bore it is measured in."""

from __future__ import annotations

from collections.abc import Callable

from tickover.workshop.readings.computed.computation import Amounts, Computation, MeasurementContext
from tickover.workshop.readings.input_fields import InputField

GAP, BORE = "of-gap", "of-bore"


def _asks(site: MeasurementContext) -> tuple[InputField, ...]:
    bore_mm = site.known("bore_mm")
    return (
        InputField(GAP, "End gap, ring square in the bore", "mm", within=0.02),
        InputField(BORE, "Bore where the ring lies", "mm", gauged=False, within=0.02, given=bore_mm),
    )


def _parts(site: MeasurementContext) -> float:
    """In what part of the bore the limit counts: hundredths where it is in per cent."""
    return 100.0 if site.limit.unit == "%" else 1.0


def _sum(site: MeasurementContext, _amounts: Amounts) -> Callable[[Amounts], float]:
    return lambda a: _parts(site) * a[GAP] / a[BORE]


def _near(site: MeasurementContext, value: float) -> dict[str, float]:
    bore_mm = site.known("bore_mm")
    return {GAP: value * bore_mm / _parts(site), BORE: bore_mm}


GAP_PER_BORE = Computation(
    asks=_asks,
    sum_for=_sum,
    near=_near,
    formula="gap / bore",
    validity="ring pushed square with the piston, above the ports, and in the worn part too",
    source="",
    authority="common practice, no source",
)
