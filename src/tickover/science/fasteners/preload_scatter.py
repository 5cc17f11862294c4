"""How surely does a torque give its preload, and how near does that come to what the screw bears?

References
----------
VDI 2230-1: preload by torque and friction, tightening factor as the most over the least (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tickover.science.core.arrays import Array, broadcast, given_only, quantity_at
from tickover.science.core.input_checks import checked
from tickover.science.core.kinds import kinds_checked
from tickover.science.core.plausible import TORQUE_NM
from tickover.science.core.working import Working
from tickover.science.fasteners.preload_and_torque import BEARING_MM, FRICTION, preload_n
from tickover.science.fasteners.threads import breaking_load_n, proof_load_n, thread_mm

__all__ = ["Clamping", "clamping"]


@dataclass(frozen=True, eq=False)
class Clamping:
    """Preload of a screw at a torque, from the least to the most that friction and tool allow; of one shape.

    `proof_n` and `breaking_n` are NaN where no property class was given.
    """

    torque_nm: Array
    diameter_mm: Array
    pitch_mm: Array
    bearing_mm: Array
    friction_least: Array
    friction_most: Array
    tool_share: Array
    least_n: Array
    middle_n: Array
    most_n: Array
    proof_n: Array
    breaking_n: Array

    @property
    def scatter(self) -> Array:
        """Most over least preload, the tightening factor. [-]"""
        return self.most_n / self.least_n

    @property
    def proof_share(self) -> Array:
        """Most preload over proof load. [-]"""
        return self.most_n / self.proof_n

    def working(self, at: int = 0) -> Working:
        """How the preloads came about."""
        return Working(
            title="preload of a screw",
            formula="F = T/(P/2π + µ d2/(2 cos 30°) + µ Dkm/2); least at T(1 − tool) and most friction, "
            "most at T(1 + tool) and least friction",
            inputs=given_only(
                quantity_at("torque T", self.torque_nm, at, "N.m"),
                quantity_at("thread", self.diameter_mm, at, "mm"),
                quantity_at("pitch P", self.pitch_mm, at, "mm"),
                quantity_at("mean diameter under head or nut Dkm", self.bearing_mm, at, "mm"),
                quantity_at("friction µ, least", self.friction_least, at, ""),
                quantity_at("friction µ, most", self.friction_most, at, ""),
                quantity_at("tool, plus or minus", self.tool_share, at, ""),
                quantity_at("preload, least", self.least_n, at, "N"),
                quantity_at("preload, most", self.most_n, at, "N"),
                quantity_at("most over least", self.scatter, at, ""),
                quantity_at("proof load", self.proof_n, at, "N"),
                quantity_at("most over proof load", self.proof_share, at, ""),
                quantity_at("breaks at, at least", self.breaking_n, at, "N"),
            ),
            result=quantity_at("preload in the middle of torque and friction", self.middle_n, at, "N"),
            validity="same friction in thread and under the head; screw and thread sound, not bottoming; says nothing "
            "of what an aluminium thread bears",
            source="VDI 2230-1; ISO 898-1 (from memory)",
            authority="standard; the friction is a judgement. The maker's torque comes first",
        )


@kinds_checked
def clamping(
    torque_nm: ArrayLike,
    diameter_mm: ArrayLike,
    pitch_mm: ArrayLike,
    bearing_mm: ArrayLike,
    *,
    friction_least: ArrayLike = 0.10,
    friction_most: ArrayLike = 0.16,
    tool_share: ArrayLike = 0.04,
    property_class: str | None = None,
) -> Clamping:
    """Preload at a torque, with its scatter by friction and tool.

    Parameters
    ----------
    torque_nm : array_like
        Above 0. [N.m]
    diameter_mm, pitch_mm, bearing_mm : array_like
        As for `torque_nm`. [mm]
    friction_least, friction_most : array_like
        In thread and under the head alike; 0.10 to 0.16 is a judgement for clean steel, lightly oiled. [-]
    tool_share : array_like
        Plus and minus on the torque, below 0.5. [-]
    property_class : str or None
        Of the screw, for its proof load; see `threads.proof_load_n`.

    Returns
    -------
    Clamping

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> found = clamping(
    ...     torque_nm=9.0, diameter_mm=6.0, pitch_mm=1.0, bearing_mm=8.0, friction_least=0.1,
    ...     friction_most=0.16, tool_share=0.04, property_class='8.8'
    ... )
    >>> print(f"{found.middle_n:.4g}")
    8328
    """
    torque = checked("torque", torque_nm, TORQUE_NM.least, TORQUE_NM.upper, "N.m", TORQUE_NM.wanted)
    low = checked("least friction", friction_least, *FRICTION)
    high = checked("most friction", friction_most, *FRICTION)
    tool = checked("tolerance of the tool", tool_share, 0.0, 0.5, "1")
    advice = "least and most friction were exchanged"
    checked("least friction over the most", np.divide(*broadcast(low, high)), 0.0, 1.0, hint=advice)
    size = thread_mm(diameter_mm, pitch_mm)
    d, p = size.diameter_mm, size.pitch_mm
    bearing = checked("mean diameter under the head", bearing_mm, *BEARING_MM, "mm", "millimetres are wanted")
    proof = breaks = np.array(np.nan)
    if property_class is not None:
        proof, breaks = proof_load_n(d, p, property_class), breaking_load_n(d, p, property_class)
    fields = (torque, d, p, bearing, low, high, tool, proof, breaks)
    torque, d, p, bearing, low, high, tool, proof, breaks = broadcast(*fields)
    middle = (low + high) / 2.0
    least = preload_n(torque * (1.0 - tool), d, p, bearing, high, high)
    most = preload_n(torque * (1.0 + tool), d, p, bearing, low, low)
    between = preload_n(torque, d, p, bearing, middle, middle)
    return Clamping(torque, d, p, bearing, low, high, tool, least, between, most, proof, breaks)
