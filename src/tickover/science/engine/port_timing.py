"""When do the ports open, and where is their edge?

References
----------
Port timing in degrees from the height of an edge: Blair, Design and Simulation of Two-Stroke Engines (1996), 1.4
(from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tickover.science.core.arrays import Array, broadcast, quantity_at
from tickover.science.core.input_checks import checked
from tickover.science.core.plausible import DECK_MM, PORT_OPENS_DEG
from tickover.science.core.working import Working
from tickover.science.engine.crank import FORMULA, VALIDITY, angle_at, travel_mm

__all__ = ["PortTiming", "edge_from_deck_mm", "open_for_deg", "port_timing"]


@dataclass(frozen=True, eq=False)
class PortTiming:
    """When exhaust and transfers open after top centre and how long they stay open; all of one shape."""

    exhaust_opens_deg: Array
    transfer_opens_deg: Array
    exhaust_edge_mm: Array
    transfer_edge_mm: Array
    deck_mm: Array
    stroke_mm: Array
    rod_mm: Array

    @property
    def exhaust_deg(self) -> Array:
        """How long the exhaust is open. [deg]"""
        return open_for_deg(self.exhaust_opens_deg)

    @property
    def transfer_deg(self) -> Array:
        """How long the transfers are open. [deg]"""
        return open_for_deg(self.transfer_opens_deg)

    @property
    def blowdown_deg(self) -> Array:
        """From the opening of the exhaust to that of the transfers. [deg]"""
        return self.transfer_opens_deg - self.exhaust_opens_deg

    def working(self, at: int = 0) -> Working:
        """How the timing came about."""
        return Working(
            title="port timing",
            formula=f"{FORMULA}, solved for θ; open for 2(180° − θ); x = edge from the deck − crown below the deck",
            inputs=(
                quantity_at("upper edge of the exhaust from the deck", self.exhaust_edge_mm, at, "mm"),
                quantity_at("upper edge of the transfers from the deck", self.transfer_edge_mm, at, "mm"),
                quantity_at("crown below the deck at top centre", self.deck_mm, at, "mm"),
                quantity_at("stroke", self.stroke_mm, at, "mm"),
                quantity_at("rod, centre to centre l", self.rod_mm, at, "mm"),
                quantity_at("exhaust opens after top centre", self.exhaust_opens_deg, at, "deg"),
                quantity_at("transfers open after top centre", self.transfer_opens_deg, at, "deg"),
                quantity_at("exhaust open for", self.exhaust_deg, at, "deg"),
                quantity_at("transfers open for", self.transfer_deg, at, "deg"),
            ),
            result=quantity_at("blowdown", self.blowdown_deg, at, "deg"),
            validity=f"{VALIDITY}; a flat crown, or edges measured against the crown's rim",
            source="geometry of the slider-crank; terms as in Blair (1996), 1.4 (from memory)",
            authority="standard",
        )


def edge_from_deck_mm(
    opens_deg: ArrayLike, stroke_mm: ArrayLike, rod_mm: ArrayLike, deck_mm: ArrayLike = 0.0
) -> Array:
    """Distance of a port's upper edge from the deck, from the angle after top centre at which it opens. [mm]

    `deck_mm`: how far the crown stands below the deck at top centre, negative above it; -20 to 50.

    Parameters
    ----------
    opens_deg : array_like
        Opening of the port after top centre, 5 to 180. [deg]
    stroke_mm : array_like
        Stroke, 1 to 2000. [mm]
    rod_mm : array_like
        Length of the rod, 1 to 10,000. [mm]
    deck_mm : array_like
        Crown below the deck, -20 to 50. [mm]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [mm]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> print(f"{edge_from_deck_mm(opens_deg=95.0, stroke_mm=54.0, rod_mm=110.0, deck_mm=0.5):.4g}")
    33.19
    """
    angle = PORT_OPENS_DEG.checked(opens_deg)
    return travel_mm(angle, stroke_mm, rod_mm) + DECK_MM.checked(deck_mm)


def open_for_deg(opens_deg: ArrayLike) -> Array:
    """How long a port is open that opens at an angle after top centre. [deg]"""
    return 2.0 * (180.0 - PORT_OPENS_DEG.checked(opens_deg))


def port_timing(
    exhaust_edge_mm: ArrayLike,
    transfer_edge_mm: ArrayLike,
    stroke_mm: ArrayLike,
    rod_mm: ArrayLike,
    deck_mm: ArrayLike = 0.0,
) -> PortTiming:
    """Timing of exhaust and transfers from the upper edges of their ports, measured from the deck.

    Parameters
    ----------
    exhaust_edge_mm, transfer_edge_mm : array_like
        From the top face of the cylinder down to the edge. [mm]
    stroke_mm, rod_mm : array_like
        As for `travel_mm`. [mm]
    deck_mm : array_like
        How far the crown stands below the deck at top centre, negative above it. [mm]

    Returns
    -------
    PortTiming

    Raises
    ------
    OutOfRangeError
        Also for an edge that the crown never reaches.

    Examples
    --------
    >>> found = port_timing(
    ...     exhaust_edge_mm=30.0, transfer_edge_mm=40.0, stroke_mm=54.0, rod_mm=110.0, deck_mm=0.5
    ... )
    >>> print(f"{found.blowdown_deg:.4g}")
    22.57
    """
    deck = DECK_MM.checked(deck_mm)
    exhaust = checked("edge of the exhaust from the deck", exhaust_edge_mm, -20.0, 550.0, "mm")
    transfer = checked("edge of the transfers from the deck", transfer_edge_mm, -20.0, 550.0, "mm")
    exhaust, transfer, deck = broadcast(exhaust, transfer, deck)
    first, second = (
        angle_at(exhaust - deck, stroke_mm, rod_mm),
        angle_at(transfer - deck, stroke_mm, rod_mm),
    )
    stroke, rod = np.asarray(stroke_mm, dtype=np.float64), np.asarray(rod_mm, dtype=np.float64)
    return PortTiming(*broadcast(first, second, exhaust, transfer, deck, stroke, rod))
