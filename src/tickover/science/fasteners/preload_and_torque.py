"""How hard does a screw clamp at a torque, which torque gives a preload, and what is the wrench set to?

References
----------
Short form T = K d F: any text on machine design. Long form by pitch and friction: VDI 2230-1, equation for the
tightening torque, after Kellermann, Klein and Motosh (from memory).
Setting with an adapter: lever arms, as in NAVEDTRA 14315 and US Army TM 9-254.
Torque units: NIST SP 811, appendix B.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from tickover.science.core.arrays import Array, broadcast
from tickover.science.core.input_checks import checked, checked_choice
from tickover.science.core.plausible import PRELOAD_N, TORQUE_NM
from tickover.science.fasteners.threads import pitch_diameter_mm, thread_mm

__all__ = [
    "NEWTON_METRES",
    "from_nm",
    "offset_adapter_setting_nm",
    "preload_by_factor_n",
    "preload_n",
    "to_nm",
    "torque_by_factor_nm",
    "torque_nm",
]

NEWTON_METRES = {
    "N.m": 1.0,
    "N.cm": 0.01,
    "kgf.m": 9.80665,
    "kgf.cm": 0.0980665,
    "lbf.ft": 0.3048 * 0.45359237 * 9.80665,
    "lbf.in": 0.0254 * 0.45359237 * 9.80665,
    "ozf.in": 0.0254 * 0.45359237 / 16.0 * 9.80665,
}
"""One of each unit, exact by definition. [N.m]"""
FRICTION = (0.01, 1.0)
BEARING_MM = (1.0, 200.0)
SECANT_OF_FLANK = 1.0 / math.cos(math.radians(30.0))


def torque_by_factor_nm(preload_n: ArrayLike, diameter_mm: ArrayLike, factor: ArrayLike = 0.2) -> Array:
    """Torque for a preload by the short form T = K d F. [N.m]

    `factor`: K, about 0.2 dry and 0.15 oiled (common practice), 0.05 to 0.5.

    Parameters
    ----------
    preload_n : array_like
        Preload, 0, or 50 to 2,000,000. [N]
    diameter_mm : array_like
        Diameter of the thread, 1 to 100. [mm]
    factor : array_like
        Torque factor K, 0.05 to 0.5. [-]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [N.m]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> print(f"{torque_by_factor_nm(preload_n=9000.0, diameter_mm=6.0, factor=0.2):.4g}")
    10.8
    """
    load = PRELOAD_N.checked(preload_n)
    return _factor(factor) * _diameter(diameter_mm) / 1000.0 * load


def preload_by_factor_n(torque_nm: ArrayLike, diameter_mm: ArrayLike, factor: ArrayLike = 0.2) -> Array:
    """Preload at a torque by the short form; inverse of `torque_by_factor_nm`. [N]

    Parameters
    ----------
    torque_nm : array_like
        Torque, 0, or 0.05 to 2000. [N.m]
    diameter_mm : array_like
        Diameter of the thread, 1 to 100. [mm]
    factor : array_like
        Torque factor K, 0.05 to 0.5. [-]

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
    >>> print(f"{preload_by_factor_n(torque_nm=9.0, diameter_mm=6.0, factor=0.2):.4g}")
    7500
    """
    return _torque(torque_nm) / (_factor(factor) * _diameter(diameter_mm) / 1000.0)


def torque_nm(
    preload_n: ArrayLike,
    diameter_mm: ArrayLike,
    pitch_mm: ArrayLike,
    bearing_mm: ArrayLike,
    thread_friction: ArrayLike,
    head_friction: ArrayLike,
) -> Array:
    """Torque for a preload by pitch and friction.

    Parameters
    ----------
    preload_n : array_like
        0, or 50 N to 2 MN. [N]
    diameter_mm, pitch_mm : array_like
        Of a 60 degree thread. [mm]
    bearing_mm : array_like
        Mean diameter of the face that turns: half of its outer diameter and the hole's. [mm]
    thread_friction, head_friction : array_like
        0.01 to 1. [-]

    Returns
    -------
    numpy.ndarray
        Common shape of the inputs. [N.m]

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> found = torque_nm(
    ...     preload_n=9000.0, diameter_mm=6.0, pitch_mm=1.0, bearing_mm=8.0, thread_friction=0.12,
    ...     head_friction=0.12
    ... )
    >>> print(f"{found:.4g}")
    9.089
    """
    load = PRELOAD_N.checked(preload_n)
    return load * _arm_mm(diameter_mm, pitch_mm, bearing_mm, thread_friction, head_friction) / 1000.0


def preload_n(
    torque_nm: ArrayLike,
    diameter_mm: ArrayLike,
    pitch_mm: ArrayLike,
    bearing_mm: ArrayLike,
    thread_friction: ArrayLike,
    head_friction: ArrayLike,
) -> Array:
    """Preload at a torque by pitch and friction; inverse of `torque_nm`. [N]

    Parameters
    ----------
    torque_nm : array_like
        Torque, 0, or 0.05 to 2000. [N.m]
    diameter_mm : array_like
        Diameter of the thread, 1 to 100. [mm]
    pitch_mm : array_like
        Pitch of the thread, 0.1 to 8. [mm]
    bearing_mm : array_like
        Mean diameter under the head, 1 to 200. [mm]
    thread_friction : array_like
        Friction in the thread, 0.01 to 1. [-]
    head_friction : array_like
        Friction under the head, 0.01 to 1. [-]

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
    >>> found = preload_n(
    ...     torque_nm=9.0, diameter_mm=6.0, pitch_mm=1.0, bearing_mm=8.0, thread_friction=0.12,
    ...     head_friction=0.12
    ... )
    >>> print(f"{found:.4g}")
    8912
    """
    arm_mm = _arm_mm(diameter_mm, pitch_mm, bearing_mm, thread_friction, head_friction)
    return 1000.0 * _torque(torque_nm) / arm_mm


def offset_adapter_setting_nm(
    target_nm: ArrayLike, wrench_length_m: ArrayLike, offset_m: ArrayLike, angle_deg: ArrayLike = 0.0
) -> Array:
    """What the wrench is set to so that the nut gets the target through an adapter.

    Parameters
    ----------
    target_nm : array_like
        Torque at the nut. [N.m]
    wrench_length_m : array_like
        From the middle of the hand to the square, 0.02 to 3. [m]
    offset_m : array_like
        From the square to the nut, 0 to 1. [m]
    angle_deg : array_like
        Of the adapter to the wrench: 0 straight out, 90 across (no change), 180 folded back. [deg]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [N.m]

    Raises
    ------
    OutOfRangeError
        Also for an adapter folded back as far as the hand.

    Examples
    --------
    >>> found = offset_adapter_setting_nm(
    ...     target_nm=40.0, wrench_length_m=0.25, offset_m=0.05, angle_deg=0.0
    ... )
    >>> print(f"{found:.4g}")
    33.33
    """
    length = checked("length of the wrench", wrench_length_m, 0.02, 3.0, "m")
    offset = checked("offset of the adapter", offset_m, 0.0, 1.0, "m")
    along = offset * np.cos(np.radians(checked("angle of the adapter", angle_deg, -180.0, 180.0, "deg")))
    length, along = broadcast(length, along)
    advice = "the nut lies under the hand: turn the adapter or take a longer wrench"
    checked("lever from hand to nut over the wrench", 1.0 + along / length, 0.1, np.inf, hint=advice)
    return _torque(target_nm) * length / (length + along)


def to_nm(torque: ArrayLike, unit: str) -> Array:
    """A torque in newton metres from one of `NEWTON_METRES`. [N.m]

    Parameters
    ----------
    torque : array_like
        Torque, 0 or more. [lbf.in]
    unit : str
        Unit of torque: one of N.m, N.cm, kgf.m, kgf.cm, lbf.ft, lbf.in, ozf.in.

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [N.m]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> found = to_nm(torque=100.0, unit='lbf.in')
    >>> print(f"{found:.4g}")
    11.3
    """
    return checked("torque", torque, 0.0, np.inf, unit) * NEWTON_METRES[_unit(unit)]


def from_nm(torque_nm: ArrayLike, unit: str) -> Array:
    """A torque in one of the units of `NEWTON_METRES`.

    Parameters
    ----------
    torque_nm : array_like
        Torque, 0 or more. [N.m]
    unit : str
        Unit of torque: one of N.m, N.cm, kgf.m, kgf.cm, lbf.ft, lbf.in, ozf.in.

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [N.m]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> found = from_nm(torque_nm=10.0, unit='lbf.in')
    >>> print(f"{found:.4g}")
    88.51
    """
    return checked("torque", torque_nm, 0.0, np.inf, "N.m") / NEWTON_METRES[_unit(unit)]


def _unit(unit: str) -> str:
    return checked_choice("unit of torque", unit, tuple(NEWTON_METRES))


def _torque(torque: ArrayLike) -> Array:
    return TORQUE_NM.checked(torque)


def _diameter(diameter_mm: ArrayLike) -> Array:
    return checked("diameter of the thread", diameter_mm, 1.0, 100.0, "mm", "millimetres are wanted")


def _factor(factor: ArrayLike) -> Array:
    return checked("torque factor K", factor, 0.05, 0.5)


def _arm_mm(
    diameter_mm: ArrayLike, pitch_mm: ArrayLike, bearing_mm: ArrayLike, thread: ArrayLike, head: ArrayLike
) -> Array:
    """Torque for each newton of preload. [mm]"""
    pitch = thread_mm(diameter_mm, pitch_mm).pitch_mm
    bearing = checked("mean diameter under the head", bearing_mm, *BEARING_MM, "mm", "millimetres are wanted")
    in_thread = checked("friction in the thread", thread, *FRICTION) * pitch_diameter_mm(
        diameter_mm, pitch_mm
    )
    under_head = checked("friction under the head", head, *FRICTION) * bearing
    return pitch / (2.0 * math.pi) + SECANT_OF_FLANK * in_thread / 2.0 + under_head / 2.0
