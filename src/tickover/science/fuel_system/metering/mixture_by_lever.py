"""What mixture does a lever height make, and from where on does a low lever starve the engine?

References
----------
The force balance of `lever_balance` and the flow of `flow`; no source of their own. That a low lever starves an engine
at full throttle first is common practice, no source.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tickover.science.core.arrays import broadcast
from tickover.science.core.input_checks import OutOfRangeError, checked, checked_one
from tickover.science.core.kinds import kinds_checked
from tickover.science.fuel_system.fuels import Premix
from tickover.science.fuel_system.metering.flow import LITRES_PER_HOUR, POINTS, TANK, FlowPoint, flow, flow_at
from tickover.science.fuel_system.metering.lever_balance import (
    NOMINAL_K,
    TEMPERATURES_K,
    Metering,
    checked_height,
    greatest_lift_at,
    opening_at,
    suction_at,
)

__all__ = ["lowest_height_mm", "mixture_by_height_percent", "suction_for_flow_pa"]

Array = NDArray[np.float64]

FLOWS_L_H = (0.0, 60.0)
STARVED_LOSS = 0.02
"""Share of the fuel that may be missing before an engine counts as starved: a judgement."""


@kinds_checked
def mixture_by_height_percent(
    system: Metering,
    height_mm: ArrayLike,
    temperature_k: ArrayLike = NOMINAL_K,
    points: tuple[FlowPoint, ...] = POINTS,
) -> Array:
    """How much richer (above 0) than with the lever at nominal, float[points, ...]. [%]

    The air stays what it is, so that the change of the fuel is the change of the mixture. Both are taken at one
    temperature. Parameters and errors as for `flow`.

    Parameters
    ----------
    system : Metering
    height_mm : array_like
        Lever above nominal, -1.5 to 1.5. [mm]
    temperature_k : array_like
        Of fuel and diaphragm, 243.15 to 333.15. [K]
    points : tuple of FlowPoint
        Throttle openings, at least one.

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [%]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> from tickover.science.fuel_system.metering.lever_balance import ILLUSTRATIVE
    >>> mixture_by_height_percent(ILLUSTRATIVE, -0.2).round(1)
    array([ -2.8,  -1. , -13.6])
    """
    if not points:
        raise OutOfRangeError("points are empty: give at least one throttle opening")
    changes = []
    for point in points:
        nominal = flow(system, point, 0.0, temperature_k).fuel_l_h
        if np.any(nominal <= 0.0):
            raise OutOfRangeError(
                f"no fuel flows at {point.name} with the lever at nominal: check spring and suction"
            )
        changes.append(100.0 * (flow(system, point, height_mm, temperature_k).fuel_l_h / nominal - 1.0))
    return np.stack(changes)


@kinds_checked
def suction_for_flow_pa(
    system: Metering,
    fuel_l_h: ArrayLike,
    height_mm: ArrayLike = 0.0,
    temperature_k: ArrayLike = NOMINAL_K,
    premix: Premix = TANK,
) -> Array:
    """Suction in the chamber that lets a flow of fuel in, by root-finding. [Pa]

    Parameters
    ----------
    fuel_l_h : array_like
        Flow of fuel, 0 to 60. [L/h]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [Pa]

    Raises
    ------
    OutOfRangeError
        For more fuel than comes in with the diaphragm at its stop: a lever that low starves the engine.

    Examples
    --------
    >>> from tickover.science.fuel_system.metering.lever_balance import ILLUSTRATIVE
    >>> print(f"{suction_for_flow_pa(ILLUSTRATIVE, 4.0):.3g}")
    211
    """
    wanted, height, kelvin = broadcast(
        checked("fuel flow", fuel_l_h, *FLOWS_L_H, "L/h"),
        checked_height(height_mm),
        checked("temperature", temperature_k, *TEMPERATURES_K, "K"),
    )
    density = premix.density_kg_m3(kelvin)
    most = greatest_lift_at(system, height)

    def surplus(lift: Array, above: Array, kelvins: Array, dense: Array, litres: Array) -> Array:
        pressure = np.maximum(0.0, system.pump_pa + suction_at(system, lift, above, kelvins))
        passing = system.discharge * opening_at(system, lift) * 1e-6 * np.sqrt(2.0 * pressure / dense)
        return np.asarray(passing * LITRES_PER_HOUR - litres)

    short = surplus(most, height, kelvin, density, wanted)
    if np.any(short < 0.0):
        at = int(np.argmin(short))
        raise OutOfRangeError(
            f"fuel flow must be at most {float(np.ravel(short + wanted)[at]):.3g} L/h with the lever "
            f"{float(np.ravel(height)[at]):+.2f} mm from nominal; got {float(np.ravel(wanted)[at]):.3g} L/h: there "
            "the diaphragm is at its stop, and a lever that low starves the engine"
        )
    from scipy.optimize import elementwise  # slow to read, and seldom asked for

    find_root: Any = elementwise.find_root  # its stubs do not know that it takes arguments along
    found = find_root(surplus, (np.zeros(height.shape), most), args=(height, kelvin, density, wanted))
    return suction_at(system, found.x, height, kelvin)


@kinds_checked
def lowest_height_mm(system: Metering, point: FlowPoint, loss: float = STARVED_LOSS) -> float:
    """Lever height under nominal at which an engine loses a share of its fuel, by halving. [mm]

    Parameters
    ----------
    loss : float
        Share of the fuel that may be missing, above 0, to 0.5. [-]

    Returns
    -------
    float
        [mm]

    Raises
    ------
    OutOfRangeError
        When no height down to -1.5 mm loses as much.

    Examples
    --------
    >>> from tickover.science.fuel_system.metering.flow import POINTS
    >>> from tickover.science.fuel_system.metering.lever_balance import ILLUSTRATIVE
    >>> print(f"{lowest_height_mm(ILLUSTRATIVE, POINTS[2]):.2f}")
    -0.12
    """
    share = checked_one("loss", loss, 1e-4, 0.5, "1")

    def fuel(height: float) -> float:
        return float(flow_at(system, point, np.asarray(height), np.asarray(NOMINAL_K), TANK).fuel_l_h)

    enough = (1.0 - share) * fuel(0.0)
    low, high = -1.5, 0.0
    if fuel(low) >= enough:
        raise OutOfRangeError(
            f"no lever down to {low:g} mm under nominal takes {100 * share:g} % of the fuel at {point.name}"
        )
    while high - low > 1e-4:
        middle = 0.5 * (low + high)
        low, high = (low, middle) if fuel(middle) >= enough else (middle, high)
    return high
