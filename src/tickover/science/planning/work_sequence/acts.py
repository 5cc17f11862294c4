"""What a step of a work card does to the engine, as far as an order of steps can be judged by it.

Common practice, no source: what an act opens, spoils, proves or needs is said by the type sheet; nothing here knows
an engine. Times are in minutes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from tickover.science.core.input_checks import checked_one
from tickover.science.core.kinds import checked_fields

__all__ = ["Act", "StepOfCard", "Wait"]

MOST_MIN = 1e5
"""Two hundred working days: nothing on a small engine takes longer. [min]"""


@dataclass(frozen=True)
class Wait:
    """Time between act `act` and the one that waits: at least, and at most where there is a most. [min]"""

    act: str
    at_least_min: float = 0.0
    within_min: float | None = None

    def __post_init__(self) -> None:
        checked_fields(self)
        checked_one("at_least_min", self.at_least_min, 0.0, MOST_MIN, "min")
        if self.within_min is not None:
            checked_one("within_min", self.within_min, self.at_least_min, MOST_MIN, "min")


@dataclass(frozen=True)
class Act:
    """One act, by its id. [min]

    `opens`, `closes`, `inside`, `closed`: openings it opens, closes, is done behind, or needs closed. `motion`: still,
    turned, cranked or running. `needs`, `leaves`: states by name. `evidence` is read by it, `spoils` is gone after
    it. `proves`, `voids`: properties. `relies_on`: acts that must come before it; `after`: that come before it where
    they are done. `covers`: acts it does as well. `puts_in`, `takes_out`: things that are counted.
    """

    id: str
    minutes: float = 0.0
    hands_free_min: float = 0.0
    object: str = ""
    action: str = ""
    place: str = ""
    area: str = ""
    opens: tuple[str, ...] = ()
    closes: tuple[str, ...] = ()
    inside: tuple[str, ...] = ()
    closed: tuple[str, ...] = ()
    motion: str = "still"
    needs: Mapping[str, str] = field(default_factory=dict)
    leaves: Mapping[str, str] = field(default_factory=dict)
    evidence: tuple[str, ...] = ()
    spoils: tuple[str, ...] = ()
    proves: tuple[str, ...] = ()
    voids: tuple[str, ...] = ()
    relies_on: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    covers: tuple[str, ...] = ()
    puts_in: tuple[str, ...] = ()
    takes_out: tuple[str, ...] = ()
    waits: tuple[Wait, ...] = ()

    def __post_init__(self) -> None:
        checked_fields(self)
        checked_one("minutes", self.minutes, 0.0, MOST_MIN, "min")
        checked_one("hands_free_min", self.hands_free_min, 0.0, MOST_MIN, "min")


@dataclass(frozen=True)
class StepOfCard:
    """A step of a card: its id there, what it does, and what waits until its second check is in. `reading`: what is
    read at it, and where; two steps that read different things are not the same.
    """

    id: str
    act: Act
    second_check: bool = False
    hold_before: tuple[str, ...] = ()
    no_hold: bool = False
    reading: str = ""
