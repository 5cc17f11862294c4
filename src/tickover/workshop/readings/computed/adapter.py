"""Torque at the nut when the wrench is made longer by an adapter: what it must be set to."""

from __future__ import annotations

from collections.abc import Callable

from tickover.science.fasteners.preload_and_torque import offset_adapter_setting_nm
from tickover.workshop.readings.computed.computation import Amounts, Computation, MeasurementContext
from tickover.workshop.readings.input_fields import InputField

LENGTH, OFFSET, SETTING = "of-wrench-length", "of-offset", "of-setting"


def _asks(site: MeasurementContext) -> tuple[InputField, ...]:
    return (
        InputField(LENGTH, "Wrench, middle of the hand to the square", "mm", gauged=False, within=2.0),
        InputField(
            OFFSET,
            "Adapter, from the square to the nut",
            "mm",
            gauged=False,
            within=0.5,
            note="In line with the wrench, outwards; 0 at a right angle.",
        ),
        InputField(
            SETTING,
            "What the wrench was set to",
            site.limit.unit,
            optional=True,
            note="Leave it empty first: then the setting for the torque of the sheet is worked out.",
        ),
    )


def setting(amounts: Amounts, torque: float) -> float:
    """What the wrench is set to for a torque at the nut, both in one unit."""
    # In proportion to the torque, so that any unit may stand for newton metres.
    return float(offset_adapter_setting_nm(torque, amounts[LENGTH] / 1000.0, amounts[OFFSET] / 1000.0))


def _sum(_site: MeasurementContext, _amounts: Amounts) -> Callable[[Amounts], float]:
    # The setting is in proportion to the torque, so one unit of torque gives the ratio.
    return lambda a: a[SETTING] / setting(a, 1.0)


def _near(_site: MeasurementContext, value: float) -> dict[str, float]:
    arm = {LENGTH: 250.0, OFFSET: 50.0}
    return {**arm, SETTING: setting(arm, value)}


OFFSET_ADAPTER = Computation(
    asks=_asks,
    sum_for=_sum,
    near=_near,
    formula="torque at the nut = setting·(L + E)/L",
    validity="adapter in line with the wrench and pulled at the middle of the grip",
    source="lever arm, elementary statics",
    authority="standard",
)
