"""What does the metering lever do: when does the inlet needle open, how far, and what mixture does that make?

A force balance, not a rule. The spring holds the needle shut. The fuel behind the needle pushes on the seat, and
the suction in the metering chamber pulls the diaphragm against the lever, with the leverage of the lever:

    F0 + k x + r E(y) = (p + s) A_seat + r s A_diaphragm,    y = r x − height,

with x the lift of the needle, s the suction, p the pressure of the fuel pump, r the lever ratio, and E(y) what
the diaphragm needs to be bent by y: a linear and a cubic part, up to its stop. `height` is how much higher than
nominal the lever stands: a low lever is met by the diaphragm later, and the diaphragm is at its stop before the
needle is fully open. All that is known of low and high levers follows from that.

References
----------
Common practice for what the lever does (low: lean, most at full throttle; high: rich, floods). The balance is
mechanics; the figures of `ILLUSTRATIVE` are of no particular carburettor.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tickover.science.core.input_checks import checked, checked_choice, checked_one
from tickover.science.core.kinds import checked_fields, kinds_checked
from tickover.science.core.plausible import BEND_MM, LEVER_MM, LIFT_MM
from tickover.science.core.shapes import one_or_many
from tickover.science.core.working import Quantity, Working
from tickover.science.fuel_system.needle import cone_area_at, cone_area_mm2

__all__ = ["ILLUSTRATIVE", "METHODS", "Metering", "PopOff", "pop_off"]

Array = NDArray[np.float64]

"""How far from nominal the lever may be asked about."""
METHODS = ("cover off", "cover on")
RANGES = {
    "seat_mm": (0.5, 4.0, "mm"),
    "half_angle_deg": (5.0, 60.0, "degrees"),
    "spring_n": (0.005, 5.0, "N"),
    "spring_n_mm": (0.0, 5.0, "N/mm"),
    "lever_ratio": (0.5, 6.0, ""),
    "diaphragm_mm2": (20.0, 2_000.0, "mm2"),
    "diaphragm_n_mm": (0.0, 1.0, "N/mm"),
    "diaphragm_n_mm3": (0.0, 5.0, "N/mm3"),
    "travel_mm": (0.1, 5.0, "mm"),
    "pump_pa": (1_000.0, 80_000.0, "Pa"),
    "open_area_ratio": (1.0, 4.0, ""),
    "discharge": (0.1, 1.0, ""),
    "stiffer_per_k": (-0.05, 0.05, "1/K"),
}
NOMINAL_K = 293.15
TEMPERATURES_K = (243.15, 333.15)


@dataclass(frozen=True)
class Metering:
    """A diaphragm metering system; spring figures are those felt at the needle.

    Parameters
    ----------
    seat_mm, half_angle_deg : float
        Diameter of the inlet seat, 0.5 to 4 [mm], and half of the angle of the needle's cone. [degrees]
    spring_n, spring_n_mm : float
        Force that holds the needle shut [N], and how it grows with lift. [N/mm]
    lever_ratio : float
        Travel of the diaphragm to lift of the needle. [-]
    diaphragm_mm2 : float
        Area of the diaphragm that works on the lever; about half of the whole. [mm2]
    diaphragm_n_mm, diaphragm_n_mm3 : float
        Force to bend it at its middle, linear and cubic. [N/mm], [N/mm3]
    travel_mm : float
        How far its middle moves from flat to its stop. [mm]
    pump_pa : float
        Pressure of the fuel at the needle. [Pa]
    open_area_ratio : float
        Area that the pressure finds once the needle is off its seat, to that of the seat: why it reseats at
        less than it popped at. [-]
    discharge : float
        Of the open needle. [-]
    stiffer_per_k : float
        Share by which the diaphragm grows stiffer for each kelvin of warming; below 0 for rubber. [1/K]
    calibrated : str
        By whose readings; "" while the figures are illustrative.

    Raises
    ------
    OutOfRangeError
        For a figure outside of `RANGES`.
    """

    seat_mm: float
    half_angle_deg: float
    spring_n: float
    spring_n_mm: float
    lever_ratio: float
    diaphragm_mm2: float
    diaphragm_n_mm: float
    diaphragm_n_mm3: float
    travel_mm: float
    pump_pa: float
    open_area_ratio: float = 1.43
    discharge: float = 0.7
    stiffer_per_k: float = 0.0
    calibrated: str = ""

    def __post_init__(self) -> None:
        for field in fields(self):
            if field.name in RANGES:
                lower, upper, unit = RANGES[field.name]
                checked_one(f"metering, {field.name}", getattr(self, field.name), lower, upper, unit)
        checked_fields(self)

    @property
    def authority(self) -> str:
        """How far to trust what is computed with these figures."""
        return f"calibrated: {self.calibrated}" if self.calibrated else "illustrative until calibrated"

    @property
    def seat_mm2(self) -> float:
        """Area of the seat. [mm2]"""
        return 0.25 * np.pi * self.seat_mm**2

    def bending_n(self, bend_mm: ArrayLike, temperature_k: ArrayLike = NOMINAL_K) -> Array:
        """Force to bend the diaphragm at its middle; the other way for the other sign. [N]

        `bend_mm`: -40 to 40, more than any stop lets it move. [mm] `temperature_k`: 243.15 to 333.15. [K]

        Parameters
        ----------
        bend_mm : array_like
            Bending of the diaphragm, -40 to 40. [mm]
        temperature_k : array_like
            Temperature, 243.15 to 333.15. [K]

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
        >>> print(f"{ILLUSTRATIVE.bending_n(0.2):.3g}")
        0.00304
        """
        kelvin = checked("temperature", temperature_k, *TEMPERATURES_K, "K")
        return _bending(self, BEND_MM.checked(bend_mm), kelvin)

    def suction_pa(
        self, lift_mm: ArrayLike, height_mm: ArrayLike = 0.0, temperature_k: ArrayLike = NOMINAL_K
    ) -> Array:
        """Suction in the chamber that balances a lift of the needle; below 0 it opens by itself. [Pa]

        Parameters
        ----------
        lift_mm : array_like
            Lift of the needle, 0 to 5. [mm]
        height_mm : array_like
            Lever above (below 0: under) its nominal height, -1.5 to 1.5. [mm]
        temperature_k : array_like
            Of the diaphragm, 243.15 to 333.15. [K]

        Returns
        -------
        float or numpy.ndarray
            Common shape of the inputs. [Pa]

        Raises
        ------
        OutOfRangeError
            Outside of those ranges, and for what is no number.

        Examples
        --------
        >>> print(f"{ILLUSTRATIVE.suction_pa(lift_mm=0.1, height_mm=0.1):.4g}")
        201.7
        """
        lift = checked("needle lift", LIFT_MM.checked(lift_mm), 0.0, 5.0, "mm")
        kelvin = checked("temperature", temperature_k, *TEMPERATURES_K, "K")
        return suction_at(self, lift, checked_height(height_mm), kelvin)

    def greatest_lift_mm(self, height_mm: ArrayLike = 0.0) -> Array:
        """Lift of the needle when the diaphragm is at its stop. [mm]"""
        return greatest_lift_at(self, checked_height(height_mm))

    def opening_mm2(self, lift_mm: ArrayLike) -> Array:
        """Free area at the inlet needle. [mm2]"""
        return cone_area_mm2(lift_mm, self.seat_mm, self.half_angle_deg)

    def floods_at_rest(self, height_mm: ArrayLike = 0.0) -> NDArray[np.bool_]:
        """Whether fuel under pump pressure comes through with the engine standing still."""
        return one_or_many(self.suction_pa(0.0, height_mm) < 0.0)


@dataclass(frozen=True)
class PopOff:
    """At which pressure the inlet needle opens and shuts again; fields have the shape of the heights. [Pa]"""

    system: Metering
    method: str
    height_mm: Array
    pop_off_pa: Array
    reseat_pa: Array
    seat_force_n: Array

    def working(self, at: int = 0) -> Working:
        """How one pop-off came about; `at` counts through the heights from 0."""
        height, pop, reseat, force = (
            float(np.ravel(field)[at])
            for field in (self.height_mm, self.pop_off_pa, self.reseat_pa, self.seat_force_n)
        )
        return Working(
            title=f"pop-off, {self.method}",
            formula="p = F/A_seat, F = F0 + r E(−height) with the cover on, F0 with the cover off",
            inputs=(
                Quantity("spring at the needle F0", self.system.spring_n, "N"),
                Quantity("force on the seat F", force, "N"),
                Quantity("seat", self.system.seat_mm, "mm"),
                Quantity("lever above nominal", height, "mm"),
                Quantity("reseat, the open needle giving more area", reseat / 1e5, "bar"),
            ),
            result=Quantity("pop-off", pop / 1e5, "bar"),
            validity="slowly raised, wetted seat; dry or fast reads higher",
            source="force balance",
            authority=self.system.authority,
        )


@kinds_checked
def pop_off(system: Metering, height_mm: ArrayLike = 0.0, method: str = "cover off") -> PopOff:
    """Pop-off and reseat pressure.

    Parameters
    ----------
    system : Metering
    height_mm : array_like
        Lever above nominal, -1.5 to 1.5; without influence with the cover off. [mm]
    method : str
        "cover off": the diaphragm does not touch the lever. "cover on": a high lever leans on the diaphragm, which
        takes force off the needle; a low one does not reach it.

    Returns
    -------
    PopOff

    Raises
    ------
    OutOfRangeError
        For heights outside, and for another method.

    Notes
    -----
    Shut, the pressure works on the seat. Open, it works on the cone behind the seat as well, on an area larger by
    `open_area_ratio`, so the needle stays off until the pressure has fallen by that ratio. A pop and a reseat
    that lie close together tell of a needle that does not seat well; a wide gap of dirt, or of a sticking lever.

    Examples
    --------
    >>> found = pop_off(ILLUSTRATIVE)
    >>> print(f"{found.pop_off_pa / 1000:.4g} kPa, reseats at {found.reseat_pa / 1000:.4g} kPa")
    99.91 kPa, reseats at 69.87 kPa
    """
    height = checked_height(height_mm)
    checked_choice("method", method, METHODS)
    leaning = np.maximum(height, 0.0) if method == "cover on" else np.zeros(height.shape)
    force = np.maximum(0.0, system.spring_n - system.lever_ratio * system.bending_n(leaning))
    pop = force / (system.seat_mm2 * 1e-6)
    return PopOff(system, method, height, pop, pop / system.open_area_ratio, force)


def checked_height(height_mm: ArrayLike) -> Array:
    """Heights of a lever against nominal, -1.5 to 1.5. [mm]"""
    return LEVER_MM.checked(height_mm)


ILLUSTRATIVE = Metering(
    seat_mm=1.2,
    half_angle_deg=30.0,
    spring_n=0.113,
    spring_n_mm=0.05,
    lever_ratio=2.29,
    diaphragm_mm2=190.0,
    diaphragm_n_mm=0.012,
    diaphragm_n_mm3=0.08,
    travel_mm=0.68,
    pump_pa=30_000.0,
)
"""A round system of no maker: 1.2 mm seat, half of a 22 mm diaphragm, pump at 0.3 bar, pop-off at 1 bar."""


def suction_at(system: Metering, lift: Array, height: Array, kelvin: Array) -> Array:
    """As `Metering.suction_pa`, for lifts and heights that were computed and may be as small as they like. [Pa]"""
    shut = system.spring_n + system.spring_n_mm * lift - system.pump_pa * system.seat_mm2 * 1e-6
    bent = _bending(system, system.lever_ratio * lift - height, kelvin)
    area = system.lever_ratio * system.diaphragm_mm2 + system.seat_mm2
    return one_or_many((shut + system.lever_ratio * bent) / (area * 1e-6))


def greatest_lift_at(system: Metering, height: Array) -> Array:
    """As `Metering.greatest_lift_mm`, for a height that was computed. [mm]"""
    return np.maximum(0.0, (system.travel_mm + height) / system.lever_ratio)


def opening_at(system: Metering, lift: Array) -> Array:
    """As `Metering.opening_mm2`, for a lift that was computed. [mm2]"""
    return cone_area_at(lift, system.seat_mm, system.half_angle_deg)


def _bending(system: Metering, bend: Array, kelvin: Array) -> Array:
    stiff = (system.diaphragm_n_mm + system.diaphragm_n_mm3 * bend * bend) * bend
    return one_or_many(stiff * (1.0 + system.stiffer_per_k * (kelvin - NOMINAL_K)))
