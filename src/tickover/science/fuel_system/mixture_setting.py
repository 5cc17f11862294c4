"""A setting that was good, and the air of a day: what has to be written down so that it can be computed from."""

from __future__ import annotations

from dataclasses import dataclass

from tickover.science.core.input_checks import checked_one
from tickover.science.core.kinds import checked_fields
from tickover.science.fuel_system.fuels import Premix

__all__ = ["AirOfTheDay", "Setting", "Venturi"]

TEMPERATURES_K = (253.15, 318.15)
PRESSURES_PA = (60_000.0, 108_000.0)


@dataclass(frozen=True)
class AirOfTheDay:
    """Air at the field with the standard uncertainty of each figure.

    Parameters
    ----------
    temperature_k : float
        In the shade, 253.15 to 318.15. [K]
    pressure_pa : float
        At the field (QFE), 60,000 to 108,000. [Pa]
    humidity : float
        Relative, 0 to 1. [-]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges.
    """

    temperature_k: float
    pressure_pa: float
    humidity: float
    u_temperature_k: float = 1.0
    u_pressure_pa: float = 150.0
    u_humidity: float = 0.1

    def __post_init__(self) -> None:
        checked_one("air temperature", self.temperature_k, *TEMPERATURES_K, "K")
        checked_one("air pressure", self.pressure_pa, *PRESSURES_PA, "Pa")
        checked_one("relative humidity", self.humidity, 0.0, 1.0, "1")
        checked_one("uncertainty of the temperature", self.u_temperature_k, 0.0, 10.0, "K")
        checked_one("uncertainty of the pressure", self.u_pressure_pa, 0.0, 2_000.0, "Pa")
        checked_one("uncertainty of the humidity", self.u_humidity, 0.0, 0.5, "1")
        checked_fields(self)


@dataclass(frozen=True)
class Setting:
    """A setting that was good: how far the needle was out, in which air, with what in the tank."""

    turns: float
    air: AirOfTheDay
    premix: Premix

    def __post_init__(self) -> None:
        checked_one("turns out", self.turns, 0.0, 10.0, "turns")
        checked_fields(self)


@dataclass(frozen=True)
class Venturi:
    """What the full equation needs to know: throat [mm], discharge [-], suction when it was set [Pa], head [mm].

    The figures that stand here unless others are given are illustrative, of no particular carburettor.
    """

    throat_mm: float = 20.0
    discharge: float = 0.85
    depression_pa: float = 4_000.0
    head_mm: float = 5.0

    def __post_init__(self) -> None:
        checked_one("throat diameter", self.throat_mm, 3.0, 60.0, "mm")
        checked_one("discharge coefficient", self.discharge, 0.3, 1.0, "1")
        checked_one("depression", self.depression_pa, 100.0, 20_000.0, "Pa")
        checked_one("head", self.head_mm, 0.0, 50.0, "mm")
        checked_fields(self)
