"""Squish from solder pressed at both sides of the pin axis: their mean, and whether the piston tilts."""

from __future__ import annotations

from collections.abc import Callable

from tickover.formats.text import units
from tickover.science.core.working import Quantity
from tickover.workshop.readings.computed.computation import Amounts, Computation, MeasurementContext
from tickover.workshop.readings.input_fields import InputField

TILT_MM = 0.10


def _asks(site: MeasurementContext) -> tuple[InputField, ...]:
    unit = site.limit.unit
    return InputField("of-side-a", "Solder, one end of the pin axis", unit), InputField(
        "of-side-b", "Solder, the other end", unit
    )


def _mean(_site: MeasurementContext, _amounts: Amounts) -> Callable[[Amounts], float]:
    return lambda a: (a["of-side-a"] + a["of-side-b"]) / 2.0


def _tilt(site: MeasurementContext, amounts: Amounts) -> float:
    return abs(amounts["of-side-a"] - amounts["of-side-b"])


def _also(site: MeasurementContext, amounts: Amounts) -> tuple[Quantity, ...]:
    return (Quantity("tilt |a − b|", _tilt(site, amounts), site.limit.unit),)


def _notes(site: MeasurementContext, amounts: Amounts) -> tuple[str, ...]:
    tilt_mm = round(units.convert_width(_tilt(site, amounts), site.limit.unit, "mm"), 9)
    if tilt_mm <= TILT_MM:
        return ()
    return (
        f"The two sides differ by {tilt_mm:.2f} mm, more than {TILT_MM:.2f} mm: a tilt. Check rod, base "
        "gasket and cylinder seat before using the mean.",
    )


BOTH_SIDES = Computation(
    asks=_asks,
    sum_for=_mean,
    near=lambda _site, value: {"of-side-a": value, "of-side-b": value},
    formula="squish = (a + b)/2",
    validity="solder soft and thicker than the gap, both pieces on the pin axis, crank turned through once",
    source="tilt above 0.10 mm is reported: common practice, no source",
    authority="common practice, no source",
    also=_also,
    notes=_notes,
)
