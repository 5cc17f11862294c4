"""Every calculation that can be asked, room by room. Imports the science and the pictures; no web framework."""

from __future__ import annotations

from tickover.workshop.calculations.calculation import Calculation
from tickover.workshop.calculations.catalogue import (
    balance,
    crank,
    cylinder,
    drive,
    fuel,
    gauges,
    leak,
    lever,
    mixture,
    propeller,
    screws,
    weather,
    wrench,
)

_ROOMS = (
    weather,
    mixture,
    lever,
    fuel,
    leak,
    cylinder,
    crank,
    wrench,
    screws,
    drive,
    propeller,
    balance,
    gauges,
)
SUMS: dict[str, Calculation] = {found.id: found for room in _ROOMS for found in room.SUMS}


def by_room() -> dict[str, list[Calculation]]:
    """The sums under the part of the engine they are about."""
    rooms: dict[str, list[Calculation]] = {}
    for found in SUMS.values():
        rooms.setdefault(found.room, []).append(found)
    return rooms
