"""Which mass, and where, takes the vibration away: balancing in one plane by trial runs.

What a mass does is taken to add to the vibration in proportion: V = V0 + a W, all with amplitude and phase. Two runs
with different masses settle V0 and a; more runs are fitted by least squares, and their misfit says how far the
proportion holds. The correction is -V0/a.

References
----------
Influence coefficients: any text on vibration, such as Rao, Mechanical Vibrations, 9 (from memory).
JCGM 100:2008, 5.1 for the uncertainty: first order, errors alike in every run and every direction.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tickover.science.core.arrays import Array, broadcast, quantity_at
from tickover.science.core.input_checks import InsufficientDataError, OutOfRangeError, checked
from tickover.science.core.plausible import BALANCE_G
from tickover.science.core.shapes import one_or_many
from tickover.science.core.working import Working

__all__ = ["TrialRuns", "trial_runs"]

Vectors = NDArray[np.complex128]
ANGLE_DEG = (-720.0, 720.0)
AMPLITUDE = (0.0, 1e9)
UNMOVED = 1e-9
"""Share of the vibration below which a change is rounding."""


@dataclass(frozen=True, eq=False)
class TrialRuns:
    """What the runs say; rotors have the common shape of the inputs without their first axis.

    `original` is the vibration without any mass, `influence` that of one gram at 0 degrees, `misfit` the largest
    distance of a run from the fit, `standard_uncertainty` that of one vibration in each run.
    """

    vibration: Vectors
    mass: Vectors
    original: Vectors
    influence: Vectors
    misfit: Array
    standard_uncertainty: Array
    u_correction_g: Array

    @property
    def correction_g(self) -> Array:
        """Mass to add to the bare rotor, at the radius of the trial masses. [g]"""
        return np.abs(self.original / self.influence)

    @property
    def correction_deg(self) -> Array:
        """Where to add it, counted as the trial masses were; 0 to 360. [deg]"""
        angle: Array = np.degrees(np.angle(-self.original / self.influence)) % 360.0
        return angle

    @property
    def u_correction_deg(self) -> Array:
        """Standard uncertainty of the place; 180 where the mass itself is not sure. [deg]"""
        mass = self.correction_g
        sure = np.divide(self.u_correction_g, mass, out=np.full_like(mass, np.inf), where=mass > 0.0)
        angle: Array = one_or_many(np.where(sure < 1.0, np.degrees(np.arcsin(np.minimum(sure, 1.0))), 180.0))
        return angle

    def left(self, mass_g: ArrayLike, at_deg: ArrayLike) -> Array:
        """Vibration to be expected with a mass actually put on, in the unit of the runs.

        Parameters
        ----------
        mass_g : array_like
            Mass put on, 0, or 0.02 to 500. [g]
        at_deg : array_like
            Angle of the mass put on, -720 to 720. [deg]

        Returns
        -------
        float or numpy.ndarray
            Common shape of the inputs.

        Raises
        ------
        OutOfRangeError
            Outside of those ranges, and for what is no number.

        Examples
        --------
        >>> runs = trial_runs([5.0, 7.0], [30.0, 90.0], [0.0, 10.0], [0.0, 0.0], standard_uncertainty=0.0)
        >>> print(f"{runs.left(mass_g=0.0, at_deg=0.0):.3g}")
        5
        >>> print(f"{runs.left(mass_g=5.0, at_deg=40.0):.3g}")
        3.09
        """
        mass = _vector("mass put on", BALANCE_G.checked(mass_g, "mass put on"), at_deg)
        remaining: Array = np.abs(self.original + self.influence * mass)
        return remaining

    def working(self, at: int = 0) -> Working:
        """How the correction came about."""
        return Working(
            title="balance in one plane by trial runs",
            formula="V = V0 + a W fitted to the runs; W = −V0/a",
            inputs=(
                quantity_at("runs", float(self.vibration.shape[0]), at, ""),
                quantity_at("vibration without any mass V0", np.abs(self.original), at, ""),
                quantity_at("its phase", np.degrees(np.angle(self.original)) % 360.0, at, "deg"),
                quantity_at("influence of a gram |a|", np.abs(self.influence), at, "1/g"),
                quantity_at("its phase", np.degrees(np.angle(self.influence)) % 360.0, at, "deg"),
                quantity_at("largest misfit of a run", self.misfit, at, ""),
                quantity_at("standard uncertainty of a vibration", self.standard_uncertainty, at, ""),
                quantity_at("standard uncertainty of the mass", self.u_correction_g, at, "g"),
                quantity_at("standard uncertainty of the place", self.u_correction_deg, at, "deg"),
                quantity_at("put it at", self.correction_deg, at, "deg"),
            ),
            result=quantity_at("mass to add", self.correction_g, at, "g"),
            validity="one speed in all runs; phase and places counted in one sense; "
            "trial mass taken off unless it is given as staying; a mass that moves the vibration clearly",
            source="method of influence coefficients; JCGM 100:2008, 5.1",
            authority="standard",
        )


def trial_runs(
    amplitude: ArrayLike,
    phase_deg: ArrayLike,
    mass_g: ArrayLike,
    mass_deg: ArrayLike,
    *,
    standard_uncertainty: ArrayLike,
) -> TrialRuns:
    """Correction in one plane from runs with and without trial masses.

    Parameters
    ----------
    amplitude, phase_deg : array_like
        Vibration of every run, run after run along the first axis. Phase counted in the same sense as the places.
        [any unit], [deg]
    mass_g, mass_deg : array_like
        Mass on the rotor in every run and its place; 0 for a run without. All at one radius. [g], [deg]
    standard_uncertainty : array_like
        Of one vibration, in the unit of the amplitude.

    Returns
    -------
    TrialRuns

    Raises
    ------
    OutOfRangeError
    InsufficientDataError
        For less than two runs, runs that all had the same mass, or a mass that changed nothing.

    Examples
    --------
    >>> found = trial_runs(
    ...     amplitude=[5.0, 7.0], phase_deg=[30.0, 90.0], mass_g=[0.0, 10.0], mass_deg=[0.0, 0.0],
    ...     standard_uncertainty=0.1
    ... )
    >>> print(f"{found.correction_g:.4g}")
    8.006
    """
    vibration = np.atleast_1d(_vector("vibration", checked("vibration", amplitude, *AMPLITUDE), phase_deg))
    mass = np.atleast_1d(_vector("trial mass", BALANCE_G.checked(mass_g, "trial mass"), mass_deg))
    vibration, mass = np.broadcast_arrays(vibration, mass)
    u = checked("uncertainty of a vibration", standard_uncertainty, *AMPLITUDE)
    if u.ndim and u.shape != vibration.shape[1:]:
        raise OutOfRangeError(f"uncertainty must be one number, or one for each place; got shape {u.shape}")
    centre, middle = mass.mean(axis=0), vibration.mean(axis=0)
    apart = (np.abs(mass - centre) ** 2).sum(axis=0)
    if vibration.shape[0] < 2 or np.any(apart <= 0.0):
        raise InsufficientDataError(
            "a trial run with another mass is missing: give at least one run with and one without"
        )
    influence = (np.conj(mass - centre) * (vibration - middle)).sum(axis=0) / apart
    if np.any(np.abs(influence) * np.sqrt(apart) <= UNMOVED * np.abs(vibration).max(axis=0)):
        raise InsufficientDataError("the trial mass changed nothing: take a larger one, or put it elsewhere")
    original = middle - influence * centre
    misfit = np.abs(vibration - original - influence * mass).max(axis=0)
    # What the runs leave unsure in V0 + a W at W = -V0/a, carried to W by the slope a.
    carried = 1.0 / vibration.shape[0] + np.abs(-original / influence - centre) ** 2 / apart
    u, u_mass, misfit = broadcast(u, u * np.sqrt(carried) / np.abs(influence), misfit)
    return TrialRuns(vibration, mass, original, influence, misfit, u, u_mass)


def _vector(name: str, size: Array, angle_deg: ArrayLike) -> Vectors:
    sizes, angles = broadcast(size, checked(f"angle of the {name}", angle_deg, *ANGLE_DEG, "deg"))
    return np.asarray(sizes * np.exp(1j * np.radians(angles)), dtype=np.complex128)
