"""In what order are the screws of a joint tightened, and how far in each pass?

References
----------
Common practice, no source: crosswise or from the middle outwards, in at least two passes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from tickover.science.core.input_checks import OutOfRangeError, checked_choice, checked_one
from tickover.science.core.plausible import TORQUE_NM
from tickover.science.core.working import Quantity, Working

__all__ = ["PATTERNS", "Tightening", "tightening", "tightening_order"]

PATTERNS = {
    "x": "across to the far side each time",
    "middle": "from the middle of the row outwards, to either side in turn",
    "ring": "round, one after the other",
    "pair": "in turns",
}
COUNTED = ("clockwise", "from one end of the row")
"""How places are counted: round the joint, or along a row."""
MOST_SCREWS = 200


@dataclass(frozen=True)
class Tightening:
    """Order and torques of a joint; places count from 0."""

    order: tuple[int, ...]
    pattern: str
    torque_nm: float
    passes: tuple[float, ...]

    @property
    def passes_nm(self) -> tuple[float, ...]:
        """Torque of each pass. [N.m]"""
        return tuple(share * self.torque_nm for share in self.passes)

    @property
    def steps(self) -> tuple[tuple[int, float], ...]:
        """Every move of the wrench: place and torque. [N.m]"""
        return tuple((place, torque) for torque in self.passes_nm for place in self.order)

    @property
    def loosening(self) -> tuple[int, ...]:
        """Order in which the joint is opened: the last tightened first."""
        return self.order[::-1]

    def working(self) -> Working:
        """How order and torques came about."""
        passes = ", ".join(f"{torque:.3g}" for torque in self.passes_nm)
        return Working(
            title="tightening order",
            formula=f"{PATTERNS[self.pattern]}; each pass over all screws before the next",
            inputs=(
                Quantity("screws", len(self.order), ""),
                Quantity("torque", self.torque_nm, "N.m"),
                Quantity("passes", passes, "N.m"),
                Quantity("to open, the other way round", _places(self.loosening), ""),
            ),
            result=Quantity(
                f"order, counted {COUNTED[self.pattern == 'middle']} from 1", _places(self.order), ""
            ),
            validity="all snug by hand first; the maker's order and torques come first",
            source="4, 8 and 12 across: the cross-pattern sequence of ASME PCC-1 (from memory)",
            authority="common practice, no source",
        )


def tightening_order(count: int, pattern: str = "x") -> list[int]:
    """Places of the screws in the order they are tightened.

    Parameters
    ----------
    count : int
        Number of screws, 1 to 200.
    pattern : str
        One of `PATTERNS`. Places count clockwise from 0 at the top; in a row, from one end.

    Returns
    -------
    list[int]

    Raises
    ------
    OutOfRangeError

    References
    ----------
    For 4, 8 and 12 screws the cross order is the cross-pattern sequence of ASME PCC-1 for as many bolts
    (from memory). Other counts cross over as far as they can: opposite pairs when even, a star when odd
    (common practice, no source).

    Examples
    --------
    >>> tightening_order(4, "x")
    [0, 2, 1, 3]
    """
    if isinstance(count, bool) or not isinstance(count, int) or not 1 <= count <= MOST_SCREWS:
        raise OutOfRangeError(f"a joint has 1 screw or more, up to {MOST_SCREWS}; got {count!r}")
    checked_choice("pattern", pattern, tuple(PATTERNS))
    if pattern == "x":
        return _across(count)
    if pattern == "middle":
        return sorted(range(count), key=lambda place: (abs(2 * place + 1 - count), place))
    return list(range(count))


def tightening(
    count: int, torque_nm: float, *, pattern: str = "x", passes: Sequence[float] = (0.5, 1.0)
) -> Tightening:
    """Order and torques of a joint in passes.

    Parameters
    ----------
    count, pattern
        As for `tightening_order`.
    torque_nm : float
        Of the last pass, above 0. [N.m]
    passes : sequence of float
        Rising shares of the torque, the last 1; half and full is common practice.

    Returns
    -------
    Tightening

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> found = tightening(4, 9.0)
    >>> found.order, found.passes
    ((0, 2, 1, 3), (0.5, 1.0))
    """
    if not isinstance(passes, tuple | list):
        raise OutOfRangeError(f"passes must rise and end at 1, such as 0.5, 1; got {passes!r}")
    torque = checked_one("torque", torque_nm, TORQUE_NM.least, TORQUE_NM.upper, "N.m", TORQUE_NM.wanted)
    shares = tuple(checked_one("pass as a share of the torque", share, 0.01, 1.0, "1") for share in passes)
    if not shares or shares[-1] != 1.0 or any(later <= sooner for sooner, later in pairwise(shares)):
        raise OutOfRangeError(
            f"passes must rise and end at 1, such as 0.5, 1; got {', '.join(map(str, passes))}"
        )
    return Tightening(tuple(tightening_order(count, pattern)), pattern, torque, shares)


def _across(count: int) -> list[int]:
    if count % 2:
        return [place * max(1, count // 2) % count for place in range(count)]
    half = count // 2
    firsts = _quarters(half) if half % 2 == 0 else [place * max(1, half // 2) % half for place in range(half)]
    return [place for first in firsts for place in (first, first + half)]


def _quarters(half: int) -> list[int]:
    return [place for first in range(half // 2) for place in (first, first + half // 2)]


def _places(order: Sequence[int]) -> str:
    return " ".join(str(place + 1) for place in order)
