"""What would an engine have given on the standard day of a test code, by what it gave today?

The codes were written for four-stroke road and stationary engines at full throttle; that they fit a two-stroke is a
supposition. They do not agree on the standard day, so a corrected power is only held against one of the same code. ISO
writes 298 K for its 25 degrees Celsius; the two others name the degrees, 25 and 20.

References
----------
SAE J1349 (June 1990), ISO 1585, DIN 70020, ISO 3046-1:2002, formulas 2 and 3 (all from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tickover.science.atmosphere.moist_air import checked_air, saturation_pressure_pa
from tickover.science.core.arrays import Array, broadcast, quantity_at
from tickover.science.core.input_checks import checked, checked_choice
from tickover.science.core.working import Working

__all__ = ["CODES", "FORMULAS", "PowerCorrection", "power_adjustment", "power_correction"]

FORMULAS = {
    "ISO 1585": "α = (99 kPa/pd)^1.2 (T/298 K)^0.6",
    "SAE J1349": "α = 1.18 (99 kPa/pd) (T/298.15 K)^0.5 − 0.18",
    "DIN 70020": "α = (101.3 kPa/p) (T/293.15 K)^0.5",
}
CODES = tuple(FORMULAS)
FRICTION_WEIGHT = 0.7
"""How much of the friction ISO 3046-1 counts as not following the air."""


@dataclass(frozen=True, eq=False)
class PowerCorrection:
    """Factor to a test code's standard day; all of one shape. `dry_pa` is what DIN 70020 does not look at."""

    code: str
    factor: Array
    pressure_pa: Array
    dry_pa: Array
    temperature_k: Array

    def working(self, at: int = 0) -> Working:
        """How the factor came about."""
        return Working(
            title=f"power on the standard day of {self.code}",
            formula=FORMULAS[self.code],
            inputs=(
                quantity_at("pressure at the field p", self.pressure_pa, at, "Pa"),
                quantity_at("dry air in it pd", self.dry_pa, at, "Pa"),
                quantity_at("air temperature T", self.temperature_k, at, "K"),
            ),
            result=quantity_at("factor on the power α", self.factor, at, ""),
            validity="full throttle, mixture right in both airs; the codes want 0.93 to 1.07",
            source=f"{self.code} (from memory)",
            authority="standard for four-strokes; for a two-stroke a supposition",
        )


def power_correction(
    code: str, temperature_k: ArrayLike, pressure_pa: ArrayLike, humidity: ArrayLike
) -> PowerCorrection:
    """Factor that turns a power measured today into that of a standard day.

    Parameters
    ----------
    code : str
        One of `CODES`.
    temperature_k : array_like
        Air temperature, 233.15 to 333.15. [K]
    pressure_pa : array_like
        At the field (QFE), 45,000 to 110,000; with `humidity` at 0, of the dry air alone. [Pa]
    humidity : array_like
        Relative humidity, 0 to 1. [-]

    Returns
    -------
    PowerCorrection

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> found = power_correction(
    ...     code='ISO 1585', temperature_k=293.0, pressure_pa=99000.0, humidity=0.5
    ... )
    >>> print(f"{found.factor:.4g}")
    1.004
    """
    known = checked_choice("test code", code, CODES)
    kelvin, pascal, wet = broadcast(*checked_air(temperature_k, pressure_pa, humidity))
    dry = pascal - wet * saturation_pressure_pa(kelvin)
    if known == "ISO 1585":
        factor = (99e3 / dry) ** 1.2 * (kelvin / 298.0) ** 0.6
    elif known == "SAE J1349":
        factor = 1.18 * (99e3 / dry) * np.sqrt(kelvin / 298.15) - 0.18
    else:
        factor = (101.3e3 / pascal) * np.sqrt(kelvin / 293.15)
    return PowerCorrection(known, factor, pascal, dry, kelvin)


def power_adjustment(
    temperature_k: ArrayLike, pressure_pa: ArrayLike, mechanical_efficiency: ArrayLike = 0.8
) -> Array:
    """What is left of a power rated at 100 kPa and 298 K in other dry air, by ISO 3046-1. [-]

    For an engine that breathes freely, spark-ignited: exponents 1 and 0.5. `mechanical_efficiency`: 0.5 to 1.
    Temperature and pressure as for `power_correction`.

    Parameters
    ----------
    temperature_k : array_like
        Air temperature, 233.15 to 333.15. [K]
    pressure_pa : array_like
        Air pressure, 45,000 to 110,000. [Pa]
    mechanical_efficiency : array_like
        Mechanical efficiency, 0.5 to 1. [-]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [-]

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> found = power_adjustment(temperature_k=293.0, pressure_pa=99000.0, mechanical_efficiency=0.8)
    >>> print(f"{found:.4g}")
    0.9981
    """
    dry_air = checked_air(temperature_k, pressure_pa, 0.0)
    kelvin, pascal, _, efficiency = broadcast(
        *dry_air, checked("mechanical efficiency", mechanical_efficiency, 0.5, 1.0, "1")
    )
    indicated = pascal / 100e3 * np.sqrt(298.0 / kelvin)
    return indicated - FRICTION_WEIGHT * (1.0 - indicated) * (1.0 / efficiency - 1.0)
