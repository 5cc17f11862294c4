"""Density altitude and the mixture for a day's air, from what the field reports: °C, QNH in hPa, metres."""

from __future__ import annotations

from dataclasses import dataclass

from tickover.science.atmosphere import altitudes
from tickover.science.atmosphere.altitudes import DensityAltitude
from tickover.science.core.input_checks import checked_choice, checked_one
from tickover.science.fuel_system.fuels import FUELS, Premix
from tickover.science.fuel_system.mixture import mixture_change
from tickover.science.fuel_system.mixture_advice import NeedleAdvice, advise
from tickover.science.fuel_system.mixture_setting import AirOfTheDay, Setting
from tickover.science.fuel_system.needle import Needle

__all__ = ["Air", "density_altitude", "mixture_for_air"]

ZERO_C_K = 273.15
TEMPERATURE_C = (-40.0, 60.0)
QNH_HPA = (870.0, 1090.0)
KELVIN = "degrees Celsius are wanted: from kelvin take off 273.15"
PASCAL = "hectopascals (millibar) are wanted: pascals divided by 100, inches of mercury times 33.8639"
PERCENT = "a share from 0 to 1 is wanted: divide percent by 100"


@dataclass(frozen=True)
class Air:
    """Air at a field.

    Parameters
    ----------
    temperature_c : float
        In the shade, -40 to 60. [degC]
    qnh_hpa : float
        Altimeter setting (QNH), 870 to 1090. [hPa]
    elevation_m : float
        Elevation of the field, -500 to 6000. [m]
    humidity : float or None
        Relative, 0 to 1; None where it is not known. [-]
    """

    temperature_c: float
    qnh_hpa: float
    elevation_m: float
    humidity: float | None

    def __post_init__(self) -> None:
        checked_one("temperature", self.temperature_c, *TEMPERATURE_C, "deg C", KELVIN)
        checked_one("QNH", self.qnh_hpa, *QNH_HPA, "hPa", PASCAL)
        if self.humidity is not None:
            checked_one("humidity", self.humidity, 0.0, 1.0, "1", PERCENT)

    @property
    def temperature_k(self) -> float:
        """Temperature. [K]"""
        return self.temperature_c + ZERO_C_K

    @property
    def pressure_pa(self) -> float:
        """Pressure at the field (QFE). [Pa]"""
        return float(altitudes.qfe_pa(100.0 * self.qnh_hpa, self.elevation_m))


def density_altitude(
    temperature_c: float, *, qnh_hpa: float, elevation_m: float, humidity: float | None
) -> DensityAltitude:
    """Density altitude of a field, dry and with the moisture of the air.

    Parameters
    ----------
    temperature_c : float
        In the shade, -40 to 60. [degC]
    qnh_hpa : float
        Altimeter setting (QNH), 870 to 1090. [hPa]
    elevation_m : float
        Elevation of the field, -500 to 6000. [m]
    humidity : float or None
        Relative, 0 to 1. None where it is not known: saturated air is taken, the thinnest there can be. [-]

    Returns
    -------
    DensityAltitude
        `moist_m` is the density altitude, `dry_m` that of dry air, `pressure_altitude_m` [m]; `working()`.

    Raises
    ------
    OutOfRangeError
        Outside of those ranges.

    References
    ----------
    ISO 2533:1975; CIPM-2007 for the moisture.

    Examples
    --------
    >>> hot = density_altitude(30.0, qnh_hpa=1015.0, elevation_m=450.0, humidity=0.6)
    >>> round(hot.moist_m), round(hot.dry_m)
    (1159, 1056)
    """
    air = Air(temperature_c, qnh_hpa, elevation_m, humidity)
    return altitudes.density_altitude(air.temperature_k, air.pressure_pa, humidity)


def mixture_for_air(
    now: Air, *, set_in: Air, turns: float, needle: Needle, fuel: str, oil_ratio: float
) -> NeedleAdvice:
    """How the mixture has moved since a good setting, and what to do with the needle before the run-up.

    The maker's instructions and the run-up decide: a lean mixture seizes the engine.

    Parameters
    ----------
    now, set_in : Air
        The air of today and of the day it was set, both with their humidity; -20 to 45 degC.
    turns : float
        Turns out at which it was good, 0 to 10. [turns]
    needle : Needle
        `Needle(seat_mm, half_angle_deg, pitch_mm, fixed_jet_mm)`.
    fuel : str
        "e0", "e5", "e10" (petrol with so much ethanol) or "alkylate"; the same both days.
    oil_ratio : float
        Litres of petrol to one of oil, 10 to 200; the same both days. [-]

    Returns
    -------
    NeedleAdvice
        `change.percent`: richer above 0 [%]; `step_turns`: open above 0 [turns]; `words`; `working()`.

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, air without its humidity, or a step beyond the turns known of the needle.

    References
    ----------
    Elementary carburettor: Heywood (1988), 7.3; CIPM-2007.

    Examples
    --------
    >>> needle = Needle(seat_mm=1.2, half_angle_deg=10.0, pitch_mm=0.7)
    >>> summer, winter = Air(28.0, 1013.0, 300.0, 0.5), Air(2.0, 1025.0, 300.0, 0.8)
    >>> step = mixture_for_air(winter, set_in=summer, turns=1.25, needle=needle, fuel="e5", oil_ratio=50)
    >>> round(step.change.percent, 1), step.step_turns
    (-6.1, 0.125)
    """
    premix = Premix(FUELS[checked_choice("fuel", fuel, tuple(FUELS))], oil_ratio)
    setting = Setting(turns, _with_humidity(set_in), premix)
    return advise(mixture_change(setting, _with_humidity(now), premix), needle)


def _with_humidity(air: Air) -> AirOfTheDay:
    humidity = checked_one(
        "humidity", air.humidity if air.humidity is not None else float("nan"), 0.0, 1.0, "1"
    )
    return AirOfTheDay(air.temperature_k, air.pressure_pa, humidity)
