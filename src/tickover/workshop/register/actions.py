"""Writes to the register."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime

from django.utils.timezone import localdate

from tickover.science.reconcile import Source, is_better, share
from tickover.sheets import fingerprint, load_sheet
from tickover.workshop.journal import actions as journal
from tickover.workshop.journal.forms import ask_again_of
from tickover.workshop.people.models import Person
from tickover.workshop.register import files, moments, queries, reconciling
from tickover.workshop.register.evidence import ReadLog, read_track_log
from tickover.workshop.register.holding import hold
from tickover.workshop.register.models import Engine, EngineTimeEntry, EvidenceFile, Owner, SheetVersion

TYPED_GRADES = ("log entry", "owner's word", "estimate")
SAME_H = 1e-6


class RegisterError(Exception):
    """Something cannot be entered; the text is a sentence for the person who tried."""


@dataclass(frozen=True)
class NewEngine:
    name: str
    serial: str
    sheet_id: str
    build_id: str
    in_service_on: date


@dataclass(frozen=True)
class TypedHours:
    """Engine time that no recorder measured: how long, how sure (standard deviation), and by what."""

    hours_h: float
    sd_h: float
    on_day: date
    grade: str
    method: str


@journal.locked()
def keep_sheet(text: str, name: str, *, actor: str, at: datetime) -> SheetVersion:
    """Keep a type sheet's text as a version; the same text is kept once."""
    mark = fingerprint(text)
    if kept := SheetVersion.objects.filter(fingerprint=mark).first():
        return kept
    sheet = load_sheet(text, name)
    row = SheetVersion(fingerprint=mark, sheet_id=sheet.id, version=sheet.version, text=text)
    journal.record(row, "type sheet kept", f"sheet/{sheet.id}", actor=actor, at=at)
    return row


@journal.locked()
def add_owner(name: str, *, who: Person, at: datetime) -> Owner:
    row = Owner(name=name)
    journal.record(row, "owner added", f"owner/{name}", actor=who.username, at=at)
    return row


@journal.locked()
def add_engine(new: NewEngine, owner: Owner, *, who: Person, at: datetime) -> Engine:
    sheet = queries.newest_sheet(new.sheet_id)
    sheet.build(new.build_id)
    if Engine.objects.filter(serial=new.serial).exists():
        raise RegisterError(f"An engine with serial {new.serial} is in the register already.")
    row = Engine(owner=owner, **vars(new))
    journal.record(row, "engine added", f"engine/{new.serial}", actor=who.username, at=at)
    return row


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
    journal.record(row, "engine time entered", _subject(engine), actor=who.username, at=at)
    reconciling.settle(engine, reconciling.span_of(row), who=who, at=at)
    return row


def add_track_log(engine: Engine, data: bytes, name: str, *, who: Person, at: datetime) -> EngineTimeEntry:
    """Add the engine time in a track log. Raises FormatError or RegisterError; then nothing is added.

    Minutes that a better record covers are left to it, and a lesser one leaves its own to this log: the
    entry returned is the one that counts.
    """
    sha256 = files.sha256_of(data)
    _refuse_a_file_added_before(sha256)
    read = read_track_log(data)
    if read.log.start > at:
        raise RegisterError(
            f"This track log starts on {read.log.start:%d %b %Y at %H:%M} UTC, which is still to come. "
            "Check the recorder's clock. Nothing was added."
        )
    with journal.locked():
        # Looked at again inside the transaction: two people may drop the same file at once.
        hold(engine.pk)
        _refuse_a_file_added_before(sha256)
        _refuse_an_overlap(engine, read)
        files.keep(data)
        evidence = _evidence(sha256, name, len(data), who, at)
        entry = _enter_track_log(engine, read, evidence, who, at)
        reconciling.settle(engine, (read.log.start, read.log.end), who=who, at=at)
        return moments.newest(entry)


def keep_evidence(data: bytes, name: str, *, who: Person, at: datetime) -> EvidenceFile:
    """Keep a file by its hash, inside the caller's transaction; the same bytes are kept once."""
    return _evidence(files.keep(data), name, len(data), who, at)


def keep_copy(copy: files.Copy, name: str, *, who: Person, at: datetime) -> EvidenceFile:
    """The same for a copy that was written before the transaction, since that takes long for a large file."""
    return _evidence(copy.keep(), name, copy.size, who, at)


def _evidence(sha256: str, name: str, size: int, who: Person, at: datetime) -> EvidenceFile:
    if kept := EvidenceFile.objects.filter(sha256=sha256).first():
        return kept
    row = EvidenceFile(sha256=sha256, name=name[:200], size=size)
    journal.record(row, "evidence file kept", f"file/{sha256}", actor=who.username, at=at)
    return row


def _enter_track_log(
    engine: Engine, read: ReadLog, evidence: EvidenceFile, who: Person, at: datetime
) -> EngineTimeEntry:
    row = EngineTimeEntry(
        engine=engine,
        on_day=read.log.start.date(),
        started_at=read.log.start,
        ended_at=read.log.end,
        duration_h=read.found.duration_h,
        sd_h=read.found.sd_h,
        starts=read.found.starts,
        grade=read.found.grade,
        method=read.found.method,
        remarks=[
            *read.found.remarks,
            *_same_day(reconciling.typed_for(engine, read.log.start.date()), "entry"),
        ],
        runs=[[t.isoformat() for t in read.span(run)] for run in read.found.runs],
        evidence=evidence,
        entered_by=str(who),
    )
    journal.record(row, "engine time added", _subject(engine), actor=who.username, at=at)
    return row


@journal.locked()
def withdraw(entry: EngineTimeEntry, reason: str, *, who: Person, at: datetime) -> EngineTimeEntry:
    """Take an entry out of the sum by a new one that names it and says why. Both stay visible."""
    if not reason.strip():
        raise RegisterError("Say in a few words why this entry is withdrawn. Nothing was changed.")
    hold(entry.engine_id)
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
    journal.record(row, "engine time withdrawn", _subject(entry.engine), actor=who.username, at=at, **more)
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
        Source(start.timestamp(), end.timestamp(), (), grade), [moments.source_of(e) for e in beside]
    )
    for entry in beside:
        if entry.grade == grade or (covered.decides == 0.0 and is_better(entry.grade, grade)):
            raise RegisterError(_overlap_told(engine, start, end, entry))


def _overlap_told(engine: Engine, start: datetime, end: datetime, entry: EngineTimeEntry) -> str:
    first, last = (t.astimezone(UTC) for t in reconciling.span_of(entry))
    return (
        f"This track log runs from {start:%d %b %Y %H:%M} to {end:%H:%M} UTC and overlaps one that "
        f"{engine.name} has already ({first:%H:%M} to {last:%H:%M}, journal entry {entry.entry_sequence}). "
        "The same minutes are never counted twice, so nothing was added. "
        "Withdraw the earlier entry first if this one is the better record."
    )


def _same_day(entries: Iterable[EngineTimeEntry], what: str) -> list[str]:
    """Hours without a clock cannot be held against a log by the minute: that is asked of a person."""
    told = [f"{e.duration_h:.2f} h by {e.grade} (journal entry {e.entry_sequence})" for e in entries]
    if not told:
        return []
    return [f"The same day has another {what}: {', '.join(told)}. If it is the same flight, withdraw one."]


def _subject(engine: Engine) -> str:
    return f"engine/{engine.serial}"
