"""Every sum refuses what cannot be true, names it, and says what is."""

import inspect
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from tickover.science import (
    balance,
    bolt_torques,
    clamping,
    compression,
    crank,
    cylinder,
    drive,
    false_air,
    fasteners,
    leaks,
    oilmix,
    orifice,
    ports,
    power_correction,
    propeller,
    squish_flow,
    static_weather,
    thermocouple,
    threads,
    trial_runs,
)
from tickover.science.valid import OutOfRange

MODULES = (
    balance,
    bolt_torques,
    clamping,
    compression,
    crank,
    cylinder,
    drive,
    false_air,
    fasteners,
    leaks,
    oilmix,
    orifice,
    ports,
    power_correction,
    propeller,
    squish_flow,
    static_weather,
    thermocouple,
    threads,
    trial_runs,
)
ENGINE = {"bore_mm": 60.0, "stroke_mm": 54.0, "rod_mm": 110.0}
SQUISH = {"gap_mm": 1.2, "band_share": 0.5, "head_cm3": 15.0, "rpm": 7000.0, **ENGINE}
SCREW = {"diameter_mm": 6.0, "pitch_mm": 1.0}
TORQUE = {**SCREW, "bearing_mm": 8.0, "thread_friction": 0.12, "head_friction": 0.12}
AIR = {"upstream_pa": 150e3, "downstream_pa": 101e3, "temperature_k": 293.0}
DECAY = {
    "start_pa": 35e3,
    "end_pa": 33e3,
    "time_s": 600.0,
    "volume_m3": 6e-4,
    "start_k": 293.0,
    "end_k": 293.0,
}
BELT = {"span_m": 0.13, "mass_kg_per_m": 0.082}
PROPELLER = {"density_kg_m3": 1.2, "rpm": 2700.0, "diameter_m": 1.25}
GOOD: dict[str, dict[str, Any]] = {
    "swept_cm3": {"bore_mm": 60.0, "stroke_mm": 54.0},
    "mean_piston_speed_m_s": {"stroke_mm": 54.0, "rpm": 7000.0},
    "squish_mm": {"one_side_mm": 1.1, "other_side_mm": 1.2, "apart_mm": 50.0},
    "ring_gap": {"gap_mm": 0.25, "bore_mm": 60.0},
    "compression": {
        "bore_mm": 60.0,
        "stroke_mm": 54.0,
        "head_cm3": 15.0,
        "trapped_travel_mm": 40.0,
        "case_cm3": 400.0,
    },
    "case_below_piston_cm3": {"whole_cm3": 600.0, "bore_mm": 60.0, "stroke_mm": 54.0, "head_cm3": 15.0},
    "travel_mm": {"crank_deg": 18.0, "stroke_mm": 54.0, "rod_mm": 110.0},
    "crank_deg": {"travel_mm": 1.6, "stroke_mm": 54.0, "rod_mm": 110.0},
    "piston_at": {"crank_deg": 18.0, "stroke_mm": 54.0, "rod_mm": 110.0},
    "piston_moved": {"travel_mm": 1.6, "stroke_mm": 54.0, "rod_mm": 110.0},
    "piston_speed_m_s": {"crank_deg": 18.0, "stroke_mm": 54.0, "rod_mm": 110.0, "rpm": 7000.0},
    "piston_acceleration_m_s2": {"crank_deg": 18.0, "stroke_mm": 54.0, "rod_mm": 110.0, "rpm": 7000.0},
    "edge_from_deck_mm": {"opens_deg": 95.0, "stroke_mm": 54.0, "rod_mm": 110.0},
    "open_for_deg": {"opens_deg": 95.0},
    "port_timing": {"exhaust_edge_mm": 30.0, "transfer_edge_mm": 40.0, "stroke_mm": 54.0, "rod_mm": 110.0},
    "squish_speed_m_s": {"before_top_deg": 10.0, **SQUISH},
    "peak_squish": SQUISH,
    "is_choked": {"upstream_pa": 150e3, "downstream_pa": 101e3},
    "air_through_hole_kg_s": {**AIR, "diameter_m": 1e-3},
    "hole_m": {**AIR, "flow_kg_s": 1e-6},
    "leak_from_decay": DECAY,
    "engine_air_l_min": {"swept_cm3": 180.0, "rpm": 2000.0, "filling": 0.17},
    "false_air": {"leak_l_min": 5.0, "swept_cm3": 180.0},
    "torque_by_factor_nm": {"preload_n": 9000.0, "diameter_mm": 6.0},
    "preload_by_factor_n": {"torque_nm": 9.0, "diameter_mm": 6.0},
    "torque_nm": {"preload_n": 9000.0, **TORQUE},
    "preload_n": {"torque_nm": 9.0, **TORQUE},
    "offset_adapter_setting_nm": {"target_nm": 40.0, "wrench_length_m": 0.25, "offset_m": 0.05},
    "to_nm": {"torque": 100.0, "unit": "lbf.in"},
    "from_nm": {"torque_nm": 10.0, "unit": "lbf.in"},
    "clamping": {"torque_nm": 9.0, **SCREW, "bearing_mm": 8.0},
    "thread_mm": SCREW,
    "pitch_diameter_mm": SCREW,
    "stress_area_mm2": SCREW,
    "proof_load_n": {**SCREW, "property_class": "8.8"},
    "breaking_load_n": {**SCREW, "property_class": "8.8"},
    "coarse_pitch_mm": {"diameter_mm": 6.0},
    "bolt_torque": {"thread": "1/4-28", "drag_nm": 1.0},
    "power_correction": {"code": "ISO 1585", "temperature_k": 293.0, "pressure_pa": 99e3},
    "power_adjustment": {"temperature_k": 293.0, "pressure_pa": 99e3},
    "rpm_at_power": {"power_w": 15e3, "density_kg_m3": 1.2, "diameter_m": 1.25, "coefficient": 0.05},
    "power_w": {"coefficient": 0.05, **PROPELLER},
    "thrust_n": {"coefficient": 0.1, **PROPELLER},
    "power_coefficient": {"power_w": 15e3, **PROPELLER},
    "thrust_coefficient": {"thrust_n": 600.0, **PROPELLER},
    "ideal_thrust_n": {"power_w": 15e3, "diameter_m": 1.25},
    "figure_of_merit": {"thrust_n": 600.0, "power_w": 15e3, "diameter_m": 1.25},
    "static_run": {"power_w": 15e3, "diameter_m": 1.25},
    "tip_speed_m_s": {"rpm": 2700.0, "diameter_m": 1.25},
    "tip_mach": {"rpm": 2700.0, "diameter_m": 1.25, "temperature_k": 288.0},
    "static_in_other_air": {
        "rpm_then": 8000.0,
        "thrust_then_n": 600.0,
        "density_then_kg_m3": 1.225,
        "density_now_kg_m3": 1.1,
    },
    "mass_at_radius_g": {"unbalance_gmm": 60.0, "radius_mm": 400.0},
    "rotating_force_n": {"unbalance_gmm": 600.0, "rpm": 2700.0},
    "permissible_unbalance": {"grade_mm_s": 6.3, "mass_kg": 0.7, "rpm": 2700.0},
    "static_balance": {"masses_g": [1.0], "radii_mm": [400.0], "angles_deg": [30.0], "at_radius_mm": 300.0},
    "split_between_g": {"mass_g": 5.0, "at_deg": 40.0, "first_deg": 0.0, "second_deg": 60.0},
    "trial_runs": {
        "amplitude": [5.0, 7.0],
        "phase_deg": [30.0, 90.0],
        "mass_g": [0.0, 10.0],
        "mass_deg": [0.0, 0.0],
    },
    "belt_tension_n": {**BELT, "frequency_hz": 300.0},
    "belt_frequency_hz": {**BELT, "tension_n": 500.0},
    "belt_tone": {**BELT, "frequency_hz": 300.0},
    "tension_error_share": {"frequency_error_share": 0.03},
    "gear_ratio": {"teeth_driver": 20.0, "teeth_driven": 55.0},
    "propeller_rpm": {"rpm": 7000.0, "ratio": 2.75},
    "lines_hz": {"rpm": 7000.0, "ratio": 2.75, "blades": 2.0, "teeth": 20.0},
    "line_table": {"rpm": 7000.0, "ratio": 2.75, "blades": 2, "teeth": 20},
    "oil_l": {"petrol_l": 5.0, "ratio": 50.0},
    "oil_percent": {"ratio": 50.0},
    "oil_for": {"petrol_l": 5.0, "ratio": 50.0},
    "remix": {"tank_l": 5.0, "from_ratio": 50.0, "to_ratio": 40.0},
    "emf_mv": {"temperature_c": 100.0},
    "temperature_c": {"voltage_mv": 4.0},
    "read_type_k": {"voltage_mv": 4.0},
    "wire_tolerance_k": {"temperature_c": 600.0},
}
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
        with pytest.raises(OutOfRange) as refused:
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
    with pytest.raises(OutOfRange, match=said):
        public()[name](**{**GOOD[name], **changed})


def test_inputs_that_do_not_fit_each_other_are_refused() -> None:
    with pytest.raises(
        OutOfRange, match=r"inputs must have one shape or be single numbers; got shapes \(2,\), \(3,\)"
    ):
        oilmix.oil_for([1.0, 2.0], [40.0, 50.0, 60.0])
