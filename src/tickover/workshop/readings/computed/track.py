"""How far the tips of the blades pass apart from each other."""

from __future__ import annotations

from collections.abc import Callable

from tickover.workshop.readings.computed.computation import Amounts, Computation, MeasurementContext
from tickover.workshop.readings.input_fields import InputField


def _blades(site: MeasurementContext) -> int:
    return max(2, site.geometry.propeller.blades)


def _asks(site: MeasurementContext) -> tuple[InputField, ...]:
    return tuple(
        InputField(f"of-blade-{n}", f"Tip of blade {n}, from the stand", site.limit.unit)
        for n in range(1, _blades(site) + 1)
    )


def _sum(_site: MeasurementContext, amounts: Amounts) -> Callable[[Amounts], float]:
    # Which tip is foremost is settled once: near a tie the uncertainty of both still counts.
    order = sorted(amounts, key=lambda name: amounts[name])
    return lambda a: a[order[-1]] - a[order[0]]


def _near(site: MeasurementContext, value: float) -> dict[str, float]:
    tips = {a.name: 10.0 for a in _asks(site)}
    return {**tips, "of-blade-1": 10.0 + value}


SPREAD = Computation(
    asks=_asks,
    sum_for=_sum,
    near=_near,
    formula="spread = farthest tip − nearest tip",
    validity="stand untouched between the blades, hub bolts at torque, plug out, turned by hand",
    source="",
    authority="common practice, no source",
)
