"""Readings against limits, torques, the preload of a screw, leaks and thermocouples, in the units of the bench."""

from __future__ import annotations

import re

from tickover.science.core.input_checks import OutOfRangeError, checked_one
from tickover.science.engine import pressure_decay as decay
from tickover.science.engine.pressure_decay import PressureDecay
from tickover.science.fasteners.preload_and_torque import offset_adapter_setting_nm
from tickover.science.fasteners.preload_scatter import Clamping, clamping
from tickover.science.fasteners.set_torque import SetTorque, permissible_deviation
from tickover.science.fasteners.threads import coarse_pitch_mm
from tickover.science.measurement.conformity import Rule, Verdict, decide

__all__ = ["bolt_preload", "judge_reading", "judge_set_torque", "pressure_decay", "wrench_setting"]

THREAD = re.compile(r"M(\d{1,2}(?:\.\d)?)(?:\s?[x×]\s?(\d(?:\.\d{1,2})?))?", re.ASCII)
MM, CM3, HPA, ZERO_C_K = 1e-3, 1e-6, 100.0, 273.15


def judge_reading(
    value: float,
    *,
    lower: float | None = None,
    upper: float | None = None,
    expanded_uncertainty: float,
    resolution: float,
    coverage_factor: float = 2.0,
    as_read: bool = False,
    confidence: float = 0.95,
) -> Verdict:
    """Is a reading inside its limits, outside, or too close for this gauge?

    Parameters
    ----------
    value, lower, upper : float
        Reading and limits in one unit; one limit may be left out. The limits themselves are inside.
    expanded_uncertainty : float
        Of the gauge, a half width, in the same unit; 0 when none is stated.
    resolution : float
        Smallest step that can be read, in the same unit; 0 for none.
    coverage_factor : float
        How many standard uncertainties `expanded_uncertainty` is. [-]
    as_read : bool
        Take the reading without allowing for gauge error.
    confidence : float
        How sure "inside" and "outside" have to be, above 0.5, below 1. [-]

    Returns
    -------
    Verdict
        `decision` is "inside", "outside" or "cannot tell"; `probability_inside`, `sure_between`, `working()`.

    Raises
    ------
    OutOfRangeError
        No number, limits missing or crossed, an impossible gauge or confidence.

    References
    ----------
    JCGM 106:2012, 7 and 8.

    Examples
    --------
    >>> lever = judge_reading(1.58, lower=1.2, upper=1.6, expanded_uncertainty=0.05, resolution=0.01)
    >>> str(lever.decision), round(lever.probability_inside, 2)
    ('cannot tell', 0.79)
    """
    return decide(
        value,
        lower,
        upper,
        resolution=resolution,
        expanded_uncertainty=expanded_uncertainty,
        coverage_factor=coverage_factor,
        rule=Rule.SIMPLE if as_read else Rule.GUARDED,
        confidence=confidence,
    )


def judge_set_torque(
    setting_nm: float,
    *,
    lower_nm: float | None,
    upper_nm: float | None,
    tool_class: str,
    largest_nm: float,
    never_above_nm: float | None = None,
) -> SetTorque:
    """Does a torque that was set on a wrench conform, and what does the wrench give at the nut?

    Parameters
    ----------
    setting_nm, lower_nm, upper_nm : float
        What the wrench was set to, and the limits for it; a limit may be None. [N.m]
    tool_class : str
        Type and class of the wrench by ISO 6789, such as "II A" for a setting wrench with a scale.
    largest_nm : float
        The largest torque the wrench is made for, above 0. [N.m]
    never_above_nm : float, optional
        Torque that the joint must never get. [N.m]

    Returns
    -------
    SetTorque
        `conformity`, `given` (least and greatest at the nut [N.m]), `leaves_room`, `at_most`, `working()`.

    Raises
    ------
    OutOfRangeError
        For a class that is none, or a torque that cannot be.

    References
    ----------
    ISO 6789-1:2017, 5.1.5; classes other than II A from memory.

    Examples
    --------
    >>> set_to = judge_set_torque(
    ...     10.0, lower_nm=9.0, upper_nm=11.0, tool_class="II A", largest_nm=25.0, never_above_nm=10.0
    ... )
    >>> str(set_to.conformity), set_to.leaves_room, round(set_to.at_most, 2)
    ('conforms', False, 9.6)
    """
    limits = {"setting": setting_nm, "lower limit": lower_nm, "upper limit": upper_nm}
    for name, value in limits.items():
        if value is not None:
            checked_one(f"{name} of the torque", value, 0.0, 1e5, "N.m")
    deviation = permissible_deviation(tool_class, largest_nm)
    return SetTorque(setting_nm, lower_nm, upper_nm, never_above_nm, deviation)


def wrench_setting(
    target_nm: float, *, wrench_length_mm: float, extension_mm: float, angle_deg: float = 0.0
) -> float:
    """What to set a torque wrench to, so that the nut gets the target through an extension (crow foot). [N.m]

    Parameters
    ----------
    target_nm : float
        Torque at the nut, 0 to 10,000. [N.m]
    wrench_length_mm : float
        From the middle of the hand to the square, 20 to 3000. [mm]
    extension_mm : float
        From the square to the nut, 0 to 1000. [mm]
    angle_deg : float
        Of the extension to the wrench: 0 straight out, 90 across (no change), 180 folded back. [deg]

    Returns
    -------
    float
        [N.m]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, or folded back as far as the hand.

    References
    ----------
    Lever arms, as in NAVEDTRA 14315.

    Examples
    --------
    >>> round(wrench_setting(10.0, wrench_length_mm=250.0, extension_mm=50.0), 2)
    8.33
    """
    wrench = checked_one(
        "length of the wrench", wrench_length_mm, 20.0, 3000.0, "mm", "millimetres are wanted"
    )
    extension = checked_one("length of the extension", extension_mm, 0.0, 1000.0, "mm")
    return float(offset_adapter_setting_nm(target_nm, wrench * MM, extension * MM, angle_deg))


def bolt_preload(
    torque_nm: float,
    *,
    thread: str,
    bearing_mm: float,
    friction: tuple[float, float],
    tool_share: float,
    property_class: str | None = None,
) -> Clamping:
    """Preload of a screw at a torque: the least, middle and most that friction and wrench allow.

    Parameters
    ----------
    torque_nm : float
        Above 0, to 10,000. [N.m]
    thread : str
        "M6" for the coarse thread, "M8x1" with its pitch.
    bearing_mm : float
        Mean diameter of the face that turns: half of its outer diameter and the hole's. [mm]
    friction : tuple
        Least and most, in thread and under the head alike, 0.01 to 1; 0.10 to 0.16 is a judgement for clean steel,
        lightly oiled. [-]
    tool_share : float
        The wrench, plus and minus, as a share of the torque: 0.04 is 4 %. [-]
    property_class : str, optional
        Of the screw, such as "8.8", for its proof load.

    Returns
    -------
    Clamping
        `least_n`, `middle_n`, `most_n` [N]; `proof_share`: most over proof load [-]; `working()`.

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, or what is no thread.
    InsufficientDataError
        For a diameter whose coarse pitch is not known here.

    References
    ----------
    VDI 2230-1; ISO 898-1 (from memory).

    Examples
    --------
    >>> head = bolt_preload(
    ...     9.5, thread="M6", bearing_mm=8.2, friction=(0.10, 0.16), tool_share=0.04, property_class="8.8"
    ... )
    >>> round(float(head.least_n), -2), round(float(head.most_n), -2), round(float(head.proof_share), 2)
    (7000.0, 11300.0, 0.97)
    """
    size = THREAD.fullmatch(thread.strip()) if isinstance(thread, str) else None
    if size is None:
        raise OutOfRangeError(f'thread must be a metric thread such as "M6" or "M8x1"; got {thread!r}')
    diameter_mm = float(size[1])
    pitch_mm = float(size[2]) if size[2] else coarse_pitch_mm(diameter_mm)
    least, most = friction
    return clamping(
        torque_nm,
        diameter_mm,
        pitch_mm,
        bearing_mm,
        friction_least=least,
        friction_most=most,
        tool_share=tool_share,
        property_class=property_class,
    )


def pressure_decay(
    start_hpa: float,
    end_hpa: float,
    *,
    time_min: float,
    volume_cm3: float,
    start_c: float,
    end_c: float,
    outside_hpa: float,
    u_pressure_hpa: float,
    u_temperature_k: float,
    u_volume_cm3: float,
    u_time_min: float,
) -> PressureDecay:
    """How large a leak is, from the pressure that a closed engine loses; cooling is told apart.

    Parameters
    ----------
    start_hpa, end_hpa : float
        Gauge pressures, below 0 for a vacuum test; the first 10 or more from 0. 1 bar is 1000. [hPa]
    time_min : float
        Between the two readings, above 0. [min]
    volume_cm3 : float
        Closed volume, hose and gauge included, 1 to 20,000. [cm3]
    start_c, end_c : float
        Temperature of the air inside, -50 to 150. [degC]
    outside_hpa : float
        Pressure of the air outside (QFE), 450 to 1100. [hPa]
    u_pressure_hpa, u_temperature_k, u_volume_cm3, u_time_min : float
        Standard uncertainty of each pressure [hPa], each temperature [K], the volume [cm3] and the time [min].

    Returns
    -------
    PressureDecay
        `leak_l_min` as air at 15 degC and 1013.25 hPa [l/min], `u_leak_l_min`, `hole_m` [m], `drift_pa` [Pa];
        `working()`.

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, bar in place of hPa among them.

    References
    ----------
    Leak by pressure change: principle of ASTM E2930-13; JCGM 100:2008, 5.1.2.

    Examples
    --------
    >>> case = pressure_decay(
    ...     500.0, 470.0, time_min=1.0, volume_cm3=400.0, start_c=20.0, end_c=20.0, outside_hpa=1013.0,
    ...     u_pressure_hpa=2.0, u_temperature_k=0.3, u_volume_cm3=20.0, u_time_min=0.02,
    ... )
    >>> round(float(case.leak_l_min), 4), round(float(case.u_leak_l_min), 4)
    (0.0116, 0.0015)
    """
    return decay.leak_from_decay(
        HPA * start_hpa,
        HPA * end_hpa,
        time_min,
        CM3 * volume_cm3,
        start_c + ZERO_C_K,
        end_c + ZERO_C_K,
        outside_pa=HPA * outside_hpa,
        u_pressure_pa=HPA * u_pressure_hpa,
        u_temperature_k=u_temperature_k,
        u_volume_m3=CM3 * u_volume_cm3,
        u_time_min=u_time_min,
    )
