"""Where is the piston at a crank angle, and where the crank at a height of the piston?

Angles count from top centre, 0 at the top; the crank is symmetric, so degrees before and after top centre are at
the same height. Exact slider-crank with the pin on the cylinder's axis.

References
----------
Slider-crank: any text on machines, such as Taylor, The Internal-Combustion Engine in Theory and Practice.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tickover.science.core.arrays import Array, broadcast, quantity_at
from tickover.science.core.input_checks import checked
from tickover.science.core.plausible import ENGINE_RPM, PISTON_WAY_MM
from tickover.science.core.working import Working

__all__ = [
    "PistonPlace",
    "crank_deg",
    "piston_acceleration_m_s2",
    "piston_at",
    "piston_moved",
    "piston_speed_m_s",
    "travel_mm",
]

STROKE_MM = (1.0, 2_000.0)
ROD_MM = (1.0, 10_000.0)
LEAST_ROD_OVER_STROKE = 0.6
TURN_DEG = 360.0
RPM = (0.0, 30_000.0)
FORMULA = "x = r(1 − cos θ) + l − √(l² − r² sin² θ), r = stroke/2"
VALIDITY = "pin on the axis of the cylinder; rod at least 0.6 strokes long; no play in the bearings"
SOURCE = "geometry of the slider-crank"


@dataclass(frozen=True, eq=False)
class PistonPlace:
    """Crank angle from top centre and the way the piston has gone from there; all of one shape."""

    crank_deg: Array
    travel_mm: Array
    stroke_mm: Array
    rod_mm: Array

    def working(self, at: int = 0) -> Working:
        """How one height belongs to its angle."""
        return Working(
            title="piston and crank",
            formula=FORMULA,
            inputs=(
                quantity_at("crank from top centre θ", self.crank_deg, at, "deg"),
                quantity_at("stroke", self.stroke_mm, at, "mm"),
                quantity_at("rod, centre to centre l", self.rod_mm, at, "mm"),
            ),
            result=quantity_at("piston from top centre x", self.travel_mm, at, "mm"),
            validity=VALIDITY,
            source=SOURCE,
            authority="standard",
        )


def travel_mm(crank_deg: ArrayLike, stroke_mm: ArrayLike, rod_mm: ArrayLike) -> Array:
    """Way of the piston from top centre.

    Parameters
    ----------
    crank_deg : array_like
        Crank angle before or after top centre, up to a turn. [deg]
    stroke_mm : array_like
        Stroke, 1 to 2000. [mm]
    rod_mm : array_like
        Length of the rod, centre to centre, at least 0.6 strokes. [mm]

    Returns
    -------
    numpy.ndarray
        0 at top centre, the stroke at bottom centre; the common shape of the inputs. [mm]

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> print(f"{travel_mm(crank_deg=18.0, stroke_mm=54.0, rod_mm=110.0):.4g}")
    1.638
    """
    theta = np.radians(checked("crank angle", crank_deg, -TURN_DEG, TURN_DEG, "deg"))
    r, rod, theta = _crank(stroke_mm, rod_mm, theta)
    across = (r * np.sin(theta)) ** 2
    # Both halves written without a difference of near equals: exact to the last digits near top centre.
    way: Array = 2.0 * r * np.sin(theta / 2.0) ** 2 + across / (rod + np.sqrt(rod**2 - across))
    return way


def crank_deg(travel_mm: ArrayLike, stroke_mm: ArrayLike, rod_mm: ArrayLike) -> Array:
    """Crank angle from top centre at which the piston has gone so far; inverse of `travel_mm`.

    Parameters
    ----------
    travel_mm : array_like
        Way from top centre, 0, or 0.01 to the stroke. [mm]
    stroke_mm, rod_mm : array_like
        As for `travel_mm`. [mm]

    Returns
    -------
    numpy.ndarray
        0 to 180. [deg]

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> print(f"{crank_deg(travel_mm=1.6, stroke_mm=54.0, rod_mm=110.0):.4g}")
    17.79
    """
    return angle_at(PISTON_WAY_MM.checked(travel_mm), stroke_mm, rod_mm)


def angle_at(travel_mm: Array, stroke_mm: ArrayLike, rod_mm: ArrayLike) -> Array:
    """As `crank_deg`, for a way that was computed and may be as small as it likes. [deg]"""
    x = checked("way of the piston from top centre", travel_mm, 0.0, STROKE_MM[1], "mm")
    r, rod, x = _crank(stroke_mm, rod_mm, x)
    checked(
        "way of the piston as a share of the stroke", x / (2.0 * r), 0.0, 1.0, hint="it is the stroke at most"
    )
    above = np.sqrt(x * (2.0 * rod - x))
    below = np.sqrt(np.maximum(0.0, 2.0 * r - x) * (2.0 * (r + rod) - x))
    angle: Array = np.degrees(2.0 * np.arctan2(above, below))
    return angle


def piston_at(crank_deg: ArrayLike, stroke_mm: ArrayLike, rod_mm: ArrayLike) -> PistonPlace:
    """Height of the piston at an angle, such as the ignition point, with its working; see `travel_mm`.

    Parameters
    ----------
    crank_deg : array_like
        Crank angle, -360 to 360. [deg]
    stroke_mm : array_like
        Stroke, 1 to 2000. [mm]
    rod_mm : array_like
        Length of the rod, 1 to 10,000. [mm]

    Returns
    -------
    PistonPlace

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> print(f"{piston_at(crank_deg=18.0, stroke_mm=54.0, rod_mm=110.0).travel_mm:.4g}")
    1.638
    """
    x = travel_mm(crank_deg, stroke_mm, rod_mm)
    given = (np.asarray(each, dtype=np.float64) for each in (crank_deg, stroke_mm, rod_mm))
    angle, stroke, rod, x = broadcast(*given, x)
    return PistonPlace(angle, x, stroke, rod)


def piston_moved(travel_mm: ArrayLike, stroke_mm: ArrayLike, rod_mm: ArrayLike) -> PistonPlace:
    """Angle of the crank at a height of the piston, with its working; see `crank_deg`.

    Parameters
    ----------
    travel_mm : array_like
        Way of the piston from top centre, 0, or 0.01 to 2000. [mm]
    stroke_mm : array_like
        Stroke, 1 to 2000. [mm]
    rod_mm : array_like
        Length of the rod, 1 to 10,000. [mm]

    Returns
    -------
    PistonPlace

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> print(f"{piston_moved(travel_mm=1.6, stroke_mm=54.0, rod_mm=110.0).crank_deg:.4g}")
    17.79
    """
    angle = crank_deg(travel_mm, stroke_mm, rod_mm)
    given = (np.asarray(each, dtype=np.float64) for each in (travel_mm, stroke_mm, rod_mm))
    x, stroke, rod, angle = broadcast(*given, angle)
    return PistonPlace(angle, x, stroke, rod)


def piston_speed_m_s(crank_deg: ArrayLike, stroke_mm: ArrayLike, rod_mm: ArrayLike, rpm: ArrayLike) -> Array:
    """Speed of the piston away from top centre; below 0 while it rises. [m/s]

    Parameters
    ----------
    crank_deg : array_like
        Crank angle, -360 to 360. [deg]
    stroke_mm : array_like
        Stroke, 1 to 2000. [mm]
    rod_mm : array_like
        Length of the rod, 1 to 10,000. [mm]
    rpm : array_like
        Engine speed, 0, or 150 to 30,000. [rpm]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [m/s]

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> print(f"{piston_speed_m_s(crank_deg=18.0, stroke_mm=54.0, rod_mm=110.0, rpm=7000.0):.4g}")
    7.548
    """
    theta = np.radians(checked("crank angle", crank_deg, -TURN_DEG, TURN_DEG, "deg"))
    turns = ENGINE_RPM.checked(rpm) / 60.0
    r, rod, theta = _crank(stroke_mm, rod_mm, theta)
    sine = np.sin(theta)
    lean = r * np.cos(theta) / np.sqrt(rod**2 - (r * sine) ** 2)
    return 2e-3 * np.pi * turns * r * sine * (1.0 + lean)


def piston_acceleration_m_s2(
    crank_deg: ArrayLike, stroke_mm: ArrayLike, rod_mm: ArrayLike, rpm: ArrayLike
) -> Array:
    """Acceleration of the piston away from top centre at a steady speed of the crank; greatest there. [m/s2]

    Parameters
    ----------
    crank_deg : array_like
        Crank angle, -360 to 360. [deg]
    stroke_mm : array_like
        Stroke, 1 to 2000. [mm]
    rod_mm : array_like
        Length of the rod, 1 to 10,000. [mm]
    rpm : array_like
        Engine speed, 0, or 150 to 30,000. [rpm]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [m/s2]

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> found = piston_acceleration_m_s2(crank_deg=18.0, stroke_mm=54.0, rod_mm=110.0, rpm=7000.0)
    >>> print(f"{found:.0f}")
    16706
    """
    theta = np.radians(checked("crank angle", crank_deg, -TURN_DEG, TURN_DEG, "deg"))
    omega = 2.0 * np.pi * ENGINE_RPM.checked(rpm) / 60.0
    r, rod, theta = _crank(stroke_mm, rod_mm, theta)
    long2 = rod**2 - (r * np.sin(theta)) ** 2
    lean = r * (rod**2 * np.cos(2.0 * theta) + r**2 * np.sin(theta) ** 4) / long2**1.5
    acceleration: Array = 1e-3 * omega**2 * r * (np.cos(theta) + lean)
    return acceleration


def _crank(stroke_mm: ArrayLike, rod_mm: ArrayLike, other: Array) -> tuple[Array, ...]:
    """Throw, rod and one more input in their common shape."""
    stroke = checked("stroke", stroke_mm, *STROKE_MM, "mm", "millimetres are wanted")
    rod = checked("length of the rod", rod_mm, *ROD_MM, "mm", "millimetres are wanted, centre to centre")
    throw, rod, other = broadcast(stroke / 2.0, rod, other)
    advice = "the crank cannot turn a shorter rod: were stroke and rod exchanged?"
    checked("rod as a share of the stroke", rod / (2.0 * throw), LEAST_ROD_OVER_STROKE, np.inf, hint=advice)
    return throw, rod, other
