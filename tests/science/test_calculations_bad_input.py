"""Every sum refuses what cannot be true, names it, and says what is."""

import inspect
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from tests.science.good_sums import SUMS
from tickover.science.atmosphere import power_correction, static_correction
from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.engine import (
    balance,
    compression,
    crank,
    cylinder,
    drive,
    induction_leak,
    port_timing,
    pressure_decay,
    propeller,
    squish_velocity,
    tip_speed,
    trial_runs,
)
from tickover.science.fasteners import bolt_torques, preload_and_torque, preload_scatter, threads
from tickover.science.fuel_system import oil_mix, orifice
from tickover.science.measurement import thermocouple

MODULES = (
    balance,
    bolt_torques,
    preload_scatter,
    compression,
    crank,
    cylinder,
    drive,
    induction_leak,
    preload_and_torque,
    pressure_decay,
    oil_mix,
    orifice,
    port_timing,
    power_correction,
    propeller,
    squish_velocity,
    tip_speed,
    static_correction,
    thermocouple,
    threads,
    trial_runs,
)
GOOD = {name.split(".")[2]: call for name, call in SUMS.items()}
"""A good call of every public function."""


def public() -> dict[str, Callable[..., Any]]:
    """Public functions of the sums by name."""
    return {
        name: getattr(module, name)
        for module in MODULES
        for name in module.__all__
        if inspect.isfunction(getattr(module, name))
    }


def numeric(name: str) -> list[str]:
    """Arguments of a good call that are numbers."""
    return [argument for argument, value in GOOD[name].items() if not isinstance(value, str)]


NONSENSE: tuple[Any, ...] = (None, np.nan, np.inf, -np.inf, -1e12, "wide", [], True, 1 + 2j, {})
CASES = [(name, argument) for name in GOOD for argument in numeric(name)]


def test_every_public_function_is_tried_here() -> None:
    assert public().keys() == GOOD.keys()


@pytest.mark.parametrize("name", GOOD)
def test_a_good_call_gives_finite_numbers(name: str) -> None:
    found = public()[name](**GOOD[name])
    for value in found if isinstance(found, tuple) else (found,):
        if isinstance(value, float | np.ndarray):
            assert np.all(np.isfinite(value))
        elif hasattr(value, "working"):
            assert np.isfinite(value.working().result.value)


@pytest.mark.parametrize(("name", "argument"), CASES)
def test_nonsense_is_refused(name: str, argument: str) -> None:
    may_be_left_out = inspect.signature(public()[name]).parameters[argument].default is None
    for bad in NONSENSE[may_be_left_out:]:
        with pytest.raises(OutOfRangeError) as refused:
            public()[name](**{**GOOD[name], argument: bad})
        assert len(str(refused.value)) > 10, bad


@pytest.mark.parametrize(
    ("name", "changed", "said"),
    [
        ("torque_nm", {"pitch_mm": 0.0}, "pitch of the thread must be between 0.1 and 8 mm; got 0 mm"),
        ("torque_nm", {"diameter_mm": 1.0, "pitch_mm": 6.0}, "were the two exchanged"),
        ("clamping", {"friction_least": 0.2, "friction_most": 0.1}, "least and most friction were exchanged"),
        ("proof_load_n", {"property_class": "9.9"}, "property class must be one of 4.6, 4.8"),
        ("to_nm", {"unit": "lb"}, "unit of torque must be one of N.m"),
        ("offset_adapter_setting_nm", {"offset_m": 0.3, "angle_deg": 180.0}, "the nut lies under the hand"),
        (
            "offset_adapter_setting_nm",
            {"wrench_length_m": 250.0},
            "this looks like millimetres: divide by 1000",
        ),
        ("travel_mm", {"rod_mm": 30.0}, "were stroke and rod exchanged"),
        ("crank_deg", {"travel_mm": 55.0}, "it is the stroke at most"),
        ("case_below_piston_cm3", {"whole_cm3": 150.0}, "more than the cylinder alone"),
        ("peak_squish", {"head_cm3": 1.0}, "over the whole bore holds more than the head"),
        ("leak_from_decay", {"start_k": 20.0}, "this looks like degrees Celsius: add 273.15"),
        ("leak_from_decay", {"volume_m3": 600.0}, "600 cm3 are 0.0006"),
        (
            "leak_from_decay",
            {"start_pa": -90e3, "outside_pa": 80e3},
            "the vacuum is deeper than the air outside",
        ),
        ("hole_m", {"downstream_pa": 160e3}, "air flows from the higher pressure to the lower"),
        ("oil_for", {"ratio": 2.0}, "percent is another number"),
        ("read_type_k", {"voltage_mv": -10.0}, "wires exchanged"),
        ("split_between_g", {"first_deg": 0.0, "second_deg": 180.0}, "in one line with the axis"),
    ],
)
def test_the_error_says_what_to_do(name: str, changed: dict[str, Any], said: str) -> None:
    with pytest.raises(OutOfRangeError, match=said):
        public()[name](**{**GOOD[name], **changed})


def test_inputs_that_do_not_fit_each_other_are_refused() -> None:
    with pytest.raises(
        OutOfRangeError, match=r"inputs must have one shape or be single numbers; got shapes \(2,\), \(3,\)"
    ):
        oil_mix.oil_for([1.0, 2.0], [40.0, 50.0, 60.0])
