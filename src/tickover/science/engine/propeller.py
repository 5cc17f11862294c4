"""What does a propeller at standstill take and give, and how fast do its tips move?

References
----------
Coefficients P = CP ρ n³ D⁵ and T = CT ρ n² D⁴, actuator disc T = (2 ρ A P²)^(1/3): any text on propellers, such as
McCormick, Aerodynamics, Aeronautics and Flight Mechanics (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tickover.science.atmosphere.standard_atmosphere import GAS_CONSTANT_J_KG_K, GRAVITY_M_S2, HEAT_RATIO
from tickover.science.core.arrays import Array, broadcast, quantity_at
from tickover.science.core.input_checks import checked
from tickover.science.core.working import Working

__all__ = [
    "StaticRun",
    "figure_of_merit",
    "ideal_thrust_n",
    "power_coefficient",
    "power_w",
    "rpm_at_power",
    "static_run",
    "thrust_coefficient",
    "thrust_n",
    "tip_mach",
    "tip_speed_m_s",
]

STANDARD_KG_M3 = 1.225
DENSITY_KG_M3 = (0.3, 1.8)
DIAMETER_M = (0.1, 5.0)
RPM = (1.0, 20_000.0)
POWER_W = (0.0, 1e6)
COEFFICIENT = (1e-4, 1.0)


@dataclass(frozen=True, eq=False)
class StaticRun:
    """Thrust of a propeller at standstill from the power put in; all of one shape."""

    power_w: Array
    diameter_m: Array
    density_kg_m3: Array
    merit: Array

    @property
    def thrust_n(self) -> Array:
        """Thrust. [N]"""
        return ideal_thrust_n(self.merit * self.power_w, self.diameter_m, self.density_kg_m3)

    @property
    def thrust_kgf(self) -> Array:
        """Thrust as a spring balance shows it. [kgf]"""
        return self.thrust_n / GRAVITY_M_S2

    def working(self, at: int = 0) -> Working:
        """How the thrust came about."""
        return Working(
            title="static thrust from power",
            formula="T = (2 ρ A (M P)²)^(1/3), A = π D²/4",
            inputs=(
                quantity_at("power at the propeller P", self.power_w, at, "W"),
                quantity_at("diameter D", self.diameter_m, at, "m"),
                quantity_at("air density ρ", self.density_kg_m3, at, "kg/m3"),
                quantity_at("figure of merit M", self.merit, at, ""),
                quantity_at("thrust", self.thrust_n, at, "N"),
            ),
            result=quantity_at("thrust", self.thrust_kgf, at, "kgf"),
            validity="standing still, no wind, no wall near; the figure of merit is of that propeller and speed",
            source="momentum theory of the actuator disc",
            authority="physics; the figure of merit is a judgement unless measured",
        )


def power_w(coefficient: ArrayLike, density_kg_m3: ArrayLike, rpm: ArrayLike, diameter_m: ArrayLike) -> Array:
    """Power a propeller takes.

    Parameters
    ----------
    coefficient : array_like
        CP, 0.0001 to 1. [-]
    density_kg_m3 : array_like
        [kg/m3]
    rpm : array_like
        Of the propeller, 1 to 20,000. [rpm]
    diameter_m : array_like
        [m]

    Raises
    ------
    OutOfRangeError
    """
    cp = checked("power coefficient", coefficient, *COEFFICIENT)
    return cp * _density(density_kg_m3) * _turns(rpm) ** 3 * _diameter(diameter_m) ** 5


def rpm_at_power(
    power_w: ArrayLike, density_kg_m3: ArrayLike, diameter_m: ArrayLike, coefficient: ArrayLike
) -> Array:
    """Speed at which a propeller takes a power; inverse of `power_w`, so ρ^(-1/3) at one power. [rpm]"""
    cp = checked("power coefficient", coefficient, *COEFFICIENT)
    speed: Array = np.cbrt(_power(power_w) / (cp * _density(density_kg_m3) * _diameter(diameter_m) ** 5))
    return 60.0 * speed


def thrust_n(
    coefficient: ArrayLike, density_kg_m3: ArrayLike, rpm: ArrayLike, diameter_m: ArrayLike
) -> Array:
    """Thrust a propeller gives; inputs as for `power_w`, with CT. [N]"""
    ct = checked("thrust coefficient", coefficient, *COEFFICIENT)
    return ct * _density(density_kg_m3) * _turns(rpm) ** 2 * _diameter(diameter_m) ** 4


def power_coefficient(
    power_w: ArrayLike, density_kg_m3: ArrayLike, rpm: ArrayLike, diameter_m: ArrayLike
) -> Array:
    """CP of a measured power. [-]"""
    return _power(power_w) / (_density(density_kg_m3) * _turns(rpm) ** 3 * _diameter(diameter_m) ** 5)


def thrust_coefficient(
    thrust_n: ArrayLike, density_kg_m3: ArrayLike, rpm: ArrayLike, diameter_m: ArrayLike
) -> Array:
    """CT of a measured thrust. [-]"""
    return _thrust(thrust_n) / (_density(density_kg_m3) * _turns(rpm) ** 2 * _diameter(diameter_m) ** 4)


def ideal_thrust_n(
    power_w: ArrayLike, diameter_m: ArrayLike, density_kg_m3: ArrayLike = STANDARD_KG_M3
) -> Array:
    """Most thrust at standstill that momentum allows for a power through a disc. [N]"""
    area = np.pi / 4.0 * _diameter(diameter_m) ** 2
    thrust: Array = np.cbrt(2.0 * _density(density_kg_m3) * area * _power(power_w) ** 2)
    return thrust


MERIT_READ = 1.2


def figure_of_merit(
    thrust_n: ArrayLike, power_w: ArrayLike, diameter_m: ArrayLike, density_kg_m3: ArrayLike = STANDARD_KG_M3
) -> Array:
    """Least power for a measured thrust over the power put in. [-]

    Momentum allows 1 at most; up to 1.2 it is given, since readings scatter. Beyond, a unit was mistaken.

    Raises
    ------
    OutOfRangeError
    """
    area = np.pi / 4.0 * _diameter(diameter_m) ** 2
    least = _thrust(thrust_n) ** 1.5 / np.sqrt(2.0 * _density(density_kg_m3) * area)
    merit = least / checked("power", power_w, 1e-3, POWER_W[1], "W")
    hint = "momentum allows 1 at most: check thrust, power and diameter, and their units"
    return checked("figure of merit", merit, 0.0, MERIT_READ, "1", hint)


def static_run(
    power_w: ArrayLike,
    diameter_m: ArrayLike,
    density_kg_m3: ArrayLike = STANDARD_KG_M3,
    merit: ArrayLike = 0.6,
) -> StaticRun:
    """Thrust to be expected at standstill.

    Parameters
    ----------
    power_w : array_like
        At the propeller, 0 to 1 MW. [W]
    diameter_m : array_like
        0.1 to 5. [m]
    density_kg_m3 : array_like
        0.3 to 1.8. [kg/m3]
    merit : array_like
        Figure of merit, 0.1 to 1; 0.6 is a judgement. [-]

    Raises
    ------
    OutOfRangeError
    """
    merit = checked("figure of merit", merit, 0.1, 1.0, "1")
    return StaticRun(*broadcast(_power(power_w), _diameter(diameter_m), _density(density_kg_m3), merit))


def tip_speed_m_s(rpm: ArrayLike, diameter_m: ArrayLike, airspeed_m_s: ArrayLike = 0.0) -> Array:
    """Speed of the blade tips through the air. [m/s]"""
    forward = checked("airspeed", airspeed_m_s, 0.0, 200.0, "m/s")
    speed: Array = np.hypot(np.pi * _diameter(diameter_m) * _turns(rpm), forward)
    return speed


def tip_mach(
    rpm: ArrayLike, diameter_m: ArrayLike, temperature_k: ArrayLike, airspeed_m_s: ArrayLike = 0.0
) -> Array:
    """Speed of the blade tips over the speed of sound in dry air. [-]"""
    kelvin = checked("air temperature", temperature_k, 200.0, 350.0, "K")
    return tip_speed_m_s(rpm, diameter_m, airspeed_m_s) / np.sqrt(HEAT_RATIO * GAS_CONSTANT_J_KG_K * kelvin)


def _density(density_kg_m3: ArrayLike) -> Array:
    return checked("air density", density_kg_m3, *DENSITY_KG_M3, "kg/m3")


def _diameter(diameter_m: ArrayLike) -> Array:
    return checked("diameter of the propeller", diameter_m, *DIAMETER_M, "m")


def _turns(rpm: ArrayLike) -> Array:
    """Turns a second. [1/s]"""
    return checked("propeller speed", rpm, *RPM, "rpm") / 60.0


def _power(power_w: ArrayLike) -> Array:
    return checked("power", power_w, *POWER_W, "W")


def _thrust(thrust_n: ArrayLike) -> Array:
    return checked("thrust", thrust_n, 0.0, 1e5, "N")
