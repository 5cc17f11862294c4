"""How far is the charge compressed, above the piston and below it?

References
----------
Blair, Design and Simulation of Two-Stroke Engines (1996), 1.4 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tickover.science.core.arrays import Array, broadcast, given_only, quantity_at
from tickover.science.core.input_checks import checked
from tickover.science.core.plausible import CASE_CM3, EXHAUST_WAY_MM, HEAD_CM3, WHOLE_CM3, Plausible
from tickover.science.core.working import Working
from tickover.science.engine.cylinder import swept_cm3

__all__ = ["Compression", "case_below_piston_cm3", "compression"]

VOLUME_CM3 = (1e-3, 1e6)


@dataclass(frozen=True, eq=False)
class Compression:
    """Compression ratios; NaN where the figure for one of them was not given. All of one shape."""

    geometric: Array
    trapped: Array
    crankcase: Array
    swept_cm3: Array
    head_cm3: Array
    trapped_travel_mm: Array
    case_cm3: Array

    def working(self, at: int = 0) -> Working:
        """How the ratios came about."""
        return Working(
            title="compression ratios",
            formula="geometric (Vs + Vc)/Vc; trapped (Vs·x/stroke + Vc)/Vc; crankcase (Vcc + Vs)/Vcc",
            inputs=given_only(
                quantity_at("swept volume Vs", self.swept_cm3, at, "cm3"),
                quantity_at("volume left at top centre Vc", self.head_cm3, at, "cm3"),
                quantity_at("way to the exhaust's upper edge x", self.trapped_travel_mm, at, "mm"),
                quantity_at("crankcase below the piston at bottom centre Vcc", self.case_cm3, at, "cm3"),
                quantity_at("trapped", self.trapped, at, ""),
                quantity_at("crankcase", self.crankcase, at, ""),
            ),
            result=quantity_at("geometric", self.geometric, at, ""),
            validity="volumes as measured, for example by filling with oil from a burette",
            source="Blair (1996), 1.4 (from memory)",
            authority="standard",
        )


def compression(
    bore_mm: ArrayLike,
    stroke_mm: ArrayLike,
    head_cm3: ArrayLike,
    *,
    trapped_travel_mm: ArrayLike | None = None,
    case_cm3: ArrayLike | None = None,
) -> Compression:
    """Geometric, trapped and crankcase compression ratio.

    Parameters
    ----------
    bore_mm, stroke_mm : array_like
        [mm]
    head_cm3 : array_like
        What is left above the piston at top centre. [cm3]
    trapped_travel_mm : array_like or None
        Way of the piston from top centre to the exhaust's upper edge, see `crank.travel_mm`. [mm]
    case_cm3 : array_like or None
        Crankcase and transfers below the piston at bottom centre, see `case_below_piston_cm3`. [cm3]

    Returns
    -------
    Compression

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> found = compression(
    ...     bore_mm=60.0, stroke_mm=54.0, head_cm3=15.0, trapped_travel_mm=40.0, case_cm3=400.0
    ... )
    >>> print(f"{found.geometric:.4g}")
    11.18
    """
    swept, stroke = swept_cm3(bore_mm, stroke_mm), np.asarray(stroke_mm, dtype=np.float64)
    head = HEAD_CM3.checked(head_cm3)
    travel = _or_nan(trapped_travel_mm, EXHAUST_WAY_MM)
    case = _or_nan(case_cm3, CASE_CM3)
    swept, head, travel, case, stroke = broadcast(swept, head, travel, case, stroke)
    if trapped_travel_mm is not None:
        checked("way to the exhaust's upper edge as a share of the stroke", travel / stroke, 0.0, 1.0)
    trapped = 1.0 + swept * travel / stroke / head
    return Compression(1.0 + swept / head, trapped, 1.0 + swept / case, swept, head, travel, case)


def case_below_piston_cm3(
    whole_cm3: ArrayLike, bore_mm: ArrayLike, stroke_mm: ArrayLike, head_cm3: ArrayLike
) -> Array:
    """Crankcase and transfers below the piston at bottom centre, from the whole engine's closed volume. [cm3]

    `whole_cm3`: crankcase, transfers and cylinder as one, as in a pressure test at bottom centre.

    Parameters
    ----------
    whole_cm3 : array_like
        Whole volume, 5 to 10,000. [cm3]
    bore_mm : array_like
        Bore, 1 to 500. [mm]
    stroke_mm : array_like
        Stroke, 1 to 500. [mm]
    head_cm3 : array_like
        Volume left at top centre, 0.5 to 500. [cm3]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [cm3]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> found = case_below_piston_cm3(whole_cm3=600.0, bore_mm=60.0, stroke_mm=54.0, head_cm3=15.0)
    >>> print(f"{found:.4g}")
    432.3
    """
    above = swept_cm3(bore_mm, stroke_mm) + HEAD_CM3.checked(head_cm3)
    below = WHOLE_CM3.checked(whole_cm3) - above
    advice = "the whole volume must be more than the cylinder alone"
    return checked("crankcase volume", below, 1e-3, CASE_CM3.upper, "cm3", advice)


def _or_nan(value: ArrayLike | None, span: Plausible) -> Array:
    return np.array(np.nan) if value is None else span.checked(value)
