"""How much is a rotor out of balance, what puts it right, and how much may be left?

Masses in grams at radii in millimetres; unbalance in gram millimetres. Angles in degrees, counted in one sense from
one mark of the rotor.

References
----------
Permissible residual unbalance: ISO 21940-11:2016 (ISO 1940-1), e_per Ω = G.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tickover.science.core.arrays import Array, broadcast, quantity_at
from tickover.science.core.input_checks import OutOfRangeError, checked
from tickover.science.core.plausible import BALANCE_G, BALANCE_RADIUS_MM, ROTOR_KG, ROTOR_RPM, UNBALANCE_GMM
from tickover.science.core.results import NamedFigures
from tickover.science.core.working import Quantity, Working

__all__ = [
    "Permissible",
    "SharedMass",
    "StaticBalance",
    "mass_at_radius_g",
    "permissible_unbalance",
    "rotating_force_n",
    "split_between_g",
    "static_balance",
]

ANGLE_DEG = (-360.0, 360.0)


@dataclass(frozen=True, eq=False)
class StaticBalance:
    """Masses on one rotor and the one mass that balances them; `masses_g` and the like have them first."""

    masses_g: Array
    radii_mm: Array
    angles_deg: Array
    at_radius_mm: Array
    unbalance_gmm: Array
    heavy_deg: Array

    @property
    def correction_g(self) -> Array:
        """Mass to add. [g]"""
        return self.unbalance_gmm / self.at_radius_mm

    @property
    def correction_deg(self) -> Array:
        """Where to add it: opposite the heavy side, 0 to 360. [deg]"""
        return (self.heavy_deg + 180.0) % 360.0

    def working(self, at: int = 0) -> Working:
        """How the correction came about."""
        return Working(
            title="static balance",
            formula="U = |Σ m r e^{iθ}|; mass = U/radius, opposite the heavy side",
            inputs=(
                *self._masses(at),
                quantity_at("radius of the correction", self.at_radius_mm, at, "mm"),
                quantity_at("unbalance U", self.unbalance_gmm, at, "g.mm"),
                quantity_at("heavy side at", self.heavy_deg, at, "deg"),
                quantity_at("add it at", self.correction_deg, at, "deg"),
            ),
            result=quantity_at("mass to add", self.correction_g, at, "g"),
            validity="one plane; still air, axis level, pivot free enough to turn for what is looked for",
            source="statics",
            authority="standard",
        )

    def _masses(self, at: int) -> tuple[Quantity, ...]:
        """Each mass of a rotor with its place, as it went in."""
        rows = zip(*(field.reshape(len(field), -1)[:, at].tolist() for field in self._given()), strict=True)
        return tuple(
            Quantity(f"mass {n}", mass, "g", f"at {radius:g} mm, {angle:g}°")
            for n, (mass, radius, angle) in enumerate(rows, start=1)
        )

    def _given(self) -> tuple[Array, Array, Array]:
        return self.masses_g, self.radii_mm, self.angles_deg


@dataclass(frozen=True, eq=False)
class Permissible:
    """Residual unbalance that a balance quality grade allows; all of one shape."""

    grade_mm_s: Array
    mass_kg: Array
    rpm: Array

    @property
    def unbalance_gmm(self) -> Array:
        """Most that may be left. [g.mm]"""
        return 1000.0 * self.grade_mm_s * self.mass_kg / (2.0 * np.pi * self.rpm / 60.0)

    @property
    def offset_um(self) -> Array:
        """The same as an offset of the centre of mass. [µm]"""
        return self.unbalance_gmm / self.mass_kg

    def working(self, at: int = 0) -> Working:
        """How the permissible unbalance came about."""
        return Working(
            title="permissible residual unbalance",
            formula="U = 1000 G m/Ω, Ω = 2π rpm/60",
            inputs=(
                quantity_at("balance quality grade G", self.grade_mm_s, at, "mm/s"),
                quantity_at("mass of the rotor m", self.mass_kg, at, "kg"),
                quantity_at("highest speed in service", self.rpm, at, "rpm"),
                quantity_at("offset of the centre of mass", self.offset_um, at, "µm"),
            ),
            result=quantity_at("permissible unbalance U", self.unbalance_gmm, at, "g.mm"),
            validity="stiff rotor, one plane; a knife-edge or pin balancer often cannot show so little",
            source="ISO 21940-11:2016",
            authority="standard; the grade is the maker's to name",
        )


def mass_at_radius_g(unbalance_gmm: ArrayLike, radius_mm: ArrayLike) -> Array:
    """Mass of tape, lacquer or a washer that makes an unbalance at a radius. [g]

    Parameters
    ----------
    unbalance_gmm : array_like
        Unbalance, 0, or 0.1 to 1,000,000. [g.mm]
    radius_mm : array_like
        Radius, 1 to 5000. [mm]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [g]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> print(f"{mass_at_radius_g(unbalance_gmm=60.0, radius_mm=400.0):.4g}")
    0.15
    """
    unbalance = UNBALANCE_GMM.checked(unbalance_gmm)
    return unbalance / BALANCE_RADIUS_MM.checked(radius_mm)


def rotating_force_n(unbalance_gmm: ArrayLike, rpm: ArrayLike) -> Array:
    """Force that goes round with an unbalance. [N]

    Parameters
    ----------
    unbalance_gmm : array_like
        Unbalance, 0, or 0.1 to 1,000,000. [g.mm]
    rpm : array_like
        Rotor speed, 60 to 100,000. [rpm]

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
    >>> print(f"{rotating_force_n(unbalance_gmm=600.0, rpm=2700.0):.4g}")
    47.97
    """
    unbalance = UNBALANCE_GMM.checked(unbalance_gmm)
    return unbalance * 1e-6 * (2.0 * np.pi * ROTOR_RPM.checked(rpm) / 60.0) ** 2


def permissible_unbalance(grade_mm_s: ArrayLike, mass_kg: ArrayLike, rpm: ArrayLike) -> Permissible:
    """Residual unbalance that a balance quality grade allows.

    Parameters
    ----------
    grade_mm_s : array_like
        G, such as 6.3 or 16; 0.1 to 4000. [mm/s]
    mass_kg : array_like
        Of the rotor, 0.001 to 500. [kg]
    rpm : array_like
        Highest speed in service, 60 to 100,000. [rpm]

    Returns
    -------
    Permissible

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> print(f"{permissible_unbalance(grade_mm_s=6.3, mass_kg=0.7, rpm=2700.0).unbalance_gmm:.4g}")
    15.6
    """
    return Permissible(
        *broadcast(
            checked("balance quality grade", grade_mm_s, 0.1, 4_000.0, "mm/s"),
            ROTOR_KG.checked(mass_kg),
            ROTOR_RPM.checked(rpm),
        )
    )


def static_balance(
    masses_g: ArrayLike, radii_mm: ArrayLike, angles_deg: ArrayLike, at_radius_mm: ArrayLike
) -> StaticBalance:
    """The one mass that balances several.

    Parameters
    ----------
    masses_g, radii_mm, angles_deg : array_like
        One mass after the other along the first axis; further axes are rotors. [g], [mm], [deg]
    at_radius_mm : array_like
        Where the correction goes. [mm]

    Returns
    -------
    StaticBalance

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> found = static_balance(masses_g=[1.0], radii_mm=[400.0], angles_deg=[30.0], at_radius_mm=300.0)
    >>> print(f"{found.correction_g:.4g}")
    1.333
    """
    masses, radii, angles = broadcast(
        np.atleast_1d(BALANCE_G.checked(masses_g)),
        np.atleast_1d(BALANCE_RADIUS_MM.checked(radii_mm)),
        np.atleast_1d(checked("angle", angles_deg, *ANGLE_DEG, "deg")),
    )
    heavy = (masses * radii * np.exp(1j * np.radians(angles))).sum(axis=0)
    at = BALANCE_RADIUS_MM.checked(at_radius_mm, "radius of the correction")
    unbalance, heavy_deg, at = broadcast(np.abs(heavy), np.degrees(np.angle(heavy)) % 360.0, at)
    return StaticBalance(masses, radii, angles, at, unbalance, heavy_deg)


@dataclass(frozen=True, eq=False)
class SharedMass(NamedFigures):
    """A mass shared between two places. [g]"""

    first_g: Array
    second_g: Array


def split_between_g(
    mass_g: ArrayLike, at_deg: ArrayLike, first_deg: ArrayLike, second_deg: ArrayLike
) -> SharedMass:
    """One mass shared between two places that take one, such as bolts or blades, at the same radius. [g]

    A share below 0 is to be taken away there, or the other two places do better.

    Parameters
    ----------
    mass_g : array_like
        Mass, 0, or 0.02 to 500. [g]
    at_deg : array_like
        Angle of the mass, -360 to 360. [deg]
    first_deg : array_like
        Angle of the first place, -360 to 360. [deg]
    second_deg : array_like
        Angle of the second place, -360 to 360. [deg]

    Returns
    -------
    SharedMass

    Raises
    ------
    OutOfRangeError
        Also for two places in one line with the axis, between which no mass can be shared.

    Examples
    --------
    >>> print(f"{split_between_g(mass_g=5.0, at_deg=40.0, first_deg=0.0, second_deg=60.0).first_g:.4g}")
    1.975
    """
    mass = BALANCE_G.checked(mass_g)
    at, first, second = (
        np.radians(checked(f"angle of the {name}", value, *ANGLE_DEG, "deg"))
        for name, value in (("mass", at_deg), ("first place", first_deg), ("second place", second_deg))
    )
    across = np.sin(second - first)
    if np.any(np.abs(across) < 1e-3):
        raise OutOfRangeError("the two places lie in one line with the axis: take two that do not")
    return SharedMass(mass * np.sin(second - at) / across, mass * np.sin(at - first) / across)
