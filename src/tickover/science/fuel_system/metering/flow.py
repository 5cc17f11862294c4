"""How much fuel passes the metering system at a throttle opening?

Fuel passes the inlet needle into the chamber and leaves it through a jet into the venturi. The suction in the
chamber is what remains when both flows are the same: found here by root-finding on the lift of the needle.

References
----------
Flow through an orifice, Q = C A sqrt(2 Δp / ρ), as in ISO 5167-1:2003 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tickover.science.atmosphere.standard_atmosphere import GRAVITY_M_S2
from tickover.science.core.arrays import broadcast
from tickover.science.core.input_checks import checked, checked_one
from tickover.science.core.kinds import checked_fields, kinds_checked
from tickover.science.core.shapes import one_or_many
from tickover.science.core.working import Quantity, Working
from tickover.science.fuel_system.fuels import PETROL, Premix
from tickover.science.fuel_system.metering.lever_balance import (
    NOMINAL_K,
    TEMPERATURES_K,
    Metering,
    checked_height,
    greatest_lift_at,
    opening_at,
    suction_at,
)

__all__ = [
    "POINTS",
    "Flow",
    "FlowPoint",
    "flow",
]

Array = NDArray[np.float64]

LITRES_PER_HOUR = 3.6e6
"""Cubic metres a second in litres an hour."""
TANK = Premix(PETROL, 50.0)


@dataclass(frozen=True)
class FlowPoint:
    """A throttle opening: the suction at the outlet of its jet, and the area of jet and needle together.

    Parameters
    ----------
    suction_pa : float
        At the outlet of the jet, 10 to 30,000. [Pa]
    jet_mm2 : float
        Of all holes that are drawn on, 0.001 to 5. [mm2]
    discharge : float
        Of the jet. [-]
    head_mm : float
        Of the outlet above the chamber, -50 to 50. [mm]
    """

    name: str
    suction_pa: float
    jet_mm2: float
    discharge: float = 0.7
    head_mm: float = 0.0

    def __post_init__(self) -> None:
        hint = "idle has hundreds, full throttle thousands of pascals"
        checked_one(f"suction at {self.name}", self.suction_pa, 10.0, 30_000.0, "Pa", hint)
        checked_one(f"jet area at {self.name}", self.jet_mm2, 1e-3, 5.0, "mm2")
        checked_one("discharge coefficient", self.discharge, 0.1, 1.0, "1")
        checked_one("head", self.head_mm, -50.0, 50.0, "mm")
        checked_fields(self)


POINTS = (
    FlowPoint("idle", 500.0, 0.25),
    FlowPoint("half throttle", 2_500.0, 0.75),
    FlowPoint("full throttle", 6_000.0, 1.0),
)
"""Illustrative: hundreds of pascals at idle, thousands at full throttle."""


@dataclass(frozen=True)
class Flow:
    """Fuel through the metering system; fields have the common shape of heights and temperatures.

    `at_stop`: the diaphragm is at its stop and cannot open the needle farther.
    """

    system: Metering
    point: FlowPoint
    height_mm: Array
    temperature_k: Array
    fuel_l_h: Array
    chamber_suction_pa: Array
    lift_mm: Array
    at_stop: NDArray[np.bool_]

    def working(self, at: int = 0) -> Working:
        """How one flow came about; `at` counts through the heights from 0."""
        height, litres, suction, lift = (
            float(np.ravel(field)[at])
            for field in (self.height_mm, self.fuel_l_h, self.chamber_suction_pa, self.lift_mm)
        )
        stop = "; the diaphragm is at its stop" if np.ravel(self.at_stop)[at] else ""
        return Working(
            title=f"fuel at {self.point.name}",
            formula="Ci Ai(x) √(2 (p + s)/ρ) = Cj Aj √(2 (S − s − ρ g h)/ρ), s from the balance of forces at lift x",
            inputs=(
                Quantity("lever above nominal", height, "mm"),
                Quantity("suction at the jet S", self.point.suction_pa, "Pa"),
                Quantity("suction in the chamber s", suction, "Pa"),
                Quantity("lift of the needle x", lift, "mm"),
                Quantity("pump pressure p", self.system.pump_pa, "Pa"),
                Quantity("jet Aj", self.point.jet_mm2, "mm2"),
            ),
            result=Quantity("fuel", litres, "L/h"),
            validity=f"steady flow; real pumps and venturis pulse{stop}",
            source="force balance and flow through two openings in a row",
            authority=self.system.authority,
        )


@kinds_checked
def flow(
    system: Metering,
    point: FlowPoint,
    height_mm: ArrayLike = 0.0,
    temperature_k: ArrayLike = NOMINAL_K,
    premix: Premix = TANK,
) -> Flow:
    """Fuel that passes at a throttle opening, over lever heights and temperatures at once.

    Parameters
    ----------
    system : Metering
    point : Point
    height_mm : array_like
        Lever above nominal, -1.5 to 1.5. [mm]
    temperature_k : array_like
        Of fuel and diaphragm, 243.15 to 333.15. [K]
    premix : Premix
        In the tank.

    Returns
    -------
    Flow

    Raises
    ------
    OutOfRangeError
        Outside of those ranges.

    Examples
    --------
    >>> from tickover.science.fuel_system.metering.lever_balance import ILLUSTRATIVE
    >>> print(f"{flow(ILLUSTRATIVE, POINTS[2], height_mm=-0.2).fuel_l_h:.3g} L/h")
    8.51 L/h
    """
    kelvin = checked("temperature", temperature_k, *TEMPERATURES_K, "K")
    return flow_at(system, point, checked_height(height_mm), kelvin, premix)


def flow_at(system: Metering, point: FlowPoint, height: Array, kelvin: Array, premix: Premix) -> Flow:
    """As `flow`, for heights that were computed and may be as small as they like."""
    height, kelvin = broadcast(height, kelvin)
    density = premix.density_kg_m3(kelvin)
    drive = np.maximum(0.0, point.suction_pa - density * GRAVITY_M_S2 * point.head_mm * 1e-3)
    most = greatest_lift_at(system, height)

    def surplus(lift: Array, above: Array, kelvins: Array, driven: Array) -> Array:
        """What comes in beyond what goes out, in squares, so that the sign is right without roots."""
        suction = suction_at(system, lift, above, kelvins)
        passing = (system.discharge * opening_at(system, lift)) ** 2 * (system.pump_pa + suction)
        return np.asarray(passing - (point.discharge * point.jet_mm2) ** 2 * (driven - suction))

    shut = surplus(np.zeros(height.shape), height, kelvin, drive) >= 0.0
    at_stop = surplus(most, height, kelvin, drive) <= 0.0
    upper = np.where(at_stop | shut, np.maximum(most, 1e-9), most)
    from scipy.optimize import elementwise  # slow to read, and seldom asked for

    find_root: Any = elementwise.find_root  # its stubs do not know that it takes arguments along
    found = find_root(surplus, (np.zeros(height.shape), upper), args=(height, kelvin, drive))
    lift = np.where(shut, 0.0, np.where(at_stop, most, found.x))
    suction = np.where(
        at_stop, _between(system, point, most, drive), suction_at(system, lift, height, kelvin)
    )
    suction = np.where(shut, np.maximum(suction, drive), suction)
    speed = np.sqrt(2.0 * np.maximum(drive - suction, 0.0) / density)
    litres = point.discharge * point.jet_mm2 * 1e-6 * speed * LITRES_PER_HOUR
    fields = (one_or_many(field) for field in (suction, lift, at_stop & ~shut))
    return Flow(system, point, height, kelvin, litres, *fields)


def _between(system: Metering, point: FlowPoint, lift_mm: Array, drive: Array) -> Array:
    """Suction between two fixed openings in a row. [Pa]"""
    inlet = (system.discharge * opening_at(system, lift_mm)) ** 2
    outlet = (point.discharge * point.jet_mm2) ** 2
    return np.asarray((outlet * drive - inlet * system.pump_pa) / (outlet + inlet))
