"""Writes of fault-finding: start a session, answer, take an answer back, note what is open."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils.timezone import localdate

from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.fault_finding import queries
from tickover.workshop.fault_finding.evidence import from_run_ups
from tickover.workshop.fault_finding.locking import (
    FaultFindingError,
    known_look,
    lock_open_session,
    subject,
    write_answer,
)
from tickover.workshop.fault_finding.models import Answer, Session
from tickover.workshop.fault_finding.recording import record_actions
from tickover.workshop.fault_finding.session_state import SessionSheet
from tickover.workshop.kernel import actions as journal
from tickover.workshop.kernel.idempotency import ask_again_of
from tickover.workshop.kernel.numbering import next_number
from tickover.workshop.people.models import Person
from tickover.workshop.register import queries as register
from tickover.workshop.register.models import Engine
from tickover.workshop.visits.models import Job

__all__ = ["FaultFindingError", "NewSession", "answer", "note_open", "rule_out", "start", "take_back"]

COMPLAINT_MAX = 4000
About, State = Answer.About, Answer.State
LOOKED = (State.SEEN, State.ABSENT)
LOOK_STATES = (*LOOKED, State.NOT_LOOKED, State.CANNOT)


@dataclass(frozen=True)
class NewSession:
    """The complaint word for word, what it says at once, and what it came back after."""

    complaint: str
    seen: Sequence[str] = ()
    absent: Sequence[str] = ()
    follows: Session | None = None
    follows_job: Job | None = None


def start(engine: Engine, new: NewSession, *, who: Person, at: datetime) -> Session:
    """Start a session. Records that speak for themselves are counted at once, and can be refused."""
    from_run_ups.listen(engine, at)
    with journal.locked():
        return _start(engine, new, who, at)


def _start(engine: Engine, new: NewSession, who: Person, at: datetime) -> Session:
    _may_start(engine, new)
    same = Session.objects.filter(
        engine=engine, complaint__iexact=new.complaint, started_at__date=localdate(at)
    )
    if earlier := same.first():
        ask_again_of(f"this complaint as {earlier.number}", localdate(at), earlier.started_by)
    session = Session(
        number=next_number(Session, at),
        engine=engine,
        sheet=register.newest_sheet_version(engine.sheet_id),
        complaint=new.complaint,
        engine_h=engine_time.total_time(engine).hours_h,
        follows=new.follows,
        follows_job=new.follows_job,
        started_by=who,
        started_at=at,
    )
    journal.record(
        session, "trouble noted", subject(session), actor=who.username, at=at, engine=engine.serial
    )
    said = {**dict.fromkeys(new.absent, State.ABSENT), **dict.fromkeys(new.seen, State.SEEN)}
    for item, state in said.items():
        _look(queries.session_sheet(session), item, state, who=who, at=at, words="From the complaint")
    record_actions.count_records(queries.session_sheet(session), who=who, at=at)
    record_actions.weigh_records(queries.session_sheet(session), who=who, at=at)
    return session


def answer(
    session: Session, answers: Mapping[str, str], *, who: Person, at: datetime, words: str = ""
) -> None:
    """Note what looks gave: seen, not there, not looked, cannot be done here.

    What the records say since the last answer is counted before it.
    """
    from_run_ups.listen(session.engine, at)
    with journal.locked():
        record_actions.count_records(lock_open_session(session), who=who, at=at)
        for item, state in answers.items():
            _look(lock_open_session(session), item, state, who=who, at=at, words=words)


@journal.locked()
def take_back(session: Session, answer_id: int, *, who: Person, at: datetime) -> Answer:
    """Take an answer back by a new entry; what was recorded stays in the journal."""
    sheet = lock_open_session(session)
    gone = next((a for a in sheet.live if a.pk == answer_id), None)
    if gone is None:
        raise FaultFindingError("That answer was taken back already. Nothing was changed.")
    row = Answer(
        session=session,
        about=gone.about,
        item=gone.item,
        state=State.TAKEN_BACK,
        takes_back=gone,
        by=who,
        at=at,
    )
    journal.record(row, "answer taken back", subject(session), actor=who.username, at=at)
    return row


@journal.locked()
def rule_out(session: Session, cause_id: str, *, who: Person, at: datetime, words: str = "") -> Answer:
    """Note that the part itself was looked at, or renewed, and is not the cause."""
    cause = lock_open_session(session).cause(cause_id)
    return write_answer(session, About.CAUSE, cause.id, State.RULED_OUT, who, at, words)


@journal.locked()
def note_open(session: Session, opened: Sequence[str], *, who: Person, at: datetime) -> None:
    """Note which openings are open now; those that they need before them are open with them."""
    sheet = lock_open_session(session)
    before, wanted = sheet.bench.open_now, set(_with_needed(sheet, opened))
    for item in sorted(wanted - before):
        write_answer(session, About.OPENING, item, State.OPEN, who, at)
    for item in sorted(before - wanted):
        write_answer(session, About.OPENING, item, State.CLOSED, who, at)


def _may_start(engine: Engine, new: NewSession) -> None:
    if not new.complaint.strip():
        raise FaultFindingError("Type what the owner says. Nothing was started.")
    if len(new.complaint) > COMPLAINT_MAX:
        raise FaultFindingError(
            f"The complaint is longer than {COMPLAINT_MAX:,} characters. Nothing was started."
        )
    after = new.follows or new.follows_job
    if after is not None and after.engine_id != engine.pk:
        raise FaultFindingError(f"Number {after.number} is of another engine. Nothing was started.")
    if register.build_of(engine).faults is None:
        raise FaultFindingError(
            f"The type sheet of {engine.name} has no table of faults, so there is nothing to reason with. "
            "Nothing was started."
        )


def _look(sheet: SessionSheet, item: str, state: str, *, who: Person, at: datetime, words: str = "") -> None:
    known_look(sheet, item)
    if state not in LOOK_STATES:
        raise FaultFindingError(f"“{state}” is not an answer to a check. Nothing was changed.")
    if state in LOOKED and item in unphotographed(sheet):
        raise FaultFindingError(
            f"“{sheet.titles[item]}” destroys evidence. Photograph it as found first, or type where the "
            "photo is or why there is none. Nothing was changed."
        )
    write_answer(sheet.session, About.LOOK, item, state, who, at, words)


def unphotographed(sheet: SessionSheet) -> frozenset[str]:
    """Tests that take evidence away, and before which nothing was photographed yet."""
    tests = {test.id for test in sheet.faults.tests if test.destroys_evidence}
    return frozenset(tests - sheet.bench.photographed)


def _with_needed(sheet: SessionSheet, opened: Sequence[str]) -> list[str]:
    found: list[str] = []
    waiting = list(opened)
    while waiting:
        group = sheet.sheet.access_group(waiting.pop())
        if group.id not in found:
            found.append(group.id)
            waiting += group.requires
    return found
