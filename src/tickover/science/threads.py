"""How much does a metric screw carry, by its thread and its property class?

References
----------
ISO 724 (basic dimensions of metric threads), ISO 898-1:2013, table 5 and clause 9 (stress area, stress under proof
load); both from memory.
"""

from __future__ import annotations

import math

from numpy.typing import ArrayLike

from tickover.science.figures import Array, together
from tickover.science.valid import checked, checked_choice

__all__ = [
    "COARSE_PITCH_MM",
    "PROOF_STRESS_MPA",
    "pitch_diameter_mm",
    "proof_load_n",
    "stress_area_mm2",
    "thread_mm",
]

PROOF_STRESS_MPA = {"4.8": 310.0, "5.8": 380.0, "8.8": 580.0, "10.9": 830.0, "12.9": 970.0}
"""Stress under proof load; 8.8 up to M16. ISO 898-1:2013, table 3 (from memory). [MPa]"""
COARSE_PITCH_MM = {
    3.0: 0.5,
    4.0: 0.7,
    5.0: 0.8,
    6.0: 1.0,
    7.0: 1.0,
    8.0: 1.25,
    10.0: 1.5,
    12.0: 1.75,
    14.0: 2.0,
}
"""Pitch of the coarse thread of a nominal diameter, ISO 261 (from memory). [mm]"""
DIAMETER_MM = (1.0, 100.0)
PITCH_MM = (0.1, 8.0)
MOST_PITCH_OVER_DIAMETER = 0.3
PITCH_DIAMETER = 0.75 * math.sqrt(0.75)


def thread_mm(diameter_mm: ArrayLike, pitch_mm: ArrayLike) -> tuple[Array, Array]:
    """Diameter and pitch in their common shape, refused where there can be no such thread. [mm]

    Raises
    ------
    OutOfRange
        Also for a pitch that is more than 0.3 diameters.
    """
    d, p = together(
        checked("diameter of the thread", diameter_mm, *DIAMETER_MM, "mm", "millimetres are wanted"),
        checked(
            "pitch of the thread", pitch_mm, *PITCH_MM, "mm", "millimetres from thread to thread are wanted"
        ),
    )
    advice = "too coarse for this diameter: were the two exchanged?"
    checked("pitch over diameter", p / d, 0.0, MOST_PITCH_OVER_DIAMETER, hint=advice)
    return d, p


def pitch_diameter_mm(diameter_mm: ArrayLike, pitch_mm: ArrayLike) -> Array:
    """Diameter at which thread and groove are equally wide. [mm]"""
    d, p = thread_mm(diameter_mm, pitch_mm)
    return d - PITCH_DIAMETER * p


def stress_area_mm2(diameter_mm: ArrayLike, pitch_mm: ArrayLike) -> Array:
    """Area that carries the load, by the mean of pitch diameter and minor diameter. [mm2]"""
    d, p = thread_mm(diameter_mm, pitch_mm)
    return math.pi / 4.0 * (d - 0.9382 * p) ** 2


def proof_load_n(diameter_mm: ArrayLike, pitch_mm: ArrayLike, property_class: str) -> Array:
    """Load that a screw must bear without lasting stretch. [N]

    Parameters
    ----------
    diameter_mm, pitch_mm : array_like
        [mm]
    property_class : str
        Of the screw, "4.8", "5.8", "8.8", "10.9" or "12.9".

    Raises
    ------
    OutOfRange
    """
    known = checked_choice("property class", property_class, tuple(PROOF_STRESS_MPA))
    return PROOF_STRESS_MPA[known] * stress_area_mm2(diameter_mm, pitch_mm)
