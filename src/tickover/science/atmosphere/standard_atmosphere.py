"""What would the air be on a standard day at this altitude, and at which altitude is it like today's?

References
----------
ISO 2533:1975, clauses 2.1 to 2.9 (the same model as ICAO Doc 7488 up to 20 km).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tickover.science.core.input_checks import checked
from tickover.science.core.shapes import one_or_many
from tickover.science.core.working import Quantity, Working

__all__ = [
    "StandardAir",
    "altitude_of_density_m",
    "altitude_of_pressure_m",
    "geometric_altitude_m",
    "geopotential_altitude_m",
    "standard_air",
    "standard_pressure_pa",
]

Array = NDArray[np.float64]

GRAVITY_M_S2 = 9.80665
GAS_CONSTANT_J_KG_K = 287.05287
HEAT_RATIO = 1.4
EARTH_RADIUS_M = 6_356_766.0
SEA_LEVEL_K = 288.15
SEA_LEVEL_PA = 101_325.0
SEA_LEVEL_KG_M3 = SEA_LEVEL_PA / (GAS_CONSTANT_J_KG_K * SEA_LEVEL_K)
LAPSE_K_M = 0.0065
TROPOPAUSE_M = 11_000.0
TROPOPAUSE_K = SEA_LEVEL_K - LAPSE_K_M * TROPOPAUSE_M
EXPONENT = GRAVITY_M_S2 / (GAS_CONSTANT_J_KG_K * LAPSE_K_M)
TROPOPAUSE_PA = SEA_LEVEL_PA * (TROPOPAUSE_K / SEA_LEVEL_K) ** EXPONENT
TROPOPAUSE_KG_M3 = TROPOPAUSE_PA / (GAS_CONSTANT_J_KG_K * TROPOPAUSE_K)
SCALE_HEIGHT_M = GAS_CONSTANT_J_KG_K * TROPOPAUSE_K / GRAVITY_M_S2
LOWEST_M, HIGHEST_M = -2_000.0, 20_000.0
DENSEST_M = -5_000.0
"""Down to where densities are asked for; ISO 2533:1975/Add. 2:1997 goes there (from memory)."""
FEET_HINT = "flying heights are asked for in metres: multiply feet by 0.3048"


@dataclass(frozen=True)
class StandardAir:
    """The standard atmosphere at some altitudes; every field has the shape of the altitude asked for."""

    geopotential_m: Array
    temperature_k: Array
    pressure_pa: Array
    density_kg_m3: Array
    speed_of_sound_m_s: Array

    def working(self, at: int = 0) -> Working:
        """How the density of one altitude came about; `at` counts through the altitudes from 0."""
        height, kelvin, pascal, density = (
            float(np.ravel(field)[at])
            for field in (self.geopotential_m, self.temperature_k, self.pressure_pa, self.density_kg_m3)
        )
        below = height <= TROPOPAUSE_M
        layer = "p = p0 (T/T0)^(g/(R L)), T = T0 − L H" if below else "p = p11 exp(−(H − 11000) g/(R T11))"
        return Working(
            title="standard air at this altitude",
            formula=f"ρ = p/(R T); {layer}",
            inputs=(
                Quantity("geopotential altitude H", height, "m"),
                Quantity("temperature T", kelvin, "K"),
                Quantity("pressure p", pascal, "Pa"),
                Quantity("gas constant R", GAS_CONSTANT_J_KG_K, "J/(kg K)"),
            ),
            result=Quantity("density ρ", density, "kg/m3"),
            validity="−2 km to 20 km; dry air of a standard day, not today's",
            source="ISO 2533:1975",
            authority="standard",
        )


def standard_air(altitude_m: ArrayLike, *, geometric: bool = False) -> StandardAir:
    """Temperature, pressure, density and speed of sound of the standard atmosphere.

    Parameters
    ----------
    altitude_m : array_like
        Altitude, -2000 to 20,000 geopotential. [m]
    geometric : bool
        Whether the altitude is a tape-measured height above sea level and not a geopotential altitude; the
        two differ by 4 m at 5 km.

    Returns
    -------
    StandardAir

    Raises
    ------
    OutOfRangeError
        For altitudes outside of that range, and for what is not a number.

    Examples
    --------
    >>> print(f"{standard_air(altitude_m=500.0, geometric=False).density_kg_m3:.4g}")
    1.167
    """
    height = _geopotential(altitude_m) if geometric else _altitude("altitude", altitude_m)
    kelvin = one_or_many(SEA_LEVEL_K - LAPSE_K_M * np.minimum(height, TROPOPAUSE_M))
    pascal = _pressure(height, kelvin)
    density = pascal / (GAS_CONSTANT_J_KG_K * kelvin)
    sound = np.sqrt(HEAT_RATIO * GAS_CONSTANT_J_KG_K * kelvin)
    return StandardAir(height, kelvin, pascal, density, sound)


def standard_pressure_pa(altitude_m: ArrayLike) -> Array:
    """Pressure of the standard atmosphere at a geopotential altitude of -2000 to 20,000 m. [Pa]"""
    height = _altitude("altitude", altitude_m)
    return _pressure(height, SEA_LEVEL_K - LAPSE_K_M * np.minimum(height, TROPOPAUSE_M))


def altitude_of_pressure_m(pressure_pa: ArrayLike) -> Array:
    """Pressure altitude: where the standard atmosphere has this pressure. [m geopotential]

    Parameters
    ----------
    pressure_pa : array_like
        Pressure of the air there, not reduced to sea level: 5475 to 127,774. [Pa]

    Raises
    ------
    OutOfRangeError
        For pressures that the atmosphere has nowhere between -2 km and 20 km.
    """
    pascal = checked("air pressure", pressure_pa, *PRESSURES_PA, "Pa")
    return _inverted(pascal, SEA_LEVEL_PA, TROPOPAUSE_PA, 1.0 / EXPONENT)


def altitude_of_density_m(density_kg_m3: ArrayLike) -> Array:
    """Density altitude: where the standard atmosphere has this density. [m geopotential]

    Parameters
    ----------
    density_kg_m3 : array_like
        Density of the air: 0.0880 to 1.9304, which is that of -5 km: on a day of -40 degrees Celsius the air at
        sea level is denser than a standard day's at -2 km. [kg/m3]

    Raises
    ------
    OutOfRangeError
        For densities that the atmosphere has nowhere between -5 km and 20 km.
    """
    hint = "air is near 1.2 kg/m3: check temperature and pressure"
    density = checked("air density", density_kg_m3, *DENSITIES_KG_M3, "kg/m3", hint)
    return _inverted(density, SEA_LEVEL_KG_M3, TROPOPAUSE_KG_M3, 1.0 / (EXPONENT - 1.0))


def geopotential_altitude_m(geometric_m: ArrayLike) -> Array:
    """Geopotential altitude of a tape-measured height, -2000 to 20,063 m. [m]"""
    return _geopotential(geometric_m)


def geometric_altitude_m(geopotential_m: ArrayLike) -> Array:
    """Tape-measured height of a geopotential altitude, -2000 to 20,000 m. [m]"""
    height = _altitude("geopotential altitude", geopotential_m)
    return EARTH_RADIUS_M * height / (EARTH_RADIUS_M - height)


def _geopotential(geometric_m: ArrayLike) -> Array:
    height = checked("geometric altitude", geometric_m, LOWEST_M, 20_063.0, "m", FEET_HINT)
    return EARTH_RADIUS_M * height / (EARTH_RADIUS_M + height)


def _altitude(name: str, altitude_m: ArrayLike) -> Array:
    return checked(name, altitude_m, LOWEST_M, HIGHEST_M, "m", FEET_HINT)


def _pressure(height: Array, kelvin: Array) -> Array:
    """Both layers at once; the upper one is worked out only where there is something in it."""
    pascal = np.asarray(SEA_LEVEL_PA * (kelvin * (1.0 / SEA_LEVEL_K)) ** EXPONENT)
    above = height > TROPOPAUSE_M
    if above.any():
        pascal = np.where(above, pascal * np.exp((TROPOPAUSE_M - height) / SCALE_HEIGHT_M), pascal)
    return one_or_many(pascal)


def _inverted(value: Array, at_sea_level: float, at_tropopause: float, exponent: float) -> Array:
    """Altitude of a quantity that follows a power of temperature below the tropopause, falls off above."""
    height = np.asarray((SEA_LEVEL_K / LAPSE_K_M) * (1.0 - (value * (1.0 / at_sea_level)) ** exponent))
    above = value < at_tropopause
    if above.any():
        height = np.where(above, TROPOPAUSE_M - SCALE_HEIGHT_M * np.log(value / at_tropopause), height)
    return one_or_many(height)


def _ends() -> tuple[tuple[float, float], tuple[float, float]]:
    """Pressures and densities at both ends of their ranges, the smaller one first."""
    height = np.array([HIGHEST_M, LOWEST_M, DENSEST_M])
    kelvin = SEA_LEVEL_K - LAPSE_K_M * np.minimum(height, TROPOPAUSE_M)
    pascal = _pressure(height, kelvin)
    density = pascal / (GAS_CONSTANT_J_KG_K * kelvin)
    return (float(pascal[0]), float(pascal[1])), (float(density[0]), float(density[2]))


PRESSURES_PA, DENSITIES_KG_M3 = _ends()
