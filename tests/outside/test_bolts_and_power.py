"""Bolts by the table of an authority and the strengths of a standard; power on the standard days of test codes."""

import math

import numpy as np
import pytest

from tickover.science.atmosphere.power_correction import CODES, power_adjustment, power_correction
from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.engine.crank import piston_acceleration_m_s2, piston_speed_m_s
from tickover.science.engine.propeller import power_w, rpm_at_power
from tickover.science.fasteners.bolt_torques import THREADS, bolt_torque
from tickover.science.fasteners.preload_and_torque import from_nm
from tickover.science.fasteners.threads import breaking_load_n, proof_load_n
from tickover.science.measurement.thermocouple import wire_tolerance_k


# FAA, AC 43.13-1B (1998), table 7-1, rows read as published. [lbf.in]
@pytest.mark.parametrize(
    ("thread", "nut", "least", "most", "allowed"),
    [
        ("8-36", "shear", 7, 9, 12),
        ("10-32", "tension", 20, 25, 40),
        ("1/4-28", "tension", 50, 70, 100),
        ("1/4-28", "shear", 30, 40, 60),
        ("5/16-24", "tension", 100, 140, 225),
        ("3/8-24", "shear", 95, 110, 240),
        ("7/16-20", "tension", 450, 500, 840),
        ("1/2-20", "shear", 290, 410, 660),
        ("10-24", "tension", 20, 25, 35),
        ("1/4-20", "tension", 40, 50, 75),
        ("5/16-18", "shear", 48, 55, 100),
        ("3/8-16", "tension", 160, 185, 275),
    ],
)
def test_torques_of_the_advisory_circular(thread: str, nut: str, least: int, most: int, allowed: int) -> None:
    found = bolt_torque(thread, nut)
    told = [float(from_nm(torque, "lbf.in")) for torque in (found.least_nm, found.most_nm, found.allowed_nm)]
    assert told == pytest.approx([least, most, allowed])


# The heads of the same table name the stresses behind its columns: 24,000 to 40,000 psi recommended, 54,000 to 90,000
# allowed, shear nuts to tension nuts: 0.6 both times. The printed torques are rounded.
@pytest.mark.parametrize("thread", THREADS)
def test_shear_nuts_take_three_fifths_of_tension_nuts(thread: str) -> None:
    full, thin = bolt_torque(thread), bolt_torque(thread, "shear")
    assert thin.allowed_nm / full.allowed_nm == pytest.approx(0.6, abs=0.03)
    assert thin.most_nm / full.most_nm == pytest.approx(0.6, abs=0.07)
    assert full.least_nm < full.most_nm < full.allowed_nm and thin.least_nm < thin.most_nm < thin.allowed_nm


def test_the_drag_of_the_nut_is_added() -> None:
    dry, dragging = bolt_torque("1/4-28"), bolt_torque("1/4-28", drag_nm=2.0)
    assert dragging.most_nm - dry.most_nm == pytest.approx(2.0)
    assert dragging.working().result.value == pytest.approx(dry.least_nm + 2.0)


# ISO 898-1:2013, tables 4 to 7, coarse threads (from memory): least tensile load of M6, M8, M10 in 8.8 and of M8 in
# 12.9; proof load of M20 in 8.8, where the class is stronger than up to M16: 147 kN.
def test_breaking_and_proof_loads_of_the_standard() -> None:
    sizes, pitches = [6.0, 8.0, 10.0], [1.0, 1.25, 1.5]
    assert breaking_load_n(sizes, pitches, "8.8") == pytest.approx([16_100.0, 29_200.0, 46_400.0], rel=5e-3)
    assert float(breaking_load_n(8.0, 1.25, "12.9")) == pytest.approx(44_600.0, rel=5e-3)
    assert float(proof_load_n(20.0, 2.5, "8.8")) == pytest.approx(147_000.0, rel=5e-3)


# IEC 60584-1 (from memory): class 1 is 1.5 K or 0.4 %, class 2 is 2.5 K or 0.75 %, whichever is more.
def test_what_a_type_k_wire_may_be_off() -> None:
    assert wire_tolerance_k([20.0, 333.0, 600.0], 2) == pytest.approx([2.5, 2.5, 4.5], abs=3e-3)
    assert wire_tolerance_k([-20.0, 375.0, 600.0], 1) == pytest.approx([1.5, 1.5, 2.4])
    for wrong in (0, 3, True):
        with pytest.raises(OutOfRangeError, match="tolerance class must be 1 or 2"):
            wire_tolerance_k(20.0, wrong)


# Each code's own standard day (from memory): 99 kPa of dry air and 298 K for ISO 1585 and 25 °C for SAE J1349, 1013 hPa
# and 20 °C for DIN 70020, 100 kPa and 298 K for ISO 3046-1.
def test_nothing_is_corrected_on_the_standard_day() -> None:
    days = {"ISO 1585": (298.0, 99e3), "SAE J1349": (298.15, 99e3), "DIN 70020": (293.15, 101.3e3)}
    assert days.keys() == set(CODES)
    for code, (kelvin, pascal) in days.items():
        assert float(power_correction(code, kelvin, pascal, 0.0).factor) == pytest.approx(1.0, abs=1e-12)
    assert float(power_adjustment(298.0, 100e3)) == pytest.approx(1.0, abs=1e-12)


# A worked exchange on a public forum of engine builders: from 100 to 80 °F with the exponent 0.6 a factor of 1.022,
# from 29.5 to 30.0 inHg with 1.2 a factor of 1.0204.
def test_the_exponents_of_a_road_code() -> None:
    warm, cool = (power_correction("ISO 1585", (f + 459.67) / 1.8, 99e3, 0.0).factor for f in (100.0, 80.0))
    assert float(warm / cool) == pytest.approx(1.022, abs=5e-4)
    low, high = (
        power_correction("ISO 1585", 298.0, inches * 3386.389, 0.0).factor for inches in (29.5, 30.0)
    )
    assert float(low / high) == pytest.approx(1.0204, abs=1e-4)


def test_moist_air_gives_less_and_is_corrected_more() -> None:
    dry, wet = (power_correction("ISO 1585", 303.0, 99e3, share).factor for share in (0.0, 0.9))
    # Saturation pressure at 30 °C is 4246 Pa (ASHRAE Handbook, Fundamentals): 3.9 % of 99 kPa is vapour.
    assert float(wet / dry) == pytest.approx((1.0 - 0.9 * 4246.0 / 99e3) ** -1.2, rel=1e-3)


# At one power a propeller turns as ρ^(-1/3): 1.0329 at 1.11164 kg/m3 (1000 m of ISO 2533) against 1.225.
def test_a_propeller_at_one_power_speeds_up_in_thin_air() -> None:
    sea, high = (float(rpm_at_power(12e3, density, 1.2, 0.05)) for density in (1.225, 1.11164))
    assert high / sea == pytest.approx((1.225 / 1.11164) ** (1.0 / 3.0), rel=1e-12)
    assert float(power_w(0.05, 1.225, sea, 1.2)) == pytest.approx(12e3)


# Slope of the speed, by difference; and the series of any text on machines at top centre: ω² r (1 + r/l).
def test_acceleration_is_the_slope_of_the_speed() -> None:
    angles, step, rpm = np.array([0.0, 40.0, 90.0, 150.0]), 1e-4, 7_000.0
    slope = piston_speed_m_s(angles + step, 54.0, 110.0, rpm) - piston_speed_m_s(
        angles - step, 54.0, 110.0, rpm
    )
    by_difference = slope / (2.0 * step / (6.0 * rpm))
    assert piston_acceleration_m_s2(angles, 54.0, 110.0, rpm) == pytest.approx(by_difference, rel=1e-6)
    top = (2.0 * math.pi * rpm / 60.0) ** 2 * 0.027 * (1.0 + 27.0 / 110.0)
    assert float(piston_acceleration_m_s2(0.0, 54.0, 110.0, rpm)) == pytest.approx(top)


def test_days_and_engines_that_do_not_pair_up_are_refused() -> None:
    with pytest.raises(OutOfRangeError, match="inputs must have one shape"):
        power_adjustment([290.0, 298.0], 99e3, [0.7, 0.8, 0.9])
