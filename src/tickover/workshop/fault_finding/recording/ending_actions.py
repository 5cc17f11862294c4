"""Writes that end a session, or take it up again."""

from __future__ import annotations

from datetime import datetime

from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.fault_finding import queries, reasoning
from tickover.workshop.fault_finding.locking import (
    FaultFindingError,
    lock_open_session,
    subject,
    write_answer,
)
from tickover.workshop.fault_finding.models import Answer, Cure, Outcome, Session
from tickover.workshop.fault_finding.session_state import ended_at
from tickover.workshop.kernel import actions as journal
from tickover.workshop.people.models import Person
from tickover.workshop.visits import actions as visit_actions
from tickover.workshop.visits import queries as visits
from tickover.workshop.visits.models import Job

Kind = Outcome.Kind


@journal.locked()
def confirm(
    session: Session, cause_id: str, *, seen_at_the_part: bool, words: str = "", who: Person, at: datetime
) -> Outcome:
    """End with a cause, and open the job of its cure; without a task on the sheet there is no job to open."""
    sheet = lock_open_session(session)
    cause = sheet.cause(cause_id)
    now = reasoning.diagnose(sheet).now
    job = _job(session, cause.task, who, at) if cause.task else None
    row = Outcome(
        session=session,
        kind=Kind.CAUSE,
        cause_id=cause.id,
        share=now.share(cause.id) if now else None,
        seen_at_the_part=seen_at_the_part,
        ruled_out=list(sheet.ruled_out),
        words=words.strip(),
        job=job,
        by=who,
        at=at,
    )
    return _record(row, who, at)


@journal.locked()
def end_with(session: Session, kind: str, words: str, *, who: Person, at: datetime) -> Outcome:
    """End with something that is on no list, in words; or without having found it."""
    sheet = lock_open_session(session)
    if kind not in (Kind.OTHER, Kind.NOT_FOUND):
        raise FaultFindingError(f"“{kind}” is no way for a session to end. Nothing was changed.")
    if kind == Kind.OTHER and not words.strip():
        raise FaultFindingError("Type what it was. Nothing was changed.")
    row = Outcome(
        session=session, kind=kind, words=words.strip(), ruled_out=list(sheet.ruled_out), by=who, at=at
    )
    return _record(row, who, at)


@journal.locked()
def take_up(session: Session, words: str, *, who: Person, at: datetime) -> Outcome:
    """Go on with a session that had ended: the fault is still there, or the end was a mistake."""
    if queries.session_sheet(session).open:
        raise FaultFindingError(f"Fault finding {session.number} is open. Nothing was changed.")
    if not words.strip():
        raise FaultFindingError("Type why it is reopened. Nothing was changed.")
    return _record(Outcome(session=session, kind=Kind.TAKEN_UP, words=words.strip(), by=who, at=at), who, at)


@journal.locked()
def say_whether_cured(session: Session, words: str = "", *, cured: bool, who: Person, at: datetime) -> Cure:
    """Say what putting the cause right did. If the fault stayed, the cause is ruled out and the session goes on."""
    end = _put_right(session)
    row = Cure(
        outcome=end,
        cured=cured,
        words=words.strip()[:500],
        engine_h=engine_time.total_time(session.engine).hours_h,
        by=who,
        at=at,
    )
    kind = "trouble: cured" if cured else "trouble: not cured"
    journal.record(row, kind, subject(session), actor=who.username, at=at)
    if not cured:
        said = words.strip() or "It was fixed, and the fault is still there."
        _record(Outcome(session=session, kind=Kind.TAKEN_UP, words=said, by=who, at=at), who, at)
        write_answer(
            session, Answer.About.CAUSE, end.cause_id, Answer.State.RULED_OUT, who, at, "Fixed; still there"
        )
    return row


def _put_right(session: Session) -> Outcome:
    """The end with a cause whose cure is done and of which nobody said yet what came of it."""
    sheet = queries.session_sheet(session)
    end = sheet.outcome
    if end is None or end.kind != Kind.CAUSE:
        raise FaultFindingError(
            f"Fault finding {session.number} did not end with a cause. Nothing was changed."
        )
    if sheet.cure is not None:
        raise FaultFindingError(f"{sheet.cure.by} said already whether it was cured. Nothing was changed.")
    if end.job is not None and ended_at(end.job) is None:
        raise FaultFindingError(
            f"Visit {end.job.number} is still open: finish it first. Nothing was changed."
        )
    return end


def _job(session: Session, task_id: str, who: Person, at: datetime) -> Job:
    """The job that is open for the cure already, else a new one."""
    if running := visits.open_job_for(session.engine, task_id):
        return running
    try:
        return visit_actions.open_job(session.engine, task_id, who=who, at=at)
    except (visit_actions.VisitError, LookupError) as error:
        raise FaultFindingError(f"{error} The session stays open.") from error


def _record(row: Outcome, who: Person, at: datetime) -> Outcome:
    journal.record(row, f"trouble: {row.kind}", subject(row.session), actor=who.username, at=at)
    return row
