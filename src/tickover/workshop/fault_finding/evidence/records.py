"""What the workshop has already and a session can take as an answer: readings of the bench, and run-ups."""

from __future__ import annotations

from datetime import datetime
from itertools import chain

from tickover.workshop.fault_finding.evidence import from_readings, from_run_ups
from tickover.workshop.fault_finding.evidence.offer import RecordOffer
from tickover.workshop.fault_finding.session_state import SessionSheet


def offers(sheet: SessionSheet, at: datetime) -> list[RecordOffer]:
    """Of each finding or test the newest record that says something of it and is not answered for yet."""
    both = chain(from_readings.offers(sheet, at), from_run_ups.offers(sheet, at))
    newest: dict[str, RecordOffer] = {}
    for offer in sorted(both, key=lambda offer: offer.at):
        newest[offer.item] = offer
    return list(newest.values())
