"""How dense is air with its moisture, and how much of it is there to burn with?

Notes
-----
The equation was made for weighing rooms: 15 to 27 degrees Celsius and 600 to 1100 hPa, uncertainty 22 parts in
a million. Here it is let out to -40 to 60 degrees and 450 to 1100 hPa, where it stays within 1 part in a
thousand of the real-gas equation of the library CoolProp (a check of the tests), which is far better than a
thermometer in the shade of a wing.
Humidity is over liquid water, below freezing too, as weather stations report it.

References
----------
A. Picard, R. S. Davis, M. Gläser, K. Fujii, "Revised formula for the density of moist air (CIPM-2007)",
Metrologia 45 (2008) 149-155.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tickover.science.core.arrays import broadcast
from tickover.science.core.input_checks import checked
from tickover.science.core.kinds import kinds_checked
from tickover.science.core.shapes import one_or_many
from tickover.science.core.working import Quantity, Working

__all__ = [
    "ASSUMED_HUMIDITY",
    "U_ANY_HUMIDITY",
    "MoistAir",
    "moist_air",
    "moist_density_kg_m3",
    "saturation_pressure_pa",
    "vapour_fraction",
]

Array = NDArray[np.float64]

FREEZING_K = 273.15
TEMPERATURES_K = (233.15, 333.15)
PRESSURES_PA = (45_000.0, 110_000.0)
DEW_POINTS_K = (193.15, 333.15)
MOLAR_GAS_J_MOL_K = 8.314472
MOLAR_MASS_WATER = 18.01528e-3
CO2_ORDINARY = 400e-6
MOST_CO2 = 0.01
ASSUMED_HUMIDITY = 0.5
"""Relative humidity where none was noted: the middle of all that can be."""
U_ANY_HUMIDITY = 1.0 / math.sqrt(12.0)
"""Standard uncertainty of it then, any value from dry to saturated being as likely (JCGM 100:2008, 4.3.7)."""
BLOCK = 16_384
"""Numbers worked on at a time, so that the steps in between stay in the processor's cache."""

SATURATION = (1.2378847e-5, -1.9121316e-2, 33.93711047, -6.3431645e3)
ENHANCEMENT = (1.00062, 3.14e-8, 5.6e-7)
COMPRESSION = (1.58123e-6, -2.9331e-8, 1.1043e-10)
COMPRESSION_VAPOUR = (5.707e-6, -2.051e-8, 1.9898e-4, -2.376e-6)
COMPRESSION_SQUARE = (1.83e-11, -0.765e-8)


@dataclass(frozen=True)
class MoistAir:
    """Air as it is, moisture included; every field has the common shape of the inputs.

    `vapour_fraction` is of moles, `dry_share` of mass: how much of a kilogram of it is dry air.
    """

    temperature_k: Array
    pressure_pa: Array
    humidity: Array
    vapour_fraction: Array
    density_kg_m3: Array
    dry_share: Array

    @property
    def dry_density_kg_m3(self) -> Array:
        """Dry air in a cubic metre: what there is to burn with. [kg/m3]"""
        return self.density_kg_m3 * self.dry_share

    def working(self, at: int = 0) -> Working:
        """How one density came about; `at` counts through the inputs from 0."""
        kelvin, pascal, humidity, vapour, density = (
            float(np.ravel(field)[at])
            for field in (
                self.temperature_k,
                self.pressure_pa,
                self.humidity,
                self.vapour_fraction,
                self.density_kg_m3,
            )
        )
        return Working(
            title="density of moist air",
            formula="ρ = p Ma/(Z R T) · [1 − xv (1 − Mv/Ma)], xv = h f psv/p",
            inputs=(
                Quantity("temperature T", kelvin, "K"),
                Quantity("pressure p", pascal, "Pa"),
                Quantity("relative humidity h", humidity, ""),
                Quantity("saturation pressure psv", float(saturation_pressure_pa(kelvin)), "Pa"),
                Quantity("mole fraction of vapour xv", vapour, ""),
            ),
            result=Quantity("density ρ", density, "kg/m3"),
            validity="made for 15 to 27 °C and 600 to 1100 hPa; within 0.1 % from −40 to 60 °C and 450 hPa up",
            source="CIPM-2007, Metrologia 45 (2008) 149-155",
            authority="standard",
        )


def saturation_pressure_pa(temperature_k: ArrayLike) -> Array:
    """Pressure of water vapour over liquid water, -80 to 60 degrees Celsius (193.15 to 333.15 K). [Pa]

    Raises
    ------
    OutOfRangeError
        Outside of that range.
    """
    return np.exp(log_saturation(checked("temperature", temperature_k, *DEW_POINTS_K, "K")))


def vapour_fraction(temperature_k: ArrayLike, pressure_pa: ArrayLike, humidity: ArrayLike) -> Array:
    """Mole fraction of water vapour in the air. [mol/mol] Inputs as for `moist_air`.

    Parameters
    ----------
    temperature_k : array_like
        Air temperature, 233.15 to 333.15. [K]
    pressure_pa : array_like
        Air pressure, 45,000 to 110,000. [Pa]
    humidity : array_like
        Relative humidity, 0 to 1. [-]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [mol/mol]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> print(f"{vapour_fraction(temperature_k=303.15, pressure_pa=98000.0, humidity=0.6):.4g}")
    0.02611
    """
    kelvin, pascal, wet = checked_air(temperature_k, pressure_pa, humidity)
    return wet * np.exp(log_saturation(kelvin)) * enhancement(kelvin, pascal) / pascal


@kinds_checked
def moist_density_kg_m3(
    temperature_k: ArrayLike, pressure_pa: ArrayLike, humidity: ArrayLike, co2: float = CO2_ORDINARY
) -> Array:
    """Density of moist air alone, for many values at once. [kg/m3] Inputs as for `moist_air`.

    Parameters
    ----------
    temperature_k : array_like
        Air temperature, 233.15 to 333.15. [K]
    pressure_pa : array_like
        Air pressure, 45,000 to 110,000. [Pa]
    humidity : array_like
        Relative humidity, 0 to 1. [-]
    co2 : float
        Carbon dioxide, 0 to 0.01. [-]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [kg/m3]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Notes
    -----
    A million values are worked through in blocks: about 20 ns each.

    Examples
    --------
    >>> found = moist_density_kg_m3(temperature_k=303.15, pressure_pa=98000.0, humidity=0.6, co2=0.0004)
    >>> print(f"{found:.4g}")
    1.115
    """
    kelvin, pascal, wet = broadcast(*checked_air(temperature_k, pressure_pa, humidity))
    molar = _molar_mass(co2)
    if kelvin.size <= BLOCK:
        return one_or_many(_density(kelvin, pascal, wet, molar))
    density = np.empty(kelvin.shape)
    flat = [np.ravel(field) for field in (kelvin, pascal, wet)]
    out = density.reshape(-1)
    for start in range(0, out.size, BLOCK):
        part = slice(start, start + BLOCK)
        out[part] = _density(flat[0][part], flat[1][part], flat[2][part], molar)
    return density


@kinds_checked
def moist_air(
    temperature_k: ArrayLike, pressure_pa: ArrayLike, humidity: ArrayLike, co2: float = CO2_ORDINARY
) -> MoistAir:
    """Density of moist air and the dry air in it.

    Parameters
    ----------
    temperature_k : array_like
        Air temperature, 233.15 to 333.15. [K]
    pressure_pa : array_like
        Pressure of the air there (QFE), not reduced to sea level: 45,000 to 110,000. [Pa]
    humidity : array_like
        Relative humidity over water, 0 to 1. [-]
    co2 : float
        Mole fraction of carbon dioxide, 0 to 0.01. [mol/mol]

    Returns
    -------
    MoistAir

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is not a number.

    Examples
    --------
    >>> found = moist_air(temperature_k=303.15, pressure_pa=98000.0, humidity=0.6, co2=0.0004)
    >>> print(f"{found.density_kg_m3:.4g}")
    1.115
    """
    kelvin, pascal, wet = broadcast(*checked_air(temperature_k, pressure_pa, humidity))
    molar = _molar_mass(co2)
    vapour = vapour_fraction(kelvin, pascal, wet)
    dry = (1.0 - vapour) * molar / ((1.0 - vapour) * molar + vapour * MOLAR_MASS_WATER)
    density = moist_density_kg_m3(kelvin, pascal, wet, co2)
    return MoistAir(kelvin, pascal, wet, vapour, density, dry)


def checked_air(
    temperature_k: ArrayLike, pressure_pa: ArrayLike, humidity: ArrayLike
) -> tuple[Array, Array, Array]:
    """Temperature, pressure and humidity of air, each in its range. [K], [Pa], [-]"""
    return (
        checked("air temperature", temperature_k, *TEMPERATURES_K, "K"),
        checked("air pressure", pressure_pa, *PRESSURES_PA, "Pa"),
        checked("relative humidity", humidity, 0.0, 1.0, "1"),
    )


def _molar_mass(co2: float) -> float:
    """Molar mass of dry air. [kg/mol]"""
    fraction = float(checked("carbon dioxide", co2, 0.0, MOST_CO2, "1", "400 parts in a million are 400e-6"))
    return (28.96546 + 12.011 * (fraction - 400e-6)) * 1e-3


def log_saturation(kelvin: Array) -> Array:
    """Logarithm of the saturation pressure. [ln Pa]"""
    a, b, c, d = SATURATION
    return (a * kelvin + b) * kelvin + c + d / kelvin


def enhancement(kelvin: Array, pascal: Array) -> Array:
    """Factor by which other air helps water to evaporate."""
    alpha, beta, gamma = ENHANCEMENT
    celsius = kelvin - FREEZING_K
    return alpha + beta * pascal + gamma * celsius * celsius


def _density(kelvin: Array, pascal: Array, humidity: Array, molar_mass: float) -> Array:
    """The equation itself, without looking at the inputs again."""
    celsius = kelvin - FREEZING_K
    over = pascal / kelvin
    vapour = humidity * np.exp(log_saturation(kelvin)) * enhancement(kelvin, pascal) / pascal
    a0, a1, a2 = COMPRESSION
    b0, b1, c0, c1 = COMPRESSION_VAPOUR
    d, e = COMPRESSION_SQUARE
    wet = vapour * (b0 + b1 * celsius + vapour * (c0 + c1 * celsius))
    z = 1.0 - over * (a0 + celsius * (a1 + a2 * celsius) + wet - over * (d + e * vapour * vapour))
    lighter = 1.0 - vapour * (1.0 - MOLAR_MASS_WATER / molar_mass)
    return over * lighter * (molar_mass / MOLAR_GAS_J_MOL_K) / z
