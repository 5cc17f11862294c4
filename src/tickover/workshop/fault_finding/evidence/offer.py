"""A record of the workshop that may be counted as an answer."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from tickover.workshop.fault_finding.models import Answer
from tickover.workshop.fault_finding.session_state import SessionSheet


@dataclass(frozen=True)
class RecordOffer:
    """What a record would answer, in words. `at`: when it was taken; `counts_by_itself`: unless it is refused."""

    item: str
    state: str
    words: str
    rests_on: str
    at: datetime
    counts_by_itself: bool


def unanswered(sheet: SessionSheet, offers: Iterable[RecordOffer]) -> list[RecordOffer]:
    """Those of this build that nobody took or refused, and after which nobody looked; of an item the first."""
    items, found = {row.id for row in sheet.faults.shown}, dict[str, RecordOffer]()
    for offer in offers:
        free = (offer.rests_on, offer.item) not in sheet.rested_on
        if offer.item in items and free and not _answered_since(sheet, offer):
            found.setdefault(offer.item, offer)
    return list(found.values())


def _answered_since(sheet: SessionSheet, offer: RecordOffer) -> bool:
    """Whether somebody answered this after the record was taken: the later look counts."""
    answer = sheet.counting.get((Answer.About.LOOK, offer.item))
    return answer is not None and answer.at >= offer.at
