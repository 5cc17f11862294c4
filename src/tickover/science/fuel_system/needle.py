"""How much does a mixture needle open when it is turned?

A cone in a sharp round seat on a thread. Beside it a fixed jet may feed the same circuit: then turning the
needle changes the mixture by less.

References
----------
Area of a cone in a seat: the frustum that stands at right angles on the cone, A = π h sin α (d − h sin α cos α),
as in A. A. Aranovich, "Calculating throttling area", Machine Design (8 April 1999).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tickover.science.core.input_checks import OutOfRangeError, checked, checked_one, checked_pair
from tickover.science.core.kinds import checked_fields
from tickover.science.core.plausible import LIFT_MM
from tickover.science.core.shapes import one_or_many
from tickover.science.core.working import Quantity, Working

__all__ = ["Needle", "cone_area_mm2"]

Array = NDArray[np.float64]

SEATS_MM = (0.2, 5.0)
HALF_ANGLES_DEG = (2.0, 60.0)
LIFTS_MM = (0.0, 20.0)
TURNS = (0.0, 10.0)


def cone_area_mm2(lift_mm: ArrayLike, seat_mm: ArrayLike, half_angle_deg: ArrayLike) -> Array:
    """Free area between a cone and its seat; never more than the seat itself. [mm2]

    Parameters
    ----------
    lift_mm : array_like
        How far the cone is lifted off the seat, 0 to 20. [mm]
    seat_mm : array_like
        Diameter of the seat, 0.2 to 5. [mm]
    half_angle_deg : array_like
        Between the axis and the side of the cone, 2 to 60. [degrees]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [mm2]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges.

    Examples
    --------
    >>> print(f"{cone_area_mm2(lift_mm=0.5, seat_mm=1.6, half_angle_deg=10.0):.4g}")
    0.4131
    """
    return cone_area_at(LIFT_MM.checked(lift_mm), seat_mm, half_angle_deg)


def cone_area_at(lift_mm: Array, seat_mm: ArrayLike, half_angle_deg: ArrayLike) -> Array:
    """As `cone_area_mm2`, for a lift that was computed and may be as small as it likes. [mm2]"""
    lift = checked("needle lift", lift_mm, *LIFTS_MM, "mm")
    seat = checked("seat diameter", seat_mm, *SEATS_MM, "mm")
    hint = "half of the angle of the whole cone"
    angle = np.radians(checked("half angle of the cone", half_angle_deg, *HALF_ANGLES_DEG, "degrees", hint))
    # beyond the lift of its largest value the formula falls again, while the hole stays open
    widest = seat / (2.0 * np.sin(angle) * np.cos(angle))
    lift = np.minimum(lift, widest)
    frustum = np.pi * lift * np.sin(angle) * (seat - lift * np.sin(angle) * np.cos(angle))
    return one_or_many(np.minimum(frustum, 0.25 * np.pi * seat * seat))


@dataclass(frozen=True)
class Needle:
    """A needle on its thread, and the fixed jet in parallel.

    Parameters
    ----------
    seat_mm : float
        Diameter of the seat, 0.2 to 5. [mm]
    half_angle_deg : float
        Half of the angle of the cone, 2 to 60. [degrees]
    pitch_mm : float
        Lift for one turn, 0.1 to 2. [mm]
    fixed_jet_mm : float
        Diameter of a fixed jet beside it, 0 for none, to 2. [mm]
    turns_known : tuple
        Fewest and most turns out for which these figures hold. [turns]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges.
    """

    seat_mm: float
    half_angle_deg: float
    pitch_mm: float
    fixed_jet_mm: float = 0.0
    turns_known: tuple[float, float] = (0.25, 3.0)

    def __post_init__(self) -> None:
        cone_area_mm2(0.0, self.seat_mm, self.half_angle_deg)
        checked_one("pitch of the thread", self.pitch_mm, 0.1, 2.0, "mm")
        checked_one("fixed jet", self.fixed_jet_mm, 0.0, 2.0, "mm")
        low, high = checked_pair("turns known", self.turns_known)
        fewest = checked_one("fewest turns known", low, *TURNS, "turns")
        most = checked_one("most turns known", high, *TURNS, "turns")
        if fewest >= most:
            raise OutOfRangeError(f"turns known must rise, not {fewest:g} to {most:g}")
        checked_fields(self)

    def area_mm2(self, turns: ArrayLike) -> Array:
        """Area of needle and fixed jet together. [mm2]

        Parameters
        ----------
        turns : array_like
            Turns out from lightly seated, inside of `turns_known`. [turns]

        Raises
        ------
        OutOfRangeError
            Outside of the turns for which the needle is known.
        """
        hint = "the figures of this needle do not hold there"
        out = checked("turns out", turns, *self.turns_known, "turns", hint)
        return self.needle_area_mm2(out) + 0.25 * math.pi * self.fixed_jet_mm**2

    def needle_area_mm2(self, turns: ArrayLike) -> Array:
        """Area at the needle alone, 0 to 10 turns out. [mm2]"""
        lift = checked("turns out", turns, *TURNS, "turns") * self.pitch_mm
        return cone_area_at(lift, self.seat_mm, self.half_angle_deg)

    @property
    def full_at_turns(self) -> float:
        """Turns from which on the seat is fully open and turning changes nothing. [turns]"""
        sine = math.sin(math.radians(self.half_angle_deg))
        cosine = math.cos(math.radians(self.half_angle_deg))
        # π h s (d − h s c) = π d²/4, the smaller root
        lift = self.seat_mm * (1.0 - math.sqrt(1.0 - cosine)) / (2.0 * sine * cosine)
        return lift / self.pitch_mm

    def turns_for_area(self, area_mm2: float) -> float:
        """Turns out that give an area of needle and fixed jet together. [turns]

        Raises
        ------
        OutOfRangeError
            When no turn for which the needle is known gives it.
        """
        fewest, most = self.turns_known
        most = min(most, self.full_at_turns)
        if fewest >= most:
            raise OutOfRangeError(
                f"the needle is fully open from {most:.2f} turns on: turning it changes nothing"
            )
        least, greatest = float(self.area_mm2(fewest)), float(self.area_mm2(most))
        hint = f"the needle gives that between {fewest:.2f} and {most:.2f} turns; beyond it something else is wrong"
        area = checked_one("area asked of the needle", area_mm2, least, greatest, "mm2", hint)
        sine = math.sin(math.radians(self.half_angle_deg))
        cosine = math.cos(math.radians(self.half_angle_deg))
        wanted = min(area - 0.25 * math.pi * self.fixed_jet_mm**2, 0.25 * math.pi * self.seat_mm**2)
        root = math.sqrt(max(0.0, self.seat_mm**2 - 4.0 * cosine * wanted / math.pi))
        lift = (self.seat_mm - root) / (2.0 * sine * cosine)
        return min(max(lift / self.pitch_mm, fewest), most)

    def working(self, turns: float) -> Working:
        """How the area at a setting came about, and what an eighth of a turn does to it."""
        area = float(self.area_mm2(turns))
        step = float(self.needle_area_mm2(turns + 0.125)) - float(self.needle_area_mm2(turns))
        return Working(
            title="area of the needle",
            formula="A = π h sin α (d − h sin α cos α), at most π d²/4, and the fixed jet in parallel",
            inputs=(
                Quantity("turns out", turns, "turns"),
                Quantity("lift h", turns * self.pitch_mm, "mm"),
                Quantity("seat d", self.seat_mm, "mm"),
                Quantity("half angle α", self.half_angle_deg, "degrees"),
                Quantity("fixed jet", self.fixed_jet_mm, "mm"),
                Quantity("1/8 turn more adds", 100.0 * step / area, "%"),
            ),
            result=Quantity("area", area, "mm2"),
            validity=f"a clean cone in a sharp seat; fully open from {self.full_at_turns:.2f} turns on",
            source="Aranovich, Machine Design, 8 April 1999",
            authority="geometry",
        )
