"""Readings that the bench has already, as findings: which reading outside which limit is which finding seen.

The table names limits and findings of type sheets by their ids; what a build does not have is passed over.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from tickover.language.amounts import day, units
from tickover.science.core.decimals import format_reading
from tickover.sheets import LimitRow
from tickover.workshop.fault_finding.evidence.offer import RecordOffer, unanswered
from tickover.workshop.fault_finding.evidence.trends import reading_trend
from tickover.workshop.fault_finding.models import Answer
from tickover.workshop.fault_finding.session_state import SessionSheet
from tickover.workshop.visits import queries as visits
from tickover.workshop.visits.models import Reading

BY_ITSELF = timedelta(days=365)
"""An older reading is offered, and not counted by itself."""
NEAR = 0.1
"""Nearer to a limit than this share of the room between the limits, or of a single limit."""


@dataclass(frozen=True)
class Tells:
    """What is seen when a limit's reading is below its lower or above its upper limit; "" for nothing."""

    below: str = ""
    above: str = ""

    @property
    def absent_inside(self) -> str:
        """A test that is done by this reading, and is "not there" when the reading is inside."""
        return self.below if self.below == self.above else ""


def _either(item: str) -> Tells:
    return Tells(item, item)


TOLD_BY: dict[str, Tells] = {
    "compression": _either("compression"),
    "compression-decompression": _either("compression"),
    "case-pressure-loss": _either("case-pressure"),
    "case-vacuum-loss": _either("case-vacuum"),
    "inlet-hold": _either("carburettor-hold"),
    "pop-off": _either("pop-off-test"),
    "reseat": _either("pop-off-test"),
    "lever-height": _either("lever-height-test"),
    "lever-height-flush": _either("lever-height-test"),
    "pulse-swing": _either("pulse-test"),
    "reed-gap": _either("reeds-look"),
    "squish": _either("squish-test"),
    "timing": _either("timing"),
    "crank-run-out": _either("crank-play"),
    "crank-end-float": _either("crank-play"),
    "big-end-radial": _either("crank-play"),
    "cable-slack": _either("throttle-cable"),
    "clutch-engagement": _either("clutch-look"),
    "gearbox-chip": _either("gearbox-look"),
    "belt-frequency": _either("belt-note"),
    "track-spread": _either("propeller-check"),
    "static-imbalance": _either("propeller-check"),
    "static-rpm": Tells(below="static-rpm-low", above="static-rpm-high"),
    "cht": Tells(above="cht-high"),
    "egt": Tells(above="egt-high"),
}


def offers(sheet: SessionSheet, at: datetime) -> list[RecordOffer]:
    """The newest reading of each limit that says something here and is not answered for yet."""
    by_limit = readings_by_limit(sheet)
    return unanswered(sheet, (offer for rows in by_limit.values() for offer in _offer(sheet, rows, at)))


def readings_by_limit(sheet: SessionSheet) -> dict[str, list[Reading]]:
    """Readings of this engine by the limit they were held against, newest first."""
    by_limit: dict[str, list[Reading]] = defaultdict(list)
    for reading in visits.readings_of(sheet.session.engine):
        by_limit[reading.limit_id].append(reading)
    return by_limit


def _offer(sheet: SessionSheet, rows: list[Reading], at: datetime) -> Iterator[RecordOffer]:
    reading = rows[0]
    limit = next((row for row in sheet.sheet.limits if row.id == reading.limit_id), None)
    tells = TOLD_BY.get(reading.limit_id)
    if limit is None or tells is None:
        return
    side = _side(limit, reading.value)
    new = at - reading.at <= BY_ITSELF
    if reading.decision == "outside" and side:
        item, counts = getattr(tells, side), new
        yield _made(item, Answer.State.SEEN, limit, reading, f"outside its limit, {side}", counts)
    elif near := _near(limit, reading.value):
        yield _made(getattr(tells, near), Answer.State.SEEN, limit, reading, "inside, near its limit", False)
    elif (going := reading_trend(rows, limit, sheet.session.engine_h)) and getattr(tells, going.side):
        how = f"inside; by {len(rows)} readings it goes {going.side} its limit at about {going.reach.at_h:.0f} h"
        yield _made(getattr(tells, going.side), Answer.State.SEEN, limit, reading, how, False)
    elif reading.decision == "inside" and reading.at >= sheet.session.started_at:
        yield _made(tells.absent_inside, Answer.State.ABSENT, limit, reading, "inside its limits", True)


def _made(item: str, state: str, limit: LimitRow, reading: Reading, how: str, counts: bool) -> RecordOffer:
    value = format_reading(reading.value, limit.resolution, limit.lower, limit.upper)
    words = (
        f"{limit.title}: {value} {units(limit.unit)}, {how} (visit {reading.job.number}, {day(reading.at)})"
    )
    return RecordOffer(item, state, words, f"reading/{reading.entry_sequence}", reading.at, counts)


def _side(limit: LimitRow, value: float) -> str:
    if limit.lower is not None and value < limit.lower:
        return "below"
    return "above" if limit.upper is not None and value > limit.upper else ""


def _near(limit: LimitRow, value: float) -> str:
    """Which limit a value inside is near to; a limit of 0 has nothing near to it."""
    both = limit.lower is not None and limit.upper is not None
    for side, edge in (("below", limit.lower), ("above", limit.upper)):
        if edge is None or not edge:
            continue
        room = abs(limit.upper - limit.lower) if both else abs(edge)  # type: ignore[operator]
        if abs(value - edge) <= NEAR * room:
            return side
    return ""
