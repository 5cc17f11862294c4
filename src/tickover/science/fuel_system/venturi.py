"""How much air passes a venturi, and what suction does it make there?

References
----------
J. B. Heywood, Internal Combustion Engine Fundamentals (1988), 7.3 (from memory); the expansion factor is that
of ISO 5167-3 for a nozzle in a large pipe.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tickover.science.atmosphere.standard_atmosphere import HEAT_RATIO
from tickover.science.core.arrays import broadcast
from tickover.science.core.input_checks import OutOfRangeError, checked
from tickover.science.core.plausible import AIR_KG_S
from tickover.science.core.shapes import one_or_many

__all__ = ["CHOKED_RATIO", "expansion_factor", "throat_depression_pa", "throat_mm", "venturi_flow_kg_s"]

Array = NDArray[np.float64]

CHOKED_RATIO = (2.0 / (HEAT_RATIO + 1.0)) ** (HEAT_RATIO / (HEAT_RATIO - 1.0))
"""Throat to upstream pressure at which the air in the throat moves with the speed of sound. [-]"""
PRESSURES_PA = (45_000.0, 110_000.0)
AIR_KG_M3 = (0.5, 1.7)
DIAMETERS_MM = (1.0, 100.0)


def expansion_factor(throat_ratio: ArrayLike) -> Array:
    """Φ: how much less air flows than if it did not thin out on its way into the throat. [-]

    Parameters
    ----------
    throat_ratio : array_like
        Throat pressure to pressure before the venturi, above 0, up to 1. Below `CHOKED_RATIO` the flow stays
        what it is there. [-]

    Raises
    ------
    OutOfRangeError
        Outside of that range.
    """
    ratio = checked("throat to upstream pressure", throat_ratio, 1e-6, 1.0, "1")
    return one_or_many(_expansion(ratio))


def venturi_flow_kg_s(
    throat_mm: ArrayLike,
    discharge: ArrayLike,
    depression_pa: ArrayLike,
    pressure_pa: ArrayLike,
    density_kg_m3: ArrayLike,
) -> Array:
    """Air through a venturi. [kg/s]

    Parameters
    ----------
    throat_mm : array_like
        Diameter of the throat, 1 to 100. [mm]
    discharge : array_like
        Discharge coefficient, above 0 up to 1. [-]
    depression_pa : array_like
        Pressure before the venturi less that in the throat, 0 up to the pressure. [Pa]
    pressure_pa : array_like
        Pressure before the venturi, 45,000 to 110,000. [Pa]
    density_kg_m3 : array_like
        Density of the air before the venturi, 0.5 to 1.7. [kg/m3]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [kg/s]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges.

    Examples
    --------
    >>> found = venturi_flow_kg_s(
    ...     throat_mm=20.0, discharge=0.85, depression_pa=4000.0, pressure_pa=101000.0,
    ...     density_kg_m3=1.2
    ... )
    >>> print(f"{found:.4g}")
    0.0256
    """
    pascal, density = checked_air(pressure_pa, density_kg_m3)
    fall = _depression(depression_pa, pascal)
    return _flow(throat_m2(throat_mm) * checked_discharge(discharge), fall, pascal, density)


def throat_mm(
    air_kg_s: ArrayLike,
    discharge: ArrayLike,
    depression_pa: ArrayLike,
    pressure_pa: ArrayLike,
    density_kg_m3: ArrayLike,
) -> Array:
    """Diameter of the throat that passes a flow of air, 0 to 10 kg/s; inverse of `venturi_flow_kg_s`. [mm]

    Parameters
    ----------
    air_kg_s : array_like
        Air flow, 0 to 1. [kg/s]
    discharge : array_like
        Discharge coefficient, 0.01 to 1. [-]
    depression_pa : array_like
        Depression, 0 to 110,000. [Pa]
    pressure_pa : array_like
        Air pressure, 45,000 to 110,000. [Pa]
    density_kg_m3 : array_like
        Air density, 0.5 to 1.7. [kg/m3]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [mm]

    Raises
    ------
    OutOfRangeError
        Outside of its ranges, and without any depression.

    Examples
    --------
    >>> found = throat_mm(
    ...     air_kg_s=0.01, discharge=0.85, depression_pa=4000.0, pressure_pa=101000.0,
    ...     density_kg_m3=1.2
    ... )
    >>> print(f"{found:.4g}")
    12.5
    """
    pascal, density = checked_air(pressure_pa, density_kg_m3)
    fall = checked("depression", _depression(depression_pa, pascal), 1e-3, np.inf, "Pa")
    flow = AIR_KG_S.checked(air_kg_s)
    area_m2 = flow / _flow(checked_discharge(discharge), fall, pascal, density)
    diameter: Array = 1e3 * np.sqrt(4.0 / np.pi * area_m2)
    return diameter


def throat_depression_pa(
    air_kg_s: ArrayLike,
    throat_mm: ArrayLike,
    discharge: ArrayLike,
    pressure_pa: ArrayLike,
    density_kg_m3: ArrayLike,
) -> Array:
    """Depression in the throat that a flow of air makes, by root-finding. [Pa]

    Parameters as for `venturi_flow_kg_s`; `air_kg_s` is the flow of air, 0 or more. [kg/s]

    Parameters
    ----------
    air_kg_s : array_like
        Air flow, 0 to 1. [kg/s]
    throat_mm : array_like
        Throat diameter, 1 to 100. [mm]
    discharge : array_like
        Discharge coefficient, 0.01 to 1. [-]
    pressure_pa : array_like
        Air pressure, 45,000 to 110,000. [Pa]
    density_kg_m3 : array_like
        Air density, 0.5 to 1.7. [kg/m3]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [Pa]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for more air than passes a choked throat.

    Examples
    --------
    >>> found = throat_depression_pa(
    ...     air_kg_s=0.01, throat_mm=20.0, discharge=0.85, pressure_pa=101000.0, density_kg_m3=1.2
    ... )
    >>> print(f"{found:.4g}")
    588
    """
    pascal, density = checked_air(pressure_pa, density_kg_m3)
    area = throat_m2(throat_mm) * checked_discharge(discharge)
    wanted, area, pascal, density = broadcast(AIR_KG_S.checked(air_kg_s), area, pascal, density)
    choked_at = (1.0 - CHOKED_RATIO) * pascal
    most = _flow(area, choked_at, pascal, density)
    if np.any(wanted > most):
        raise OutOfRangeError(
            f"air flow must be below what the choked throat passes, {float(np.min(most)):.4g} kg/s; "
            f"got {float(np.max(wanted)):.4g} kg/s: check throat diameter and flow"
        )
    from scipy.optimize import elementwise  # slow to read, and seldom asked for

    find_root: Any = elementwise.find_root  # its stubs do not know that it takes arguments along
    found = find_root(
        lambda fall, flow, size, before, dense: _flow(size, fall, before, dense) - flow,
        (np.zeros(wanted.shape), choked_at),
        args=(wanted, area, pascal, density),
    )
    return one_or_many(found.x)


def checked_air(pressure_pa: ArrayLike, density_kg_m3: ArrayLike) -> tuple[Array, Array]:
    """Pressure and density of the air before the venturi. [Pa], [kg/m3]"""
    pascal = checked("air pressure", pressure_pa, *PRESSURES_PA, "Pa")
    return pascal, checked("air density", density_kg_m3, *AIR_KG_M3, "kg/m3")


def checked_discharge(discharge: ArrayLike) -> Array:
    """A discharge coefficient, 0.01 to 1. [-]"""
    return checked("discharge coefficient", discharge, 0.01, 1.0, "1")


def throat_m2(throat_mm: ArrayLike) -> Array:
    """Area of a throat of 1 to 100 mm. [m2]"""
    return 0.25e-6 * np.pi * checked("throat diameter", throat_mm, *DIAMETERS_MM, "mm") ** 2


def _depression(depression_pa: ArrayLike, pascal: Array) -> Array:
    fall = checked("depression", depression_pa, 0.0, PRESSURES_PA[1], "Pa")
    if np.any(fall >= pascal):
        raise OutOfRangeError(
            "depression must be less than the pressure before the venturi: check both units"
        )
    return fall


def _expansion(ratio: Array) -> Array:
    """Φ down to choking; its value at 1 is 1 by continuity."""
    g = HEAT_RATIO
    r = np.maximum(np.minimum(ratio, 1.0 - 1e-9), CHOKED_RATIO)
    flow = g / (g - 1.0) * r ** (2.0 / g) * (-np.expm1((g - 1.0) / g * np.log(r)))
    return one_or_many(np.sqrt(flow / (1.0 - np.minimum(ratio, 1.0 - 1e-9))))


def _flow(area_m2: Array, fall: Array, pascal: Array, density: Array) -> Array:
    """Air through a throat of an effective area; below choking more depression draws no more of it."""
    felt = np.minimum(fall, (1.0 - CHOKED_RATIO) * pascal)
    return one_or_many(area_m2 * _expansion(1.0 - felt / pascal) * np.sqrt(2.0 * density * felt))
