"""How unsure is a number that is computed from others that are unsure?

References
----------
JCGM 100:2008, 5.1.2 (law of propagation of uncertainty, first order, inputs independent) and 5.1.3, note 2
(each input's share found by moving it by its own standard uncertainty to both sides).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from tickover.science.core.input_checks import OutOfRangeError, checked_one
from tickover.science.core.kinds import kinds_checked

LARGEST = 1e12
"""No value of any unit that goes into a sum of the bench is larger."""


@dataclass(frozen=True)
class Unsure:
    """A value and its standard uncertainty, in one unit."""

    value: float
    standard_uncertainty: float

    def __post_init__(self) -> None:
        checked_one("value", self.value, -LARGEST, LARGEST)
        checked_one("standard uncertainty", self.standard_uncertainty, 0.0, LARGEST)


@dataclass(frozen=True)
class UncertaintyContribution:
    """What one input leaves on the result: sensitivity times its standard uncertainty, with its sign."""

    name: str
    sensitivity: float
    share: float


@dataclass(frozen=True)
class Propagated:
    """A computed value, its standard uncertainty, and what each input has in it."""

    value: float
    standard_uncertainty: float
    shares: tuple[UncertaintyContribution, ...]


@kinds_checked
def propagate(function: Callable[[Mapping[str, float]], float], inputs: Mapping[str, Unsure]) -> Propagated:
    """Value of a function and its standard uncertainty.

    Parameters
    ----------
    function : callable
        Of all inputs by name. It must stand each input being moved by its standard uncertainty.
    inputs : mapping of str to Unsure
        Independent of each other.

    Returns
    -------
    Propagated

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Notes
    -----
    First order: good where the function is nearly straight over a standard uncertainty.

    Examples
    --------
    >>> found = propagate(lambda x: x["a"] - x["b"], {"a": Unsure(5.0, 0.3), "b": Unsure(2.0, 0.4)})
    >>> print(f"{found.value:.1f} {found.standard_uncertainty:.1f}")
    3.0 0.5
    """
    if not inputs:
        raise OutOfRangeError("inputs are empty: give at least one value with its standard uncertainty")
    centre = {name: given.value for name, given in inputs.items()}
    shares = tuple(_share(function, centre, name, given) for name, given in inputs.items())
    value = checked_one("what was computed", function(centre), -np.inf, np.inf)
    return Propagated(value, math.hypot(*(s.share for s in shares)), shares)


def _share(
    function: Callable[[Mapping[str, float]], float], centre: dict[str, float], name: str, given: Unsure
) -> UncertaintyContribution:
    u = given.standard_uncertainty
    if u == 0.0:
        return UncertaintyContribution(name, 0.0, 0.0)
    more, less = (
        checked_one("what was computed", function({**centre, name: given.value + way}), -np.inf, np.inf)
        for way in (u, -u)
    )
    share = (more - less) / 2.0
    return UncertaintyContribution(name, share / u, share)
