"""Propeller, balance and belt against published figures and other roads to the same number."""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from tickover.science.atmosphere.static_correction import static_in_other_air
from tickover.science.engine.balance import permissible_unbalance, rotating_force_n, static_balance
from tickover.science.engine.drive import belt_frequency_hz
from tickover.science.engine.propeller import ideal_thrust_n, power_w
from tickover.science.engine.tip_speed import tip_mach, tip_speed_m_s
from tickover.science.engine.trial_runs import trial_runs

INCH, MILE_AN_HOUR = 0.0254, 0.44704


# A public how-to on tip speed: 80 inches at 2600 rpm is 618.8 mph, Mach 0.813 at 59 degrees Fahrenheit. A page of no
# great authority; its arithmetic is another road to the same number.
def test_tip_speed_of_a_public_page() -> None:
    assert float(tip_speed_m_s(2_600.0, 80.0 * INCH)) / MILE_AN_HOUR == pytest.approx(618.8, abs=0.3)
    assert float(tip_mach(2_600.0, 80.0 * INCH, 288.15)) == pytest.approx(0.813, abs=1e-3)


# CoolProp, speed of sound of real dry air.
@pytest.mark.parametrize("kelvin", [263.15, 288.15, 308.15])
def test_speed_of_sound_by_a_general_library(kelvin: float) -> None:
    from CoolProp.CoolProp import PropsSI  # reading it takes two seconds

    sound = PropsSI("A", "T", kelvin, "P", 101_325.0, "Air")
    assert float(tip_mach(2_700.0, 1.25, kelvin)) == pytest.approx(
        float(tip_speed_m_s(2_700.0, 1.25)) / sound, rel=1e-3
    )


# Momentum, without its closed form: the wake speed at which kinetic energy and power agree.
def test_ideal_thrust_by_momentum() -> None:
    density, area, power = 1.225, np.pi / 4 * 1.25**2, 10_500.0
    wake = brentq(lambda w: density * area * w / 2 * w**2 / 2 - power, 1.0, 200.0)
    assert float(ideal_thrust_n(power, 1.25)) == pytest.approx(density * area * wake / 2 * wake, rel=1e-9)


# Balance of torques found by scipy: the propeller takes P = CP ρ n³ D⁵, the engine gives torque in proportion to the
# density (or by Gagg and Farrar's share). Where they meet is the static rpm.
@pytest.mark.parametrize("density", [1.112, 1.058, 1.30])
def test_static_rpm_by_balance_of_torques(density: float) -> None:
    then = 1.225
    turns = 45.0
    torque = float(power_w(0.05, then, 60.0 * turns, 1.25)) / (2.0 * np.pi * turns)

    def static(share: float) -> float:
        def off(n: float) -> float:
            return float(power_w(0.05, density, 60.0 * n, 1.25)) / (2.0 * np.pi * n) - share * torque

        return 60.0 * float(brentq(off, 10.0, 100.0))

    sigma = density / then
    now = static_in_other_air(60.0 * turns, 600.0, then, density)
    assert float(now.rpm) == pytest.approx(static(sigma), rel=1e-9)
    assert float(now.rpm_friction) == pytest.approx(static(1.132 * sigma - 0.132), rel=1e-4)


# ISO 21940-11 in inches, ounces and pounds as a public article prints it: 6.015 G W/N; 4 W/N of MIL-STD-167 is then
# G 0.665 (energy-tech.com, article 18389).
def test_permissible_unbalance_in_other_units() -> None:
    ounce_inch, pound = 28.349523125 * 25.4, 0.45359237
    allowed = float(permissible_unbalance(1.0, pound, 1_000.0).unbalance_gmm) / ounce_inch * 1_000.0
    assert allowed == pytest.approx(6.015, abs=1e-3)
    navy = 4.0 * ounce_inch / 1_000.0
    assert navy / float(permissible_unbalance(1.0, pound, 1_000.0).unbalance_gmm) == pytest.approx(
        0.665, abs=1e-3
    )


# Bevan, Theory of Machines, chapter 14, example 2: four masses (lb, in), balance weight 57.9 lb at 24 in, in the line
# of 23.28 degrees (answers read in an open companion to the book). Angles from the first mass.
def test_static_balance_of_a_textbook() -> None:
    found = static_balance(
        [200.0, 300.0, 240.0, 260.0], [9.0, 7.0, 10.0, 12.0], [0.0, 45.0, 120.0, 255.0], at_radius_mm=24.0
    )
    assert float(found.correction_g) == pytest.approx(57.9, abs=0.1)
    assert float(found.heavy_deg) == pytest.approx(23.28, abs=0.02)
    assert float(found.correction_deg) == pytest.approx(203.28, abs=0.02)


# The pull of a turning mass, by integrating what it takes to turn its velocity round in half a turn.
def test_rotating_force_by_momentum() -> None:
    omega, radius, mass = 2.0 * np.pi * 45.0, 0.6, 1e-3
    change, _ = quad(lambda t: np.sin(omega * t), 0.0, np.pi / omega)
    assert float(rotating_force_n(600.0, 2_700.0)) == pytest.approx(
        2.0 * mass * radius * omega / change, rel=1e-9
    )


# numpy's least squares for complex numbers: another road to V0 and a from more runs than needed.
def test_trial_runs_by_a_general_library() -> None:
    masses, places = np.array([0.0, 10.0, 10.0, 6.0]), np.array([0.0, 0.0, 120.0, 200.0])
    amplitude, phase = np.array([5.0, 7.0, 3.1, 4.2]), np.array([30.0, 90.0, 15.0, 350.0])
    added = masses * np.exp(1j * np.radians(places))
    seen = amplitude * np.exp(1j * np.radians(phase))
    design = np.stack([np.ones_like(added), added], axis=1)
    original, influence = np.linalg.lstsq(design, seen, rcond=None)[0]
    found = trial_runs(amplitude, phase, masses, places, standard_uncertainty=0.1)
    assert complex(found.original) == pytest.approx(complex(original), rel=1e-12)
    assert complex(found.influence) == pytest.approx(complex(influence), rel=1e-12)
    slope = np.array([-1.0 / influence, original / influence**2])
    cover = np.linalg.inv(design.conj().T @ design)
    u = 0.1 * np.sqrt((slope @ cover @ slope.conj()).real)
    assert float(found.u_correction_g) == pytest.approx(u, rel=1e-12)


# A belt span as a chain of masses and strings: the lowest eigenvalue is another road to its tone.
def test_belt_tone_by_a_chain_of_masses() -> None:
    span, mass, tension, parts = 0.13, 0.082, 500.0, 400
    step = span / parts
    stiff = tension / step * (2.0 * np.eye(parts - 1) - np.eye(parts - 1, k=1) - np.eye(parts - 1, k=-1))
    lowest = np.linalg.eigvalsh(stiff / (mass * step))[0]
    assert float(belt_frequency_hz(span, mass, tension)) == pytest.approx(
        np.sqrt(lowest) / (2.0 * np.pi), rel=1e-5
    )
