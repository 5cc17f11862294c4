"""What does the geometry of a cylinder say: swept volume, squish, piston speed, ring gap?

References
----------
Ring gaps as shares of the bore: common practice, no source; the maker's figure comes first.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tickover.science.core.arrays import Array, broadcast, given_only, quantity_at
from tickover.science.core.input_checks import checked
from tickover.science.core.plausible import ENGINE_RPM, GAP_MM, SQUISH_MM
from tickover.science.core.working import Working

__all__ = [
    "RING_GAP_NEW",
    "RING_GAP_SERVICE",
    "RingGap",
    "Squish",
    "mean_piston_speed_m_s",
    "ring_gap",
    "squish_mm",
    "swept_cm3",
]

BORE_MM = (1.0, 500.0)
RPM = (0.0, 30_000.0)
RING_GAP_NEW = (0.003, 0.006)
"""Least and most gap of a new ring over the bore. Common practice, no source. [mm/mm]"""
RING_GAP_SERVICE = 0.011
"""Most gap in service over the bore. Common practice, no source. [mm/mm]"""


@dataclass(frozen=True, eq=False)
class Squish:
    """Clearance between crown and head from solder crushed at both ends of the pin; all of one shape.

    `apart_mm`: distance between the two places, NaN where it was not given.
    `u_reading_mm`: of one reading.
    """

    one_side_mm: Array
    other_side_mm: Array
    apart_mm: Array
    u_reading_mm: Array

    @property
    def mean_mm(self) -> Array:
        """Clearance in the middle. [mm]"""
        return (self.one_side_mm + self.other_side_mm) / 2.0

    @property
    def mean_uncertainty_mm(self) -> Array:
        """Standard uncertainty of the mean. [mm]"""
        return self.u_reading_mm / math.sqrt(2.0)

    @property
    def difference_mm(self) -> Array:
        """How much wider the other side is. [mm]"""
        return self.other_side_mm - self.one_side_mm

    @property
    def least_mm(self) -> Array:
        """The closer side, where the piston would touch first. [mm]"""
        return np.minimum(self.one_side_mm, self.other_side_mm)

    @property
    def tilt_deg(self) -> Array:
        """How far head or cylinder leans over the piston; NaN without the distance apart. [deg]"""
        tilt: Array = np.degrees(np.arctan2(self.difference_mm, self.apart_mm))
        return tilt

    def working(self, at: int = 0) -> Working:
        """How mean and tilt came about."""
        return Working(
            title="squish from both sides",
            formula="mean = (a + b)/2; tilt = arctan((b − a)/distance); u(mean) = u/√2",
            inputs=given_only(
                quantity_at("one side a", self.one_side_mm, at, "mm"),
                quantity_at("other side b", self.other_side_mm, at, "mm"),
                quantity_at("distance between them", self.apart_mm, at, "mm"),
                quantity_at("standard uncertainty of a reading u", self.u_reading_mm, at, "mm"),
                quantity_at("difference b − a", self.difference_mm, at, "mm"),
                quantity_at("closer side", self.least_mm, at, "mm"),
                quantity_at("tilt", self.tilt_deg, at, "deg"),
                quantity_at("standard uncertainty of the mean", self.mean_uncertainty_mm, at, "mm"),
            ),
            result=quantity_at("mean squish", self.mean_mm, at, "mm"),
            validity="solder in line with the pin, where the piston cannot rock; turned over slowly by hand",
            source="geometry",
            authority="common practice, no source",
        )


@dataclass(frozen=True, eq=False)
class RingGap:
    """End gap of a ring held against its bore; all of one shape."""

    gap_mm: Array
    bore_mm: Array

    @property
    def per_bore(self) -> Array:
        """Gap over bore. [mm/mm]"""
        return self.gap_mm / self.bore_mm

    @property
    def new_mm(self) -> tuple[Array, Array]:
        """Least and most gap of a new ring in this bore. [mm]"""
        return RING_GAP_NEW[0] * self.bore_mm, RING_GAP_NEW[1] * self.bore_mm

    @property
    def service_mm(self) -> Array:
        """Most gap in service in this bore. [mm]"""
        return RING_GAP_SERVICE * self.bore_mm

    def working(self, at: int = 0) -> Working:
        """How the gap compares."""
        least, most = self.new_mm
        return Working(
            title="ring gap for the bore",
            formula="gap/bore; new 0.003 to 0.006, in service up to 0.011",
            inputs=given_only(
                quantity_at("gap", self.gap_mm, at, "mm"),
                quantity_at("bore", self.bore_mm, at, "mm"),
                quantity_at("new, at least", least, at, "mm"),
                quantity_at("new, at most", most, at, "mm"),
                quantity_at("in service, at most", self.service_mm, at, "mm"),
            ),
            result=quantity_at("gap over bore", self.per_bore, at, "mm/mm"),
            validity="ring pushed square, in the part of the bore that is not worn",
            source="",
            authority="common practice, no source; the maker's figure comes first",
        )


def swept_cm3(bore_mm: ArrayLike, stroke_mm: ArrayLike) -> Array:
    """Swept volume of a cylinder. [cm3]

    Parameters
    ----------
    bore_mm : array_like
        Bore, 1 to 500. [mm]
    stroke_mm : array_like
        Stroke, 1 to 500. [mm]

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
    >>> print(f"{swept_cm3(bore_mm=60.0, stroke_mm=54.0):.4g}")
    152.7
    """
    return np.pi / 4000.0 * _bore(bore_mm) ** 2 * _stroke(stroke_mm)


def mean_piston_speed_m_s(stroke_mm: ArrayLike, rpm: ArrayLike) -> Array:
    """Mean speed of the piston, two strokes in a turn. [m/s]

    Parameters
    ----------
    stroke_mm : array_like
        Stroke, 1 to 500. [mm]
    rpm : array_like
        Engine speed, 0, or 150 to 30,000. [rpm]

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
    >>> print(f"{mean_piston_speed_m_s(stroke_mm=54.0, rpm=7000.0):.4g}")
    12.6
    """
    return 2e-3 * _stroke(stroke_mm) * ENGINE_RPM.checked(rpm) / 60.0


def squish_mm(
    one_side_mm: ArrayLike,
    other_side_mm: ArrayLike,
    apart_mm: ArrayLike | None = None,
    *,
    u_reading_mm: ArrayLike,
) -> Squish:
    """Squish from solder crushed on both sides.

    Parameters
    ----------
    one_side_mm, other_side_mm : array_like
        Thickness of the crushed solder, 0.05 to 20. [mm]
    apart_mm : array_like or None
        Distance between the two places, for the tilt. [mm]
    u_reading_mm : array_like
        Of one reading. [mm]

    Returns
    -------
    Squish

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> found = squish_mm(one_side_mm=1.1, other_side_mm=1.2, apart_mm=50.0, u_reading_mm=0.02)
    >>> print(f"{found.mean_mm:.4g}")
    1.15
    """
    apart = (
        np.array(np.nan) if apart_mm is None else checked("distance apart", apart_mm, 1.0, BORE_MM[1], "mm")
    )
    u = checked("standard uncertainty of a reading", u_reading_mm, 0.0, 10.0, "mm")
    sides = (
        SQUISH_MM.checked(value, f"squish on {which} side")
        for which, value in (("one", one_side_mm), ("the other", other_side_mm))
    )
    return Squish(*broadcast(*sides, apart, u))


def ring_gap(gap_mm: ArrayLike, bore_mm: ArrayLike) -> RingGap:
    """End gap of a ring against its bore. [mm]

    Parameters
    ----------
    gap_mm : array_like
        Ring gap, 0, or 0.01 to 20. [mm]
    bore_mm : array_like
        Bore, 1 to 500. [mm]

    Returns
    -------
    RingGap

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> print(f"{ring_gap(gap_mm=0.25, bore_mm=60.0).per_bore:.4g}")
    0.004167
    """
    return RingGap(*broadcast(GAP_MM.checked(gap_mm), _bore(bore_mm)))


def _bore(bore_mm: ArrayLike) -> Array:
    return checked("bore", bore_mm, *BORE_MM, "mm", "millimetres are wanted")


def _stroke(stroke_mm: ArrayLike) -> Array:
    return checked("stroke", stroke_mm, *BORE_MM, "mm", "millimetres are wanted")
