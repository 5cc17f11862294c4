"""How do static rpm and thrust change with the air alone, the engine being the same?

Notes
-----
The propeller takes torque as ρ n². An engine whose torque goes with the density ρ takes its air by weight, so that
ρ drops out: its static rpm does not move with the weather, its thrust goes with ρ. Friction does not thin out with
the air, so the torque falls a little faster than ρ; Gagg and Farrar's share for that gives the other end of the span.

References
----------
Gagg and Farrar, SAE Transactions 29 (1934), 217: power over density σ − (1 − σ)/7.55 at one rpm (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tickover.science.core.arrays import Array, broadcast, quantity_at
from tickover.science.core.input_checks import checked
from tickover.science.core.plausible import ENGINE_RPM, THRUST_N
from tickover.science.core.working import Working

__all__ = ["StaticWeather", "static_in_other_air"]

FRICTION_SHARE = 1.0 / 7.55
DENSITY_KG_M3 = (0.5, 1.6)


@dataclass(frozen=True, eq=False)
class StaticWeather:
    """A static run carried over to other air; all of one shape.

    `rpm`, `thrust_n` with the torque in proportion to the density; `rpm_friction`, `thrust_friction_n` with the
    share of friction that does not thin out. What is measured should lie between or near them.
    """

    rpm_then: Array
    thrust_then_n: Array
    density_then_kg_m3: Array
    density_now_kg_m3: Array
    rpm: Array
    thrust_n: Array
    rpm_friction: Array
    thrust_friction_n: Array

    def working(self, at: int = 0) -> Working:
        """How rpm and thrust of today came about."""
        return Working(
            title="static run in today's air",
            formula="propeller torque ~ ρ n², engine torque ~ ρ: n = n0, T = T0 ρ/ρ0; with friction torque ~ "
            "(σ − (1 − σ)/7.55): n = n0 √(k/σ), T = T0 k, σ = ρ/ρ0",
            inputs=(
                quantity_at("static rpm then n0", self.rpm_then, at, "rpm"),
                quantity_at("static thrust then T0", self.thrust_then_n, at, "N"),
                quantity_at("air density then ρ0", self.density_then_kg_m3, at, "kg/m3"),
                quantity_at("air density now ρ", self.density_now_kg_m3, at, "kg/m3"),
                quantity_at("rpm without the friction", self.rpm, at, "rpm"),
                quantity_at("rpm with the friction", self.rpm_friction, at, "rpm"),
                quantity_at("thrust with the friction", self.thrust_friction_n, at, "N"),
            ),
            result=quantity_at("thrust to be expected now", self.thrust_n, at, "N"),
            validity="same engine, setting, propeller and pitch; mixture right in both airs; torque flat near this "
            "rpm; no wind",
            source="torque balance; Gagg and Farrar (1934) (from memory)",
            authority="physics; which end of the span an engine keeps to is its own",
        )


def static_in_other_air(
    rpm_then: ArrayLike, thrust_then_n: ArrayLike, density_then_kg_m3: ArrayLike, density_now_kg_m3: ArrayLike
) -> StaticWeather:
    """Static rpm and thrust to be expected now from a run in other air.

    Parameters
    ----------
    rpm_then : array_like
        Of engine or propeller, 150 to 30,000. [rpm]
    thrust_then_n : array_like
        0, or 2 to 100,000. [N]
    density_then_kg_m3, density_now_kg_m3 : array_like
        0.5 to 1.6. [kg/m3]

    Returns
    -------
    StaticWeather

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> found = static_in_other_air(
    ...     rpm_then=8000.0, thrust_then_n=600.0, density_then_kg_m3=1.225, density_now_kg_m3=1.1
    ... )
    >>> print(f"{found.thrust_n:.4g}")
    538.8
    """
    rpm, thrust, then, now = broadcast(
        checked("static speed", rpm_then, ENGINE_RPM.least, ENGINE_RPM.upper, "rpm", ENGINE_RPM.wanted),
        THRUST_N.checked(thrust_then_n, "static thrust"),
        checked("air density then", density_then_kg_m3, *DENSITY_KG_M3, "kg/m3"),
        checked("air density now", density_now_kg_m3, *DENSITY_KG_M3, "kg/m3"),
    )
    sigma = now / then
    left = sigma - (1.0 - sigma) * FRICTION_SHARE
    slower = np.sqrt(left / sigma)
    return StaticWeather(rpm, thrust, then, now, rpm, thrust * sigma, rpm * slower, thrust * left)
