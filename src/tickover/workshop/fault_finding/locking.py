"""What every write of fault-finding goes through: the session held open, and one row with its entry."""

from __future__ import annotations

from datetime import datetime

from tickover.workshop.fault_finding import queries
from tickover.workshop.fault_finding.models import Answer, Session
from tickover.workshop.fault_finding.session_state import SessionSheet
from tickover.workshop.kernel import actions as journal
from tickover.workshop.kernel.refusal import RefusedError
from tickover.workshop.people.models import Person

WORDS_MAX = 500


class FaultFindingError(RefusedError):
    """The session refuses; the text is a sentence for the person who tried."""


def lock_open_session(session: Session) -> SessionSheet:
    """The session as it stands, held for a write. Raises FaultFindingError where it ended."""
    journal.one_writer_at_a_time()
    sheet = queries.session_sheet(session)
    if not sheet.open:
        assert sheet.outcome is not None
        raise FaultFindingError(
            f"Fault finding {session.number} ended already ({sheet.outcome.kind}, {sheet.outcome.by}). "
            "Take it up again first. Nothing was changed."
        )
    return sheet


def known_look(sheet: SessionSheet, item: str) -> None:
    """Raises LookupError where this build has no such finding or test."""
    if item not in {row.id for row in sheet.faults.shown}:
        raise LookupError(f"this build's sheet has no finding or test {item!r}")


def write_answer(
    session: Session,
    about: str,
    item: str,
    state: str,
    who: Person,
    at: datetime,
    words: str = "",
    rests_on: str = "",
) -> Answer:
    """One answer with its journal entry, inside the caller's transaction."""
    row = Answer(
        session=session,
        about=about,
        item=item,
        state=state,
        words=words.strip()[:WORDS_MAX],
        rests_on=rests_on,
        by=who,
        at=at,
    )
    journal.record(row, f"{about} {state}", subject(session), actor=who.username, at=at)
    return row


def subject(session: Session) -> str:
    return f"trouble/{session.number}"
