"""How much oil goes into the petrol, and how is a tank of one mix brought to another?

A mix of 50:1 is 50 parts of petrol to one of oil by volume: 20 ml to each litre of petrol. Volumes are added as if
nothing shrank on mixing, which is good to far below what a measuring cup can tell.

References
----------
Arithmetic by volume; the ratio is the engine maker's, and the usual ratios are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tickover.science.core.arrays import Array, broadcast, quantity_at
from tickover.science.core.input_checks import checked
from tickover.science.core.plausible import TANK_L
from tickover.science.core.shapes import one_or_many
from tickover.science.core.working import Working

__all__ = ["USUAL_RATIO", "OilMix", "Remix", "oil_for", "oil_l", "oil_percent", "remix"]

USUAL_RATIO = (25.0, 60.0)
"""Outside of these a ratio is worth a second look. Common practice, no source; the maker's figure comes first."""
RATIO = (5.0, 200.0)
RATIO_HINT = "parts of petrol to one part of oil are wanted, such as 50; percent is another number"
AUTHORITY = "arithmetic; the ratio itself is the engine maker's"


@dataclass(frozen=True, eq=False)
class OilMix:
    """Oil for an amount of petrol; all of one shape."""

    petrol_l: Array
    ratio: Array

    @property
    def oil_l(self) -> Array:
        """Oil to add. [l]"""
        return self.petrol_l / self.ratio

    @property
    def percent(self) -> Array:
        """Oil in the finished mix. [%]"""
        return oil_percent(self.ratio)

    @property
    def is_unusual(self) -> Array:
        """1 where the ratio lies outside of `USUAL_RATIO`, else 0."""
        return _unusual(self.ratio)

    def working(self, at: int = 0) -> Working:
        """How the oil came about."""
        return Working(
            title="oil for the petrol",
            formula="oil = petrol/ratio; share of the mix = 1/(ratio + 1)",
            inputs=(
                quantity_at("petrol", self.petrol_l, at, "l"),
                quantity_at("petrol to one of oil", self.ratio, at, ""),
                quantity_at("oil in the mix", self.percent, at, "%"),
            ),
            result=quantity_at("oil", 1000.0 * self.oil_l, at, "ml"),
            validity="by volume; petrol that has no oil in it yet",
            source="",
            authority=AUTHORITY,
        )


@dataclass(frozen=True, eq=False)
class Remix:
    """What brings a tank from one ratio to another; one of the two additions is 0. All of one shape."""

    tank_l: Array
    from_ratio: Array
    to_ratio: Array
    fresh_l: Array
    oil_l: Array
    petrol_l: Array

    @property
    def total_l(self) -> Array:
        """In the tank afterwards. [l]"""
        return self.tank_l + self.fresh_l + self.oil_l + self.petrol_l

    @property
    def is_unusual(self) -> Array:
        """1 where the wanted ratio lies outside of `USUAL_RATIO`, else 0."""
        return _unusual(self.to_ratio)

    def working(self, at: int = 0) -> Working:
        """How the additions came about."""
        return Working(
            title="a tank brought to another mix",
            formula="petrol there = tank·a/(a + 1) + fresh, oil there = tank/(a + 1); oil = petrol there/b − oil "
            "there; below 0: petrol = b·oil there − petrol there instead",
            inputs=(
                quantity_at("mix in the tank", self.tank_l, at, "l"),
                quantity_at("petrol to one of oil in it a", self.from_ratio, at, ""),
                quantity_at("fresh petrol put in", self.fresh_l, at, "l"),
                quantity_at("petrol to one of oil wanted b", self.to_ratio, at, ""),
                quantity_at("more petrol", self.petrol_l, at, "l"),
                quantity_at("in the tank afterwards", self.total_l, at, "l"),
            ),
            result=quantity_at("more oil", 1000.0 * self.oil_l, at, "ml"),
            validity="by volume; the ratio in the tank is known, nothing has gone stale; the same kind of oil",
            source="",
            authority=AUTHORITY,
        )


def oil_l(petrol_l: ArrayLike, ratio: ArrayLike) -> Array:
    """Oil for an amount of petrol. [l]

    Parameters
    ----------
    petrol_l : array_like
        Petrol, 0, or 0.02 to 1500. [l]
    ratio : array_like
        Ratio, 5 to 200. [-]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [l]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> print(f"{oil_l(petrol_l=5.0, ratio=50.0):.4g}")
    0.1
    """
    return oil_for(petrol_l, ratio).oil_l


def oil_percent(ratio: ArrayLike) -> Array:
    """Oil in the finished mix: 50:1 has 1.96 %, though 2 % of the petrol. [%]"""
    return 100.0 / (1.0 + _ratio("ratio", ratio))


def oil_for(petrol_l: ArrayLike, ratio: ArrayLike) -> OilMix:
    """Oil for an amount of petrol, with its working.

    Parameters
    ----------
    petrol_l : array_like
        Petrol without oil, 0, or 0.02 to 1500. [l]
    ratio : array_like
        Parts of petrol to one of oil, 5 to 200. [-]

    Returns
    -------
    OilMix

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> print(f"{oil_for(petrol_l=5.0, ratio=50.0).oil_l:.4g}")
    0.1
    """
    return OilMix(*broadcast(TANK_L.checked(petrol_l), _ratio("ratio", ratio)))


def remix(tank_l: ArrayLike, from_ratio: ArrayLike, to_ratio: ArrayLike, fresh_l: ArrayLike = 0.0) -> Remix:
    """What to add so that a tank of one mix becomes another.

    Parameters
    ----------
    tank_l : array_like
        Mix in the tank. [l]
    from_ratio, to_ratio : array_like
        Parts of petrol to one of oil, 5 to 200. [-]
    fresh_l : array_like
        Petrol without oil that goes in anyway. [l]

    Returns
    -------
    Remix
        Oil where oil is short; more petrol where there is too much oil.

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> print(f"{remix(tank_l=5.0, from_ratio=50.0, to_ratio=40.0, fresh_l=2.0).oil_l:.4g}")
    0.07451
    """
    tank, a, b, fresh = broadcast(
        TANK_L.checked(tank_l, "mix in the tank"),
        _ratio("ratio in the tank", from_ratio),
        _ratio("ratio wanted", to_ratio),
        TANK_L.checked(fresh_l, "fresh petrol"),
    )
    oil = tank / (a + 1.0)
    petrol = oil * a + fresh
    short = petrol / b - oil
    return Remix(tank, a, b, fresh, np.maximum(0.0, short), np.maximum(0.0, -short) * b)


def _ratio(name: str, ratio: ArrayLike) -> Array:
    return checked(name, ratio, *RATIO, hint=RATIO_HINT)


def _unusual(ratio: Array) -> Array:
    return one_or_many(np.where((ratio < USUAL_RATIO[0]) | (ratio > USUAL_RATIO[1]), 1.0, 0.0))
