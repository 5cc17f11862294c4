"""How fast is the charge squeezed out of the squish band, and when?

An ideal figure for comparing heads: no leak past the ring, no friction, no inertia, one pressure everywhere.

References
----------
Heywood, Internal Combustion Engine Fundamentals (1988), 8.4 (equation for a bowl, from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tickover.science.core.arrays import Array, broadcast, quantity_at
from tickover.science.core.input_checks import checked
from tickover.science.core.plausible import HEAD_CM3
from tickover.science.core.working import Working
from tickover.science.engine.crank import piston_speed_m_s, travel_mm
from tickover.science.engine.cylinder import BORE_MM, swept_cm3

__all__ = ["SquishFlow", "peak_squish", "squish_speed_m_s"]

LOOKED_AT_DEG = np.arange(0.5, 60.0, 0.25)
"""Angles before top centre among which the fastest is sought. [deg]"""


@dataclass(frozen=True, eq=False)
class SquishFlow:
    """Fastest flow out of the squish band before top centre; all of one shape."""

    speed_m_s: Array
    crank_deg: Array
    gap_mm: Array
    band_share: Array
    bore_mm: Array
    stroke_mm: Array
    rod_mm: Array
    head_cm3: Array
    rpm: Array

    def working(self, at: int = 0) -> Working:
        """How the speed came about."""
        return Working(
            title="squish flow, ideal",
            formula="v = Sp·(D/4z)·((B/D)² − 1)·Vb/(A z + Vb), D = B√(1 − band), z = clearance + way of the piston, "
            "Vb = volume at top centre − A·clearance; largest before top centre",
            inputs=(
                quantity_at("squish clearance at top centre", self.gap_mm, at, "mm"),
                quantity_at("share of the bore's area under the band", self.band_share, at, ""),
                quantity_at("bore B", self.bore_mm, at, "mm"),
                quantity_at("stroke", self.stroke_mm, at, "mm"),
                quantity_at("rod, centre to centre", self.rod_mm, at, "mm"),
                quantity_at("volume left at top centre", self.head_cm3, at, "cm3"),
                quantity_at("engine speed", self.rpm, at, "rpm"),
                quantity_at("fastest at, before top centre", self.crank_deg, at, "deg"),
            ),
            result=quantity_at("squish speed", self.speed_m_s, at, "m/s"),
            validity="for comparing heads; leaks, friction and inertia make the real flow slower; flat, even band",
            source="Heywood (1988), 8.4 (from memory); continuity",
            authority="standard",
        )


def squish_speed_m_s(
    before_top_deg: ArrayLike,
    gap_mm: ArrayLike,
    band_share: ArrayLike,
    bore_mm: ArrayLike,
    stroke_mm: ArrayLike,
    rod_mm: ArrayLike,
    head_cm3: ArrayLike,
    rpm: ArrayLike,
) -> Array:
    """Speed at the inner edge of the squish band, inwards above 0.

    Parameters
    ----------
    before_top_deg : array_like
        Crank angle before top centre; below 0 after it. [deg]
    gap_mm : array_like
        Squish clearance at top centre, 0.05 to 20. [mm]
    band_share : array_like
        Share of the bore's area that lies under the band, 0.01 to 0.99. [-]
    bore_mm, stroke_mm, rod_mm : array_like
        [mm]
    head_cm3 : array_like
        What is left above the piston at top centre, band included. [cm3]
    rpm : array_like
        [rpm]

    Returns
    -------
    numpy.ndarray
        Common shape of the inputs. [m/s]

    Raises
    ------
    OutOfRangeError
        Also for a head that holds less than the squish clearance over the whole bore.

    Examples
    --------
    >>> found = squish_speed_m_s(
    ...     before_top_deg=10.0, gap_mm=1.2, band_share=0.5, head_cm3=15.0, rpm=7000.0,
    ...     bore_mm=60.0, stroke_mm=54.0, rod_mm=110.0
    ... )
    >>> print(f"{found:.4g}")
    18.69
    """
    gap = checked("squish clearance", gap_mm, 0.05, 20.0, "mm")
    band = checked("share of the squish band", band_share, 0.01, 0.99, "1")
    bore = checked("bore", bore_mm, *BORE_MM, "mm")
    bowl_cm3 = _bowl_cm3(gap, bore, HEAD_CM3.checked(head_cm3))
    z = gap + travel_mm(before_top_deg, stroke_mm, rod_mm)
    inner = bore * np.sqrt(1.0 - band)
    ring = inner / (4.0 * z) * ((bore / inner) ** 2 - 1.0)
    filled = bowl_cm3 / (np.pi / 4000.0 * bore**2 * z + bowl_cm3)
    return piston_speed_m_s(before_top_deg, stroke_mm, rod_mm, rpm) * ring * filled


def peak_squish(
    gap_mm: ArrayLike,
    band_share: ArrayLike,
    bore_mm: ArrayLike,
    stroke_mm: ArrayLike,
    rod_mm: ArrayLike,
    head_cm3: ArrayLike,
    rpm: ArrayLike,
) -> SquishFlow:
    """Fastest squish flow before top centre, to a quarter of a degree; inputs as for `squish_speed_m_s`.

    Parameters
    ----------
    gap_mm : array_like
        Squish clearance, 0.05 to 20. [mm]
    band_share : array_like
        Share of the squish band, 0.01 to 0.99. [-]
    bore_mm : array_like
        Bore, 1 to 500. [mm]
    stroke_mm : array_like
        Stroke, 1 to 2000. [mm]
    rod_mm : array_like
        Length of the rod, 1 to 10,000. [mm]
    head_cm3 : array_like
        Volume left at top centre, 0.5 to 500. [cm3]
    rpm : array_like
        Engine speed, 0, or 150 to 30,000. [rpm]

    Returns
    -------
    SquishFlow

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> found = peak_squish(
    ...     gap_mm=1.2, band_share=0.5, head_cm3=15.0, rpm=7000.0, bore_mm=60.0, stroke_mm=54.0,
    ...     rod_mm=110.0
    ... )
    >>> print(f"{found.speed_m_s:.4g}")
    19.04
    """
    given = (gap_mm, band_share, bore_mm, stroke_mm, rod_mm, head_cm3, rpm)
    squish_speed_m_s(1.0, *given)  # refuses text and the like before anything is reshaped
    fields = broadcast(*(np.asarray(value, dtype=np.float64) for value in given))
    speeds = squish_speed_m_s(LOOKED_AT_DEG, *(field[..., np.newaxis] for field in fields))
    return SquishFlow(speeds.max(axis=-1), LOOKED_AT_DEG[speeds.argmax(axis=-1)], *fields)


def _bowl_cm3(gap: Array, bore: Array, head_cm3: Array) -> Array:
    """What the head holds beyond the squish clearance over the whole bore."""
    advice = "the squish clearance over the whole bore holds more than the head"
    return checked("bowl volume", head_cm3 - gap * swept_cm3(bore, 1.0), 1e-6, np.inf, "cm3", advice)
