"""How much air goes through a small hole, and how large is the hole that lets so much through?

References
----------
Isentropic flow of an ideal gas through a nozzle, choked below the critical pressure ratio: White, Fluid Mechanics,
9.4; 40 CFR 1065.640 has the same equation for a flow meter (both from memory).
Discharge of a sharp-edged hole about 0.6: Idelchik, Handbook of Hydraulic Resistance (from memory).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from tickover.science.atmosphere.standard_atmosphere import GAS_CONSTANT_J_KG_K
from tickover.science.atmosphere.standard_atmosphere import HEAT_RATIO as GAMMA
from tickover.science.core.arrays import Array, broadcast
from tickover.science.core.input_checks import checked
from tickover.science.core.shapes import one_or_many
from tickover.science.fuel_system.venturi import CHOKED_RATIO

__all__ = ["SHARP_EDGED", "air_through_hole_kg_s", "hole_m", "is_choked"]

SHARP_EDGED = 0.62
PRESSURE_PA = (2_000.0, 20e6)
TEMPERATURE_K = (200.0, 700.0)


def is_choked(
    upstream_pa: ArrayLike, downstream_pa: ArrayLike
) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    """Whether the air goes at the speed of sound, so that less pressure behind draws no more through.

    Parameters
    ----------
    upstream_pa : array_like
        Pressure upstream, 2000 to 2e+07. [Pa]
    downstream_pa : array_like
        Pressure downstream, 2000 to 2e+07. [Pa]

    Returns
    -------
    np.ndarray[tuple[int, ...], np.dtype[np.bool_]]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> bool(is_choked(200_000.0, 101_325.0)), bool(is_choked(150_000.0, 101_325.0))
    (True, False)
    """
    upstream, downstream = _pressures(upstream_pa, downstream_pa)
    return one_or_many(downstream / upstream <= CHOKED_RATIO)


def air_through_hole_kg_s(
    upstream_pa: ArrayLike,
    downstream_pa: ArrayLike,
    temperature_k: ArrayLike,
    diameter_m: ArrayLike,
    discharge: ArrayLike = SHARP_EDGED,
) -> Array:
    """Mass of air through a round hole in a second.

    Parameters
    ----------
    upstream_pa, downstream_pa : array_like
        Absolute pressures, upstream not below downstream. [Pa]
    temperature_k : array_like
        Of the air upstream. [K]
    diameter_m : array_like
        [m]
    discharge : array_like
        Share of the ideal flow that a hole of this shape lets through, 0.3 to 1. [-]

    Returns
    -------
    numpy.ndarray
        Common shape of the inputs. [kg/s]

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> found = air_through_hole_kg_s(
    ...     upstream_pa=150000.0, downstream_pa=101000.0, temperature_k=293.0, diameter_m=0.001,
    ...     discharge=0.62
    ... )
    >>> print(f"{found:.4g}")
    0.0001642
    """
    diameter = checked("diameter of the hole", diameter_m, 0.0, 0.05, "m", "metres are wanted: 1 mm is 0.001")
    return np.pi / 4.0 * diameter**2 * _through(upstream_pa, downstream_pa, temperature_k, discharge)


def hole_m(
    flow_kg_s: ArrayLike,
    upstream_pa: ArrayLike,
    downstream_pa: ArrayLike,
    temperature_k: ArrayLike,
    discharge: ArrayLike = SHARP_EDGED,
) -> Array:
    """Diameter of the round hole that lets a mass of air through in a second; inverse of `air_through_hole_kg_s`.

    Without any pressure across it no hole explains a flow: infinite, and 0 for no flow. [m]

    Parameters
    ----------
    flow_kg_s : array_like
        Flow of air, 0 to 100. [kg/s]
    upstream_pa : array_like
        Pressure upstream, 2000 to 2e+07. [Pa]
    downstream_pa : array_like
        Pressure downstream, 2000 to 2e+07. [Pa]
    temperature_k : array_like
        Temperature of the air, 200 to 700. [K]
    discharge : array_like
        Discharge coefficient, 0.3 to 1. [-]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [m]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> found = hole_m(
    ...     upstream_pa=150000.0, downstream_pa=101000.0, temperature_k=293.0, flow_kg_s=1e-06,
    ...     discharge=0.62
    ... )
    >>> print(f"{found:.4g}")
    7.804e-05
    """
    flow = checked("flow of air", flow_kg_s, 0.0, 100.0, "kg/s")
    flow, for_each_m2 = broadcast(flow, _through(upstream_pa, downstream_pa, temperature_k, discharge))
    area = np.divide(flow, for_each_m2, out=np.where(flow > 0.0, np.inf, 0.0), where=for_each_m2 > 0.0)
    diameter: Array = np.sqrt(4.0 / np.pi * area)
    return diameter


def _through(
    upstream_pa: ArrayLike, downstream_pa: ArrayLike, temperature_k: ArrayLike, discharge: ArrayLike
) -> Array:
    """Flow for each square metre of hole. [kg/(m2 s)]"""
    upstream, downstream = _pressures(upstream_pa, downstream_pa)
    kelvin = checked("temperature of the air", temperature_k, *TEMPERATURE_K, "K")
    share = checked("discharge coefficient", discharge, 0.3, 1.0, "1")
    ratio = np.maximum(downstream / upstream, CHOKED_RATIO)
    drive = (
        2.0 * GAMMA / (GAMMA - 1.0) * ratio ** (2.0 / GAMMA) * -np.expm1((1.0 - 1.0 / GAMMA) * np.log(ratio))
    )
    flow: Array = share * upstream * np.sqrt(drive / (GAS_CONSTANT_J_KG_K * kelvin))
    return flow


def _pressures(upstream_pa: ArrayLike, downstream_pa: ArrayLike) -> tuple[Array, ...]:
    upstream = checked("pressure upstream", upstream_pa, *PRESSURE_PA, "Pa")
    downstream = checked("pressure downstream", downstream_pa, *PRESSURE_PA, "Pa")
    upstream, downstream = broadcast(upstream, downstream)
    advice = "air flows from the higher pressure to the lower; pressures are absolute here"
    checked("pressure downstream as a share of that upstream", downstream / upstream, 0.0, 1.0, hint=advice)
    return upstream, downstream
