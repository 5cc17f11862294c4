"""How much does a metric screw carry, by its thread and its property class?

References
----------
ISO 724 (basic dimensions of metric threads), ISO 261 (coarse pitches), ISO 898-1:2013, tables 3 to 7 (stress area,
tensile strength, stress under proof load); all from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tickover.science.core.arrays import Array, broadcast
from tickover.science.core.input_checks import InsufficientDataError, checked, checked_choice, checked_one
from tickover.science.core.results import NamedFigures

__all__ = [
    "COARSE_PITCH_MM",
    "PROPERTY_CLASSES",
    "ThreadSize",
    "breaking_load_n",
    "coarse_pitch_mm",
    "pitch_diameter_mm",
    "proof_load_n",
    "stress_area_mm2",
    "thread_mm",
]

STRENGTHS_MPA = {
    "4.6": (400.0, 225.0),
    "4.8": (420.0, 310.0),
    "5.6": (500.0, 280.0),
    "5.8": (520.0, 380.0),
    "6.8": (600.0, 440.0),
    "8.8": (800.0, 580.0),
    "9.8": (900.0, 650.0),
    "10.9": (1040.0, 830.0),
    "12.9": (1220.0, 970.0),
}
"""Least tensile strength and stress under proof load; 8.8 up to M16. [MPa]"""
THICK_8_8_MPA = (830.0, 600.0)
THICK_MM = 16.0
"""Above this diameter a screw of class 8.8 is stronger."""
PROPERTY_CLASSES = tuple(STRENGTHS_MPA)
COARSE_PITCH_MM = {
    2.0: 0.4,
    2.5: 0.45,
    3.0: 0.5,
    4.0: 0.7,
    5.0: 0.8,
    6.0: 1.0,
    7.0: 1.0,
    8.0: 1.25,
    10.0: 1.5,
    12.0: 1.75,
    14.0: 2.0,
    16.0: 2.0,
    18.0: 2.5,
    20.0: 2.5,
    22.0: 2.5,
    24.0: 3.0,
}
"""Pitch of the coarse thread of a nominal diameter. [mm]"""
DIAMETER_MM = (1.0, 100.0)
PITCH_MM = (0.1, 8.0)
MOST_PITCH_OVER_DIAMETER = 0.3
PITCH_DIAMETER = 0.75 * math.sqrt(0.75)


@dataclass(frozen=True, eq=False)
class ThreadSize(NamedFigures):
    """Diameter and pitch of threads, in one shape. [mm]"""

    diameter_mm: Array
    pitch_mm: Array


def thread_mm(diameter_mm: ArrayLike, pitch_mm: ArrayLike) -> ThreadSize:
    """Diameter and pitch in their common shape, refused where there can be no such thread. [mm]

    Parameters
    ----------
    diameter_mm : array_like
        Diameter of the thread, 1 to 100. [mm]
    pitch_mm : array_like
        Pitch of the thread, 0.1 to 8. [mm]

    Returns
    -------
    ThreadSize

    Raises
    ------
    OutOfRangeError
        Also for a pitch that is more than 0.3 diameters.

    Examples
    --------
    >>> [float(size) for size in thread_mm(6.0, 1.0)]
    [6.0, 1.0]
    """
    d, p = broadcast(
        checked("diameter of the thread", diameter_mm, *DIAMETER_MM, "mm", "millimetres are wanted"),
        checked(
            "pitch of the thread", pitch_mm, *PITCH_MM, "mm", "millimetres from thread to thread are wanted"
        ),
    )
    advice = "too coarse for this diameter: were the two exchanged?"
    checked("pitch over diameter", p / d, 0.0, MOST_PITCH_OVER_DIAMETER, hint=advice)
    return ThreadSize(d, p)


def pitch_diameter_mm(diameter_mm: ArrayLike, pitch_mm: ArrayLike) -> Array:
    """Diameter at which thread and groove are equally wide. [mm]

    Parameters
    ----------
    diameter_mm : array_like
        Diameter of the thread, 1 to 100. [mm]
    pitch_mm : array_like
        Pitch of the thread, 0.1 to 8. [mm]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [mm]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> print(f"{pitch_diameter_mm(diameter_mm=6.0, pitch_mm=1.0):.4g}")
    5.35
    """
    size = thread_mm(diameter_mm, pitch_mm)
    d, p = size.diameter_mm, size.pitch_mm
    return d - PITCH_DIAMETER * p


def stress_area_mm2(diameter_mm: ArrayLike, pitch_mm: ArrayLike) -> Array:
    """Area that carries the load, by the mean of pitch diameter and minor diameter. [mm2]

    Parameters
    ----------
    diameter_mm : array_like
        Diameter of the thread, 1 to 100. [mm]
    pitch_mm : array_like
        Pitch of the thread, 0.1 to 8. [mm]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [mm2]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> print(f"{stress_area_mm2(diameter_mm=6.0, pitch_mm=1.0):.4g}")
    20.12
    """
    size = thread_mm(diameter_mm, pitch_mm)
    d, p = size.diameter_mm, size.pitch_mm
    return math.pi / 4.0 * (d - 0.9382 * p) ** 2


def coarse_pitch_mm(diameter_mm: float) -> float:
    """Pitch of the coarse thread of a nominal diameter, M2 to M24. [mm]

    Raises
    ------
    OutOfRangeError
        For what is no diameter.
    InsufficientDataError
        For a diameter without one here.
    """
    if checked_one("diameter of the thread", diameter_mm, *DIAMETER_MM, "mm") not in COARSE_PITCH_MM:
        sizes = ", ".join(f"M{size:g}" for size in COARSE_PITCH_MM)
        raise InsufficientDataError(
            f"pitch: no coarse thread of {diameter_mm:g} mm is known here, only {sizes}; measure it"
        )
    return COARSE_PITCH_MM[diameter_mm]


def proof_load_n(diameter_mm: ArrayLike, pitch_mm: ArrayLike, property_class: str) -> Array:
    """Load that a screw must bear without lasting stretch. [N]

    Parameters
    ----------
    diameter_mm, pitch_mm : array_like
        [mm]
    property_class : str
        Of the screw, one of `PROPERTY_CLASSES`.

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [N]

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> found = proof_load_n(diameter_mm=6.0, pitch_mm=1.0, property_class='8.8')
    >>> print(f"{found:.0f}")
    11658
    """
    return _load_n(diameter_mm, pitch_mm, property_class, 1)


def breaking_load_n(diameter_mm: ArrayLike, pitch_mm: ArrayLike, property_class: str) -> Array:
    """Least load at which a screw breaks in tension. [N] Parameters and errors as for `proof_load_n`.

    Parameters
    ----------
    diameter_mm : array_like
        Diameter of the thread, 1 to 100. [mm]
    pitch_mm : array_like
        Pitch of the thread, 0.1 to 8. [mm]
    property_class : str
        Property class: one of 4.6, 4.8, 5.6, 5.8, 6.8, 8.8, 9.8, 10.9, 12.9.

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [N]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> found = breaking_load_n(diameter_mm=6.0, pitch_mm=1.0, property_class='8.8')
    >>> print(f"{found:.0f}")
    16080
    """
    return _load_n(diameter_mm, pitch_mm, property_class, 0)


def _load_n(diameter_mm: ArrayLike, pitch_mm: ArrayLike, property_class: str, which: int) -> Array:
    """Stress times stress area to three figures, as the standard lists it; `which` of the two strengths."""
    grade = checked_choice("property class", property_class, PROPERTY_CLASSES)
    size = thread_mm(diameter_mm, pitch_mm)
    d, p = size.diameter_mm, size.pitch_mm
    thick = (d > THICK_MM) & (grade == "8.8")
    return np.where(thick, THICK_8_8_MPA[which], STRENGTHS_MPA[grade][which]) * _three_figures(
        stress_area_mm2(d, p)
    )


def _three_figures(area: Array) -> Array:
    step = 10.0 ** (np.floor(np.log10(area)) - 2.0)
    rounded: Array = np.round(area / step) * step
    return rounded
