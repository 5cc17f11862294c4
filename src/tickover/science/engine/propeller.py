"""What does a propeller at standstill take and give?

References
----------
Coefficients P = CP ρ n³ D⁵ and T = CT ρ n² D⁴, actuator disc T = (2 ρ A P²)^(1/3): any text on propellers, such as
McCormick, Aerodynamics, Aeronautics and Flight Mechanics (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tickover.science.atmosphere.standard_atmosphere import GRAVITY_M_S2
from tickover.science.core.arrays import Array, broadcast, quantity_at
from tickover.science.core.input_checks import checked
from tickover.science.core.plausible import POWER_W, PROPELLER_RPM, THRUST_N
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
]

STANDARD_KG_M3 = 1.225
DENSITY_KG_M3 = (0.3, 1.8)
DIAMETER_M = (0.1, 5.0)
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
        ideal: Array = ideal_thrust_n(self.power_w, self.diameter_m, self.density_kg_m3)
        return self.merit ** (2.0 / 3.0) * ideal

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
        Of the propeller, 60 to 20,000. [rpm]
    diameter_m : array_like
        [m]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [W]

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> print(f"{power_w(coefficient=0.05, density_kg_m3=1.2, rpm=2700.0, diameter_m=1.25):.0f}")
    16685
    """
    cp = checked("power coefficient", coefficient, *COEFFICIENT)
    return cp * _density(density_kg_m3) * _turns(rpm) ** 3 * _diameter(diameter_m) ** 5


def rpm_at_power(
    power_w: ArrayLike, density_kg_m3: ArrayLike, diameter_m: ArrayLike, coefficient: ArrayLike
) -> Array:
    """Speed at which a propeller takes a power; inverse of `power_w`, so ρ^(-1/3) at one power. [rpm]

    Parameters
    ----------
    power_w : array_like
        Power, 0, or 100 to 1,000,000. [W]
    density_kg_m3 : array_like
        Air density, 0.3 to 1.8. [kg/m3]
    diameter_m : array_like
        Diameter of the propeller, 0.1 to 5. [m]
    coefficient : array_like
        Power coefficient, 0.0001 to 1. [-]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [rpm]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> found = rpm_at_power(power_w=15000.0, density_kg_m3=1.2, diameter_m=1.25, coefficient=0.05)
    >>> print(f"{found:.4g}")
    2606
    """
    cp = checked("power coefficient", coefficient, *COEFFICIENT)
    speed: Array = np.cbrt(_power(power_w) / (cp * _density(density_kg_m3) * _diameter(diameter_m) ** 5))
    return 60.0 * speed


def thrust_n(
    coefficient: ArrayLike, density_kg_m3: ArrayLike, rpm: ArrayLike, diameter_m: ArrayLike
) -> Array:
    """Thrust a propeller gives; inputs as for `power_w`, with CT. [N]

    Parameters
    ----------
    coefficient : array_like
        Thrust coefficient, 0.0001 to 1. [-]
    density_kg_m3 : array_like
        Air density, 0.3 to 1.8. [kg/m3]
    rpm : array_like
        Propeller speed, 60 to 20,000. [rpm]
    diameter_m : array_like
        Diameter of the propeller, 0.1 to 5. [m]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [N]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> print(f"{thrust_n(coefficient=0.1, density_kg_m3=1.2, rpm=2700.0, diameter_m=1.25):.4g}")
    593.3
    """
    ct = checked("thrust coefficient", coefficient, *COEFFICIENT)
    return ct * _density(density_kg_m3) * _turns(rpm) ** 2 * _diameter(diameter_m) ** 4


def power_coefficient(
    power_w: ArrayLike, density_kg_m3: ArrayLike, rpm: ArrayLike, diameter_m: ArrayLike
) -> Array:
    """CP of a measured power. [-]

    Parameters
    ----------
    power_w : array_like
        Power, 0, or 100 to 1,000,000. [W]
    density_kg_m3 : array_like
        Air density, 0.3 to 1.8. [kg/m3]
    rpm : array_like
        Propeller speed, 60 to 20,000. [rpm]
    diameter_m : array_like
        Diameter of the propeller, 0.1 to 5. [m]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [-]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> found = power_coefficient(power_w=15000.0, density_kg_m3=1.2, rpm=2700.0, diameter_m=1.25)
    >>> print(f"{found:.4g}")
    0.04495
    """
    return _power(power_w) / (_density(density_kg_m3) * _turns(rpm) ** 3 * _diameter(diameter_m) ** 5)


def thrust_coefficient(
    thrust_n: ArrayLike, density_kg_m3: ArrayLike, rpm: ArrayLike, diameter_m: ArrayLike
) -> Array:
    """CT of a measured thrust. [-]

    Parameters
    ----------
    thrust_n : array_like
        Thrust, 0, or 2 to 100,000. [N]
    density_kg_m3 : array_like
        Air density, 0.3 to 1.8. [kg/m3]
    rpm : array_like
        Propeller speed, 60 to 20,000. [rpm]
    diameter_m : array_like
        Diameter of the propeller, 0.1 to 5. [m]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [-]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> found = thrust_coefficient(thrust_n=600.0, density_kg_m3=1.2, rpm=2700.0, diameter_m=1.25)
    >>> print(f"{found:.4g}")
    0.1011
    """
    return _thrust(thrust_n) / (_density(density_kg_m3) * _turns(rpm) ** 2 * _diameter(diameter_m) ** 4)


def ideal_thrust_n(
    power_w: ArrayLike, diameter_m: ArrayLike, density_kg_m3: ArrayLike = STANDARD_KG_M3
) -> Array:
    """Most thrust at standstill that momentum allows for a power through a disc. [N]

    Parameters
    ----------
    power_w : array_like
        Power, 0, or 100 to 1,000,000. [W]
    diameter_m : array_like
        Diameter of the propeller, 0.1 to 5. [m]
    density_kg_m3 : array_like
        Air density, 0.3 to 1.8. [kg/m3]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [N]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> print(f"{ideal_thrust_n(power_w=15000.0, diameter_m=1.25, density_kg_m3=1.2):.4g}")
    871.8
    """
    area = np.pi / 4.0 * _diameter(diameter_m) ** 2
    thrust: Array = np.cbrt(2.0 * _density(density_kg_m3) * area * _power(power_w) ** 2)
    return thrust


MERIT_READ = 1.2


def figure_of_merit(
    thrust_n: ArrayLike, power_w: ArrayLike, diameter_m: ArrayLike, density_kg_m3: ArrayLike = STANDARD_KG_M3
) -> Array:
    """Least power for a measured thrust over the power put in. [-]

    Momentum allows 1 at most; up to 1.2 it is given, since readings scatter. Beyond, a unit was mistaken.

    Parameters
    ----------
    thrust_n : array_like
        Thrust, 0, or 2 to 100,000. [N]
    power_w : array_like
        Power, 100 to 1,000,000. [W]
    diameter_m : array_like
        Diameter of the propeller, 0.1 to 5. [m]
    density_kg_m3 : array_like
        Air density, 0.3 to 1.8. [kg/m3]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [-]

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> found = figure_of_merit(thrust_n=600.0, power_w=15000.0, diameter_m=1.25, density_kg_m3=1.2)
    >>> print(f"{found:.4g}")
    0.5709
    """
    area = np.pi / 4.0 * _diameter(diameter_m) ** 2
    least = _thrust(thrust_n) ** 1.5 / np.sqrt(2.0 * _density(density_kg_m3) * area)
    merit = least / checked("power", power_w, POWER_W.least, POWER_W.upper, "W", POWER_W.wanted)
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
        At the propeller, 0, or 100 W to 1 MW. [W]
    diameter_m : array_like
        0.1 to 5. [m]
    density_kg_m3 : array_like
        0.3 to 1.8. [kg/m3]
    merit : array_like
        Figure of merit, 0.1 to 1; 0.6 is a judgement. [-]

    Returns
    -------
    StaticRun

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> found = static_run(power_w=15000.0, diameter_m=1.25, density_kg_m3=1.2, merit=0.6)
    >>> print(f"{found.thrust_kgf:.4g}")
    63.24
    """
    merit = checked("figure of merit", merit, 0.1, 1.0, "1")
    return StaticRun(*broadcast(_power(power_w), _diameter(diameter_m), _density(density_kg_m3), merit))


def _density(density_kg_m3: ArrayLike) -> Array:
    return checked("air density", density_kg_m3, *DENSITY_KG_M3, "kg/m3")


def _diameter(diameter_m: ArrayLike) -> Array:
    return checked("diameter of the propeller", diameter_m, *DIAMETER_M, "m")


def _turns(rpm: ArrayLike) -> Array:
    """Turns a second. [1/s]"""
    return PROPELLER_RPM.checked(rpm) / 60.0


def _power(power_w: ArrayLike) -> Array:
    return POWER_W.checked(power_w)


def _thrust(thrust_n: ArrayLike) -> Array:
    return THRUST_N.checked(thrust_n)
