"""Acts: what the steps of the cards do, in one vocabulary, so that cards can be checked by computing and merged.

A step does the act that it names in `does`, or else the one of its own id. Two steps that do one act, on whatever
cards, are the same work: done once in a visit, it serves both.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from tickover.sheets.schema.drawings import DrawingName
from tickover.sheets.schema.rows import BuildRow, Id, NotNegative, Row

Action = Literal[
    "secure", "photograph", "take off", "open", "look", "feel", "measure", "test", "clean", "renew", "fit",
    "set", "tighten", "close", "fill", "drain", "run", "stop", "wait", "count", "write", "decide",
]  # fmt: skip
Area = Literal[
    "papers", "fuel", "carburettor", "intake", "ignition", "top end", "exhaust", "crankcase", "drive", "propeller",
    "starter", "mounts", "frame", "controls", "run",
]  # fmt: skip


class State(Row):
    """What the engine is like: a key left out is not asked for, or not changed.

    What is open is no state: openings say it, the plug hole ("plug-out"), the air box and the propeller among them.
    """

    temperature: Literal["cold", "hand-warm", "hot"] | None = None
    cap: Literal["on", "off"] | None = None
    stop: Literal["grounded", "free"] | None = None
    fuel: Literal["open", "closed", "drained"] | None = None
    throttle: Literal["closed", "open"] | None = None
    machine: Literal["strapped", "loose"] | None = None

    def asked(self) -> dict[str, str]:
        """What is named, by its key."""
        return {key: value for key, value in self.model_dump().items() if value is not None}


class WaitRow(Row):
    """Time between an act and this one: at least, and at most, where both are on the card. [min]"""

    act: Id
    at_least_min: NotNegative = 0.0
    within_min: NotNegative | None = None


class ActRow(BuildRow):
    """One act: `action` on `object`, at `place` where it is done at several. [min]

    `opens`, `closes`, `inside`: openings (access groups or joints) it opens, closes, or is done behind.
    `closed`: openings that must be closed for it to prove anything, such as the joint that holds a pressure.
    `motion`: what the engine does meanwhile. `needs`, `leaves`: the state it asks for, and the one it leaves.
    `evidence`: what it reads off the engine as it came in; `spoils`: the evidence that is gone after it.
    `proves`: what is so once it is done well; `voids`: what has to be proved again after it.
    `relies_on`: acts without which it means nothing, done before it on the same card; `after`: acts that come first
    where they are done at all. `covers`: lesser acts that this one does as well.
    `puts_in`, `takes_out`: cloths, caps, plates, bungs: each is counted out before a run and before the end.
    `minutes` of work, `hands_free_min` of them waiting.
    `drawing`: what is shown at every step that does it, with the limits of `figures` written in.
    """

    id: Id
    object: Id
    action: Action
    area: Area
    place: str = ""
    minutes: NotNegative
    hands_free_min: NotNegative = 0.0
    opens: tuple[Id, ...] = ()
    closes: tuple[Id, ...] = ()
    inside: tuple[Id, ...] = ()
    closed: tuple[Id, ...] = ()
    motion: Literal["still", "turned", "cranked", "running"] = "still"
    needs: State = State()
    leaves: State = State()
    evidence: tuple[Id, ...] = ()
    spoils: tuple[Id, ...] = ()
    proves: tuple[Id, ...] = ()
    voids: tuple[Id, ...] = ()
    relies_on: tuple[Id, ...] = ()
    after: tuple[Id, ...] = ()
    covers: tuple[Id, ...] = ()
    puts_in: tuple[Id, ...] = ()
    takes_out: tuple[Id, ...] = ()
    waits: Annotated[tuple[WaitRow, ...], Field(max_length=5)] = ()
    drawing: DrawingName = ""
    figures: tuple[Id, ...] = ()
