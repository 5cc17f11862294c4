"""How high does the engine think it is: pressure altitude and density altitude from what the field reports.

Altitudes are geopotential metres; for field elevations the difference to a tape-measured height is far below
what a barometer can tell.

References
----------
ISO 2533:1975; ICAO Annex 3 and Doc 9837 for the meaning of QNH and QFE (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tickover.science.atmosphere.moist_air import MOLAR_MASS_WATER, vapour_fraction
from tickover.science.atmosphere.standard_atmosphere import (
    GAS_CONSTANT_J_KG_K,
    LOWEST_M,
    altitude_of_density_m,
    altitude_of_pressure_m,
    standard_pressure_pa,
)
from tickover.science.core.arrays import broadcast
from tickover.science.core.input_checks import checked
from tickover.science.core.working import Quantity, Working

__all__ = ["DensityAltitude", "density_altitude", "pressure_altitude_m", "qfe_pa", "qnh_pa"]

Array = NDArray[np.float64]

ELEVATIONS_M = (-500.0, 6_000.0)
QNH_PA = (87_000.0, 109_000.0)
"""Lowest and highest pressures at sea level ever measured are near 870 and 1085 hPa."""
QFE_PA = (45_000.0, 110_000.0)
FEET_HINT = "elevation is asked for in metres: multiply feet by 0.3048"
SATURATED = "humidity not known: taken as saturated, the thinnest air there can be"
LIGHTER = 1.0 - MOLAR_MASS_WATER / 28.96546e-3


@dataclass(frozen=True)
class DensityAltitude:
    """What the air is worth, as the altitude of a standard day; fields have the common shape of the inputs.

    Without `humidity_known` the air is taken as saturated.
    """

    temperature_k: Array
    pressure_pa: Array
    humidity: Array
    vapour_fraction: Array
    pressure_altitude_m: Array
    dry_m: Array
    moist_m: Array
    humidity_known: bool

    @property
    def moisture_m(self) -> Array:
        """How much of it is due to the moisture. [m]"""
        return self.moist_m - self.dry_m

    def working(self, at: int = 0) -> Working:
        """How one density altitude came about; `at` counts through the inputs from 0."""
        kelvin, pascal, vapour, pressure_alt, dry, moist = (
            float(np.ravel(field)[at])
            for field in (
                self.temperature_k,
                self.pressure_pa,
                self.vapour_fraction,
                self.pressure_altitude_m,
                self.dry_m,
                self.moist_m,
            )
        )
        return Working(
            title="density altitude, moisture included",
            formula="ρ = p/(R T) · [1 − xv (1 − Mv/Ma)]; H = T0/L · [1 − (ρ/ρ0)^(1/(g/(R L) − 1))]",
            inputs=(
                Quantity("temperature T", kelvin, "K"),
                Quantity("pressure at the field p", pascal, "Pa"),
                Quantity("mole fraction of vapour xv", vapour, "", "" if self.humidity_known else SATURATED),
                Quantity("pressure altitude", pressure_alt, "m"),
                Quantity("density altitude of dry air", dry, "m"),
            ),
            result=Quantity("density altitude H", moist, "m"),
            validity="air as an ideal gas, as in the standard atmosphere, so that a standard day gives 0 (4 m less "
            "than with the gas as it really is); moisture by CIPM-2007",
            source="ISO 2533:1975; CIPM-2007",
            authority="standard",
        )


def pressure_altitude_m(qnh: ArrayLike, elevation_m: ArrayLike) -> Array:
    """Pressure altitude of a field from its elevation and the QNH. [m]

    Parameters
    ----------
    qnh : array_like
        Altimeter setting that shows the elevation on the ground, 87,000 to 109,000. [Pa]
    elevation_m : array_like
        Elevation of the field above sea level, -500 to 6000. [m]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [m]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges.

    Examples
    --------
    >>> print(f"{pressure_altitude_m(qnh=101000.0, elevation_m=300.0):.4g}")
    327.1
    """
    setting = checked("QNH", qnh, *QNH_PA, "Pa")
    return _elevation(elevation_m) + altitude_of_pressure_m(setting)


def qfe_pa(qnh: ArrayLike, elevation_m: ArrayLike) -> Array:
    """Pressure at the field (QFE) from QNH and elevation. [Pa] Ranges as for `pressure_altitude_m`.

    Parameters
    ----------
    qnh : array_like
        QNH, 87,000 to 109,000. [Pa]
    elevation_m : array_like
        Elevation, -500 to 6000. [m]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [Pa]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> print(f"{qfe_pa(qnh=101000.0, elevation_m=300.0):.0f}")
    97457
    """
    return standard_pressure_pa(pressure_altitude_m(qnh, elevation_m))


def qnh_pa(qfe: ArrayLike, elevation_m: ArrayLike) -> Array:
    """QNH from the pressure at the field (QFE, 45,000 to 110,000 Pa) and its elevation. [Pa]

    Parameters
    ----------
    qfe : array_like
        QFE, 45,000 to 110,000. [Pa]
    elevation_m : array_like
        Elevation, -500 to 6000. [m]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [Pa]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> print(f"{qnh_pa(qfe=97000.0, elevation_m=300.0):.0f}")
    100530
    """
    at_field = altitude_of_pressure_m(checked("QFE", qfe, *QFE_PA, "Pa"))
    reduced = standard_pressure_pa(np.maximum(at_field - _elevation(elevation_m), LOWEST_M))
    hint = "QFE and elevation do not belong together"
    return checked("QNH from QFE and elevation", reduced, *QNH_PA, "Pa", hint)


def density_altitude(
    temperature_k: ArrayLike, pressure_pa: ArrayLike, humidity: ArrayLike | None
) -> DensityAltitude:
    """Density altitude, dry and with the moisture of the air.

    Parameters
    ----------
    temperature_k : array_like
        Air temperature, 233.15 to 333.15. [K]
    pressure_pa : array_like
        Pressure at the field (QFE; `qfe_pa` gives it from QNH), 45,000 to 110,000. [Pa]
    humidity : array_like
        Relative humidity, 0 to 1; from a dew point by `dew_point.humidity_from_dew_point`. None where it is not known:
        then the air is taken as saturated, the thinnest it can be. [-]

    Returns
    -------
    DensityAltitude

    Raises
    ------
    OutOfRangeError
        Outside of those ranges.

    Examples
    --------
    >>> found = density_altitude(temperature_k=303.15, pressure_pa=98000.0, humidity=0.6)
    >>> print(f"{found.moist_m:.4g}")
    968.7
    """
    known = humidity is not None
    moist_side = 1.0 if humidity is None else humidity
    vapour = vapour_fraction(temperature_k, pressure_pa, moist_side)
    fields = (np.asarray(given, dtype=np.float64) for given in (temperature_k, pressure_pa, moist_side))
    kelvin, pascal, wet, vapour = broadcast(*fields, vapour)
    density = pascal / (GAS_CONSTANT_J_KG_K * kelvin)
    dry = altitude_of_density_m(density)
    moist = altitude_of_density_m(density * (1.0 - LIGHTER * vapour))
    return DensityAltitude(kelvin, pascal, wet, vapour, altitude_of_pressure_m(pascal), dry, moist, known)


def _elevation(elevation_m: ArrayLike) -> Array:
    return checked("elevation", elevation_m, *ELEVATIONS_M, "m", FEET_HINT)
