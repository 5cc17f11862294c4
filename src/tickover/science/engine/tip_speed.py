"""How fast do the tips of a propeller move, and how near is that to the speed of sound?

References
----------
Speed of a point on a circle, and the speed of sound of ISO 2533 (dry air as an ideal gas).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from tickover.science.atmosphere.standard_atmosphere import GAS_CONSTANT_J_KG_K, HEAT_RATIO
from tickover.science.core.arrays import Array
from tickover.science.core.input_checks import checked
from tickover.science.core.plausible import PROPELLER_RPM
from tickover.science.engine.propeller import DIAMETER_M

__all__ = ["tip_mach", "tip_speed_m_s"]


def tip_speed_m_s(rpm: ArrayLike, diameter_m: ArrayLike, airspeed_m_s: ArrayLike = 0.0) -> Array:
    """Speed of the blade tips through the air. [m/s]

    Parameters
    ----------
    rpm : array_like
        Propeller speed, 60 to 20,000. [rpm]
    diameter_m : array_like
        Diameter of the propeller, 0.1 to 5. [m]
    airspeed_m_s : array_like
        Airspeed, 0 to 200. [m/s]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [m/s]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> print(f"{tip_speed_m_s(rpm=2700.0, diameter_m=1.25, airspeed_m_s=10.0):.4g}")
    177
    """
    across = checked("diameter of the propeller", diameter_m, *DIAMETER_M, "m")
    turns = PROPELLER_RPM.checked(rpm) / 60.0
    forward = checked("airspeed", airspeed_m_s, 0.0, 200.0, "m/s")
    speed: Array = np.hypot(np.pi * across * turns, forward)
    return speed


def tip_mach(
    rpm: ArrayLike, diameter_m: ArrayLike, temperature_k: ArrayLike, airspeed_m_s: ArrayLike = 0.0
) -> Array:
    """Speed of the blade tips over the speed of sound in dry air. [-]

    Parameters
    ----------
    rpm : array_like
        Propeller speed, 60 to 20,000. [rpm]
    diameter_m : array_like
        Diameter of the propeller, 0.1 to 5. [m]
    temperature_k : array_like
        Air temperature, 200 to 350. [K]
    airspeed_m_s : array_like
        Airspeed, 0 to 200. [m/s]

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
    >>> print(f"{tip_mach(rpm=2700.0, diameter_m=1.25, temperature_k=288.0, airspeed_m_s=10.0):.4g}")
    0.5203
    """
    kelvin = checked("air temperature", temperature_k, 200.0, 350.0, "K")
    return tip_speed_m_s(rpm, diameter_m, airspeed_m_s) / np.sqrt(HEAT_RATIO * GAS_CONSTANT_J_KG_K * kelvin)
