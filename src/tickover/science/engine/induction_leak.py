"""What share of the air an engine breathes would a leak be, at idle and at full throttle?

References
----------
A balance of volumes: swept volume times turns times filling. Usual fillings: common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

from numpy.typing import ArrayLike

from tickover.science.core.arrays import Array, broadcast, quantity_at
from tickover.science.core.input_checks import checked, checked_pair
from tickover.science.core.plausible import ENGINE_RPM, LEAK_L_MIN
from tickover.science.core.working import Working

__all__ = ["InductionLeak", "engine_air_l_min", "induction_leak"]

IDLE = (2_000.0, 0.17)
FULL = (8_000.0, 0.80)
"""Engine speed [rpm] and filling: judgements for a small crankcase-scavenged engine, no source."""


@dataclass(frozen=True, eq=False)
class InductionLeak:
    """A leak as a share of the air of the engine; all of one shape. [l/min]"""

    leak_l_min: Array
    swept_cm3: Array
    idle_l_min: Array
    full_l_min: Array

    @property
    def idle_share(self) -> Array:
        """Share of the air at idle. [-]"""
        return self.leak_l_min / self.idle_l_min

    @property
    def full_share(self) -> Array:
        """Share of the air at full throttle. [-]"""
        return self.leak_l_min / self.full_l_min

    def working(self, at: int = 0) -> Working:
        """How the shares came about."""
        return Working(
            title="induction leak as a share of the air the engine breathes",
            formula="share = leak/(swept volume · rpm · filling)",
            inputs=(
                quantity_at("leak", self.leak_l_min, at, "l/min"),
                quantity_at("swept volume", self.swept_cm3, at, "cm3"),
                quantity_at("air at idle", self.idle_l_min, at, "l/min"),
                quantity_at("air at full throttle", self.full_l_min, at, "l/min"),
                quantity_at("share at full throttle", self.full_share, at, ""),
            ),
            result=quantity_at("share at idle", self.idle_share, at, ""),
            validity="the leak as if it drew all the time as in the test; in a running engine the case swings "
            "above and below the air outside, so this separates idle from full throttle, not the mixture itself",
            source="two-stroke: one filling in a turn",
            authority="physics; the fillings are judgements, no source",
        )


def engine_air_l_min(swept_cm3: ArrayLike, rpm: ArrayLike, filling: ArrayLike) -> Array:
    """Air that a two-stroke breathes in a minute.

    Parameters
    ----------
    swept_cm3 : array_like
        1 to 10,000. [cm3]
    rpm : array_like
        150 to 30,000. [rpm]
    filling : array_like
        Air of one turn over the swept volume, 0.01 to 1.5. [-]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [min]

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> print(f"{engine_air_l_min(swept_cm3=180.0, rpm=2000.0, filling=0.17):.4g}")
    61.2
    """
    swept = checked("swept volume", swept_cm3, 1.0, 10_000.0, "cm3", "cubic centimetres are wanted")
    speed = checked("engine speed", rpm, ENGINE_RPM.least, ENGINE_RPM.upper, "rpm", ENGINE_RPM.wanted)
    return swept / 1000.0 * speed * checked("filling", filling, 0.01, 1.5, "1")


def induction_leak(
    leak_l_min: ArrayLike,
    swept_cm3: ArrayLike,
    idle: tuple[ArrayLike, ArrayLike] = IDLE,
    full: tuple[ArrayLike, ArrayLike] = FULL,
) -> InductionLeak:
    """Share of a leak in the air at idle and at full throttle.

    Parameters
    ----------
    leak_l_min : array_like
        0 to 200; of a vacuum test take the size of the leak. [l/min]
    swept_cm3 : array_like
        [cm3]
    idle, full : pair of array_like
        Engine speed [rpm] and filling [-] of each.

    Returns
    -------
    InductionLeak

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> found = induction_leak(leak_l_min=5.0, swept_cm3=180.0, idle=(2000.0, 0.17), full=(8000.0, 0.8))
    >>> print(f"{found.idle_share:.4g}")
    0.0817
    """
    leak = LEAK_L_MIN.checked(leak_l_min)
    swept = checked("swept volume", swept_cm3, 1.0, 10_000.0, "cm3", "cubic centimetres are wanted")
    pairs = (checked_pair("speed and filling at idle", idle), checked_pair("speed and filling at full", full))
    return InductionLeak(*broadcast(leak, swept, *(engine_air_l_min(swept, *pair) for pair in pairs)))
