"""How much air does the venturi pass, how much fuel does it draw, and what mixture does that make?

The elementary carburettor of the textbooks: one venturi, one jet, steady flow. A two-stroke breathes in pulses;
the sums are good for changes, not for absolute figures.

References
----------
J. B. Heywood, Internal Combustion Engine Fundamentals (1988), 7.3 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tickover.science.atmosphere.standard_atmosphere import GRAVITY_M_S2
from tickover.science.core.arrays import broadcast
from tickover.science.core.input_checks import OutOfRangeError, checked, checked_pair
from tickover.science.core.plausible import DEPRESSION_PA, FILTER_PA, FUEL_HEAD_MM, FUEL_KG_S, JET_MM2
from tickover.science.core.shapes import one_or_many
from tickover.science.core.working import Quantity, Working
from tickover.science.fuel_system.venturi import (
    AIR_KG_M3,
    CHOKED_RATIO,
    checked_air,
    checked_discharge,
    expansion_factor,
    throat_m2,
    venturi_flow_kg_s,
)

__all__ = [
    "Mixture",
    "air_fuel_ratio",
    "behind_a_filter",
    "jet_diameter_mm",
    "jet_flow_kg_s",
    "lowest_air_speed_m_s",
]

Array = NDArray[np.float64]

FUEL_KG_M3 = (600.0, 900.0)


@dataclass(frozen=True)
class Mixture:
    """Air and fuel of an elementary carburettor; fields have the common shape of the inputs.

    `ratio` is by the full equation, `root_law` leaves out expansion and head, so that it holds the two side by
    side. `choked` tells where the air in the throat is as fast as it can be.
    """

    depression_pa: Array
    air_kg_s: Array
    fuel_kg_s: Array
    ratio: Array
    root_law: Array
    expansion: Array
    choked: NDArray[np.bool_]

    def working(self, at: int = 0) -> Working:
        """How one ratio came about; `at` counts through the inputs from 0."""
        depression, air, fuel, ratio, root, expansion = (
            float(np.ravel(field)[at])
            for field in (
                self.depression_pa,
                self.air_kg_s,
                self.fuel_kg_s,
                self.ratio,
                self.root_law,
                self.expansion,
            )
        )
        choked = "; the venturi is choked" if np.ravel(self.choked)[at] else ""
        return Working(
            title="air to fuel of an elementary carburettor",
            formula="A/F = Ca Aa Φ √(2 ρa Δp) / (Cf Af √(2 ρf (Δp − ρf g h)))",
            inputs=(
                Quantity("depression in the throat Δp", depression, "Pa"),
                Quantity("air", air, "kg/s"),
                Quantity("fuel", fuel, "kg/s"),
                Quantity("expansion factor Φ", expansion, ""),
                Quantity("without expansion and head", root, "kg/kg"),
            ),
            result=Quantity("air to fuel", ratio, "kg/kg"),
            validity=f"steady flow, one jet{choked}",
            source="Heywood, Internal Combustion Engine Fundamentals (1988), 7.3",
            authority="handbook",
        )


def jet_flow_kg_s(
    area_mm2: ArrayLike,
    discharge: ArrayLike,
    depression_pa: ArrayLike,
    density_kg_m3: ArrayLike,
    head_mm: ArrayLike = 0.0,
) -> Array:
    """Fuel through a jet. [kg/s]

    Parameters
    ----------
    area_mm2 : array_like
        Area of the jet, 0, or 0.02 to 20. [mm2]
    discharge : array_like
        Discharge coefficient, above 0 up to 1. [-]
    depression_pa : array_like
        Depression at the outlet of the jet, 0, or 50 to 110,000; none flows until it lifts the fuel over the lip. [Pa]
    density_kg_m3 : array_like
        Density of the fuel, 600 to 900. [kg/m3]
    head_mm : array_like
        How far the lip of the nozzle stands above the fuel, -100 to 100. [mm]

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
    >>> found = jet_flow_kg_s(
    ...     area_mm2=1.0, discharge=0.7, depression_pa=4000.0, density_kg_m3=745.0, head_mm=5.0
    ... )
    >>> print(f"{found:.4g}")
    0.001701
    """
    area = JET_MM2.checked(area_mm2) * 1e-6
    density = checked("fuel density", density_kg_m3, *FUEL_KG_M3, "kg/m3")
    head = density * GRAVITY_M_S2 * FUEL_HEAD_MM.checked(head_mm) * 1e-3
    fall = DEPRESSION_PA.checked(depression_pa) - head
    return area * checked_discharge(discharge) * np.sqrt(2.0 * density * np.maximum(fall, 0.0))


def air_fuel_ratio(
    venturi: tuple[ArrayLike, ArrayLike],
    jet: tuple[ArrayLike, ArrayLike],
    depression_pa: ArrayLike,
    air: tuple[ArrayLike, ArrayLike],
    fuel: tuple[ArrayLike, ArrayLike] = (745.0, 0.0),
) -> Mixture:
    """Air and fuel that one depression draws, by the full equation and by the root law.

    Parameters
    ----------
    venturi : tuple
        Throat diameter [mm] and discharge coefficient [-].
    jet : tuple
        Area [mm2] and discharge coefficient [-].
    depression_pa : array_like
        Depression in the throat, 50 up to the pressure. [Pa]
    air : tuple
        Pressure [Pa] and density [kg/m3] before the venturi.
    fuel : tuple
        Density [kg/m3] and head of the lip [mm].

    Returns
    -------
    Mixture

    Raises
    ------
    OutOfRangeError
        Outside of the ranges of `venturi_flow_kg_s` and `jet_flow_kg_s`, and where no fuel flows.

    Examples
    --------
    >>> found = air_fuel_ratio(
    ...     venturi=(20.0, 0.85), jet=(1.0, 0.7), depression_pa=4000.0, air=(101000.0, 1.2),
    ...     fuel=(745.0, 5.0)
    ... )
    >>> print(f"{found.ratio:.4g}")
    15.05
    """
    venturi, jet = checked_pair("throat and discharge", venturi), checked_pair("jet and discharge", jet)
    air, fuel = checked_pair("pressure and density of the air", air), checked_pair("density and head", fuel)
    fall = checked(
        "depression", depression_pa, DEPRESSION_PA.least, DEPRESSION_PA.upper, "Pa", DEPRESSION_PA.wanted
    )
    pascal, density = checked_air(*air)
    passed = venturi_flow_kg_s(*venturi, fall, pascal, density)
    drawn = jet_flow_kg_s(*jet, fall, fuel[0], fuel[1])
    if np.any(drawn <= 0.0):
        raise OutOfRangeError(
            "no fuel flows: the depression does not lift it over the lip, or the jet has no area"
        )
    throat = 1.0 - fall / pascal
    phi = expansion_factor(throat)
    plain_air = throat_m2(venturi[0]) * checked_discharge(venturi[1]) * np.sqrt(2.0 * density * fall)
    root = plain_air / jet_flow_kg_s(*jet, fall, fuel[0])
    fall, passed, drawn, ratio, root, phi = broadcast(fall, passed, drawn, passed / drawn, root, phi)
    choked = np.broadcast_to(throat <= CHOKED_RATIO, np.shape(fall))
    return Mixture(fall, passed, drawn, ratio, root, phi, one_or_many(choked))


def jet_diameter_mm(
    fuel_kg_s: ArrayLike,
    discharge: ArrayLike,
    depression_pa: ArrayLike,
    density_kg_m3: ArrayLike,
    head_mm: ArrayLike = 0.0,
) -> Array:
    """Diameter of the round jet that passes a flow of fuel; inverse of `jet_flow_kg_s`. [mm]

    `fuel_kg_s`: 0 to 1 kg/s; the others as for `jet_flow_kg_s`.

    Parameters
    ----------
    fuel_kg_s : array_like
        Fuel flow, 0 to 0.1. [kg/s]
    discharge : array_like
        Discharge coefficient, 0.01 to 1. [-]
    depression_pa : array_like
        Depression, 0, or 50 to 110,000. [Pa]
    density_kg_m3 : array_like
        Fuel density, 600 to 900. [kg/m3]
    head_mm : array_like
        Head of the lip, -100 to 100. [mm]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [mm]

    Raises
    ------
    OutOfRangeError
        Also where the depression does not lift the fuel over the lip.

    Examples
    --------
    >>> found = jet_diameter_mm(
    ...     fuel_kg_s=0.001, discharge=0.7, depression_pa=4000.0, density_kg_m3=745.0, head_mm=5.0
    ... )
    >>> print(f"{found:.4g}")
    0.8651
    """
    flow = FUEL_KG_S.checked(fuel_kg_s)
    for_each_mm2 = jet_flow_kg_s(1.0, discharge, depression_pa, density_kg_m3, head_mm)
    if np.any(for_each_mm2 <= 0.0):
        raise OutOfRangeError("no fuel flows: the depression does not lift it over the lip")
    diameter: Array = np.sqrt(4.0 / np.pi * flow / for_each_mm2)
    return diameter


def behind_a_filter(ratio: ArrayLike, depression_pa: ArrayLike, filter_drop_pa: ArrayLike) -> Array:
    """Air to fuel once a filter holds the air back, the chamber feeling the air outside of it. [kg/kg]

    The air is drawn by the same depression as before, the fuel by that and the filter's: a dirty filter makes
    rich. By the root law; a chamber that is vented behind the filter does not feel it.

    Parameters
    ----------
    ratio : array_like
        Air to fuel without the filter, 1 to 100. [kg/kg]
    depression_pa : array_like
        In the throat against the air before it, 50 to 110,000. [Pa]
    filter_drop_pa : array_like
        What the filter holds back, 0, or 10 to 50,000. [Pa]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [kg/kg]

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> print(f"{behind_a_filter(ratio=14.0, depression_pa=4000.0, filter_drop_pa=300.0):.4g}")
    13.5
    """
    before = checked("air to fuel", ratio, 1.0, 100.0)
    fall = checked(
        "depression", depression_pa, DEPRESSION_PA.least, DEPRESSION_PA.upper, "Pa", DEPRESSION_PA.wanted
    )
    held: Array = np.sqrt(fall / (fall + FILTER_PA.checked(filter_drop_pa)))
    return before * held


def lowest_air_speed_m_s(head_mm: ArrayLike, air_kg_m3: ArrayLike, fuel_kg_m3: ArrayLike) -> Array:
    """Speed of the air in the throat at which the first fuel comes over the lip. [m/s]

    Parameters
    ----------
    head_mm : array_like
        Head of the lip, 0 to 100. [mm]
    air_kg_m3 : array_like
        Air density, 0.5 to 1.7. [kg/m3]
    fuel_kg_m3 : array_like
        Fuel density, 600 to 900. [kg/m3]

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
    >>> print(f"{lowest_air_speed_m_s(head_mm=5.0, air_kg_m3=1.2, fuel_kg_m3=745.0):.4g}")
    7.803
    """
    head = checked("head of the lip", FUEL_HEAD_MM.checked(head_mm), 0.0, 100.0, "mm") * 1e-3
    fuel = checked("fuel density", fuel_kg_m3, *FUEL_KG_M3, "kg/m3")
    return np.sqrt(2.0 * fuel * GRAVITY_M_S2 * head / checked("air density", air_kg_m3, *AIR_KG_M3, "kg/m3"))
