"""Writes of engine time: typed hours, a track log, an entry withdrawn."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime

from django.utils.timezone import localdate

from tickover.science.engine_time.reconciling import Source, is_better, share
from tickover.workshop.engine_time import at_a_time, reconciling
from tickover.workshop.engine_time.reading_logs import ReadLog, read_track_log
from tickover.workshop.kernel import actions as journal
from tickover.workshop.kernel import evidence_files
from tickover.workshop.kernel.idempotency import ask_again_of
from tickover.workshop.people.models import Person
from tickover.workshop.register.actions import RegisterError, evidence_row, subject_of
from tickover.workshop.register.locking import lock_engine
from tickover.workshop.register.models import Engine, EngineTimeEntry, EvidenceFile

TYPED_GRADES = ("log entry", "owner's word", "estimate")


SAME_H = 1e-6


@dataclass(frozen=True)
class TypedHours:
    """Engine time that no recorder measured: how long, how sure (standard deviation), and by what."""

    hours_h: float
    sd_h: float
    on_day: date
    grade: str
    method: str


@journal.locked()
def enter_hours(engine: Engine, typed: TypedHours, *, who: Person, at: datetime) -> EngineTimeEntry:
    """Enter engine time that rests on a log, a receipt or somebody's word."""
    if not 0.0 <= typed.hours_h < 20_000.0:
        raise RegisterError(f"{typed.hours_h:g} h cannot be an engine's time. Nothing was entered.")
    if typed.on_day > localdate(at):
        raise RegisterError(f"{typed.on_day:%d %b %Y} is still to come. Nothing was entered.")
    if typed.grade not in TYPED_GRADES:
        raise RegisterError(f"Hours are entered by {', '.join(TYPED_GRADES)}. Nothing was entered.")
    _ask_about_equal_hours(engine, typed)
    row = EngineTimeEntry(
        engine=engine,
        on_day=typed.on_day,
        duration_h=typed.hours_h,
        sd_h=typed.sd_h,
        grade=typed.grade,
        method=typed.method,
        remarks=_same_day(reconciling.logs(engine, *reconciling.the_day(typed.on_day)), "track log"),
        entered_by=str(who),
    )
    journal.record(row, "engine time entered", subject_of(engine), actor=who.username, at=at)
    reconciling.settle(engine, reconciling.span_of(row), who=who, at=at)
    return row


def add_track_log(engine: Engine, data: bytes, name: str, *, who: Person, at: datetime) -> EngineTimeEntry:
    """Add the engine time in a track log. Raises FormatError or RegisterError; then nothing is added.

    Minutes that a better record covers are left to it, and a lesser one leaves its own to this log: the
    entry returned is the one that counts.
    """
    sha256 = evidence_files.sha256_of(data)
    _refuse_a_file_added_before(sha256)
    read = read_track_log(data)
    if read.log.start > at:
        raise RegisterError(
            f"This track log starts on {read.log.start:%d %b %Y at %H:%M} UTC, which is still to come. "
            "Check the recorder's clock. Nothing was added."
        )
    with journal.locked():
        # Looked at again inside the transaction: two people may drop the same file at once.
        lock_engine(engine.pk)
        _refuse_a_file_added_before(sha256)
        _refuse_an_overlap(engine, read)
        evidence_files.keep(data)
        evidence = evidence_row(sha256, name, len(data), who, at)
        entry = _enter_track_log(engine, read, evidence, who, at)
        reconciling.settle(engine, (read.log.start, read.log.end), who=who, at=at)
        return at_a_time.newest(entry)


def _enter_track_log(
    engine: Engine, read: ReadLog, evidence: EvidenceFile, who: Person, at: datetime
) -> EngineTimeEntry:
    on_day = localdate(read.log.start)
    row = EngineTimeEntry(
        engine=engine,
        on_day=on_day,
        started_at=read.log.start,
        ended_at=read.log.end,
        duration_h=read.found.duration_h,
        sd_h=read.found.u_h,
        starts=read.found.starts,
        grade=read.found.grade,
        method=read.found.method,
        remarks=[
            *read.found.remarks,
            *_same_day(reconciling.typed_for(engine, on_day), "entry"),
        ],
        runs=[[t.isoformat() for t in read.span(run)] for run in read.found.runs],
        evidence=evidence,
        entered_by=str(who),
    )
    journal.record(row, "engine time added", subject_of(engine), actor=who.username, at=at)
    return row


@journal.locked()
def withdraw(entry: EngineTimeEntry, reason: str, *, who: Person, at: datetime) -> EngineTimeEntry:
    """Take an entry out of the sum by a new one that names it and says why. Both stay visible."""
    if not reason.strip():
        raise RegisterError("Type why this entry is withdrawn. Nothing was changed.")
    lock_engine(entry.engine_id)
    if EngineTimeEntry.objects.filter(replaces=entry).exists():
        raise RegisterError("This entry was replaced already. Nothing was changed.")
    row = EngineTimeEntry(
        engine=entry.engine,
        on_day=entry.on_day,
        duration_h=0.0,
        sd_h=0.0,
        grade=entry.grade,
        method="withdrawn",
        remarks=[reason.strip()],
        entered_by=str(who),
        replaces=entry,
    )
    more = {"replaces_entry": entry.entry_sequence, "reason": reason.strip()}
    journal.record(row, "engine time withdrawn", subject_of(entry.engine), actor=who.username, at=at, **more)
    reconciling.settle(entry.engine, reconciling.span_of(entry), who=who, at=at)
    return row


def _ask_about_equal_hours(engine: Engine, typed: TypedHours) -> None:
    near = (typed.hours_h - SAME_H, typed.hours_h + SAME_H)
    same = reconciling.typed_for(engine, typed.on_day)
    if earlier := same.filter(grade__in=TYPED_GRADES, duration_h__range=near).first():
        ask_again_of(f"{typed.hours_h:g} h", typed.on_day, earlier.entered_by)


def _refuse_a_file_added_before(sha256: str) -> None:
    entries = EngineTimeEntry.objects.filter(evidence__sha256=sha256, replaced_by=None)
    earlier = entries.select_related("engine").first()
    if earlier:
        raise RegisterError(
            f"This very file was added already, to {earlier.engine.name}, "
            f"as journal entry {earlier.entry_sequence}. Nothing was added."
        )


def _refuse_an_overlap(engine: Engine, read: ReadLog) -> None:
    """Refuse a log of a grade that stands for these minutes already, or one that better ones cover whole."""
    start, end, grade = read.log.start, read.log.end, read.found.grade
    beside = list(reconciling.logs(engine, start, end))
    covered = share(
        Source(start.timestamp(), end.timestamp(), (), grade), [at_a_time.source_of(e) for e in beside]
    )
    for entry in beside:
        if entry.grade == grade or (covered.decides == 0.0 and is_better(entry.grade, grade)):
            raise RegisterError(_overlap_in_words(engine, start, end, entry))


def _overlap_in_words(engine: Engine, start: datetime, end: datetime, entry: EngineTimeEntry) -> str:
    first, last = (t.astimezone(UTC) for t in reconciling.span_of(entry))
    return (
        f"This track log runs from {start:%d %b %Y %H:%M} to {end:%H:%M} UTC and overlaps one that "
        f"{engine.name} has already ({first:%H:%M} to {last:%H:%M}, journal entry {entry.entry_sequence}). "
        "The same minutes are never counted twice, so nothing was added. "
        "Withdraw the earlier entry first if this one is the better record."
    )


def _same_day(entries: Iterable[EngineTimeEntry], what: str) -> list[str]:
    """Hours without a clock cannot be held against a log by the minute: that is asked of a person."""
    notes = [f"{e.duration_h:.2f} h by {e.grade} (journal entry {e.entry_sequence})" for e in entries]
    if not notes:
        return []
    return [f"The same day has another {what}: {', '.join(notes)}. If it is the same flight, withdraw one."]
