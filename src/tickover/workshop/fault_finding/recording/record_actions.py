"""Writes that rest on the workshop's records: readings and run-ups as answers, work done and overdue as weights."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from tickover.workshop.fault_finding import queries
from tickover.workshop.fault_finding.evidence import prior_adjustments, records
from tickover.workshop.fault_finding.locking import (
    FaultFindingError,
    lock_open_session,
    subject,
    write_answer,
)
from tickover.workshop.fault_finding.models import Answer, Session, Weighting
from tickover.workshop.fault_finding.session_state import SessionSheet
from tickover.workshop.kernel import actions as journal
from tickover.workshop.people.models import Person
from tickover.workshop.register.models import Engine

About, State = Answer.About, Answer.State


@journal.locked()
def use_record(
    session: Session, rests_on: str, items: Sequence[str], *, counts: bool, who: Person, at: datetime
) -> None:
    """Count what a reading or a run-up says of some looks as answers, or say that it does not count."""
    sheet = lock_open_session(session)
    offered = {o.item: o for o in records.offers(sheet, at) if o.rests_on == rests_on}
    for item in items:
        if item not in offered:
            raise FaultFindingError("That record is answered for already. Nothing was changed.")
        state = offered[item].state if counts else State.REFUSED
        write_answer(session, About.LOOK, item, state, who, at, offered[item].words, rests_on)


@journal.locked()
def count_new_records(engine: Engine, *, who: Person, at: datetime) -> list[Session]:
    """Count what came in while an engine's trouble is open, such as a run-up; returns the sessions it counted in."""
    sheets = (queries.session_sheet(session) for session in queries.open_sessions(engine))
    return [sheet.session for sheet in sheets if count_records(sheet, who=who, at=at)]


def count_records(sheet: SessionSheet, *, who: Person, at: datetime) -> int:
    """Count what counts by itself, inside the caller's transaction; each can be taken back. Returns how many."""
    by_themselves = [offer for offer in records.offers(sheet, at) if offer.counts_by_itself]
    for o in by_themselves:
        write_answer(sheet.session, About.LOOK, o.item, o.state, who, at, o.words, o.rests_on)
    return len(by_themselves)


def weigh_records(sheet: SessionSheet, *, who: Person, at: datetime) -> None:
    """Write down what the records say before any look, inside the caller's transaction."""
    for ground in prior_adjustments.prior_adjustments(sheet, at):
        row = Weighting(
            session=sheet.session,
            ground=ground.key,
            causes=list(ground.causes),
            factor=ground.factor,
            words=ground.words,
            by=who,
            at=at,
        )
        journal.record(row, "record weighed", subject(sheet.session), actor=who.username, at=at)


@journal.locked()
def weigh_again(
    session: Session, ground: str, factor: float, why: str = "", *, who: Person, at: datetime
) -> Weighting:
    """Let a record count for more, for less, or for nothing (1)."""
    sheet = lock_open_session(session)
    was = next((row for row in sheet.weightings if row.ground == ground), None)
    if was is None:
        raise LookupError(f"nothing of this session rests on {ground!r}")
    if factor not in prior_adjustments.FACTORS:
        offered = ", ".join(f"{f:g}" for f in prior_adjustments.FACTORS)
        raise FaultFindingError(f"A record counts {offered} times, not {factor:g}. Nothing was changed.")
    if factor == was.factor:
        raise FaultFindingError(f"It counts {factor:g} times already. Nothing was changed.")
    row = Weighting(
        session=session,
        ground=ground,
        causes=was.causes,
        factor=factor,
        words=was.words,
        why=why.strip()[:300],
        by=who,
        at=at,
    )
    journal.record(row, "record weighed again", subject(session), actor=who.username, at=at)
    return row
