"""Writes of run-ups: one added, accepted or refused, columns told, needles noted."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Any

from django.utils.timezone import localdate, localtime

from tickover.formats.errors import FormatError
from tickover.science import run_up
from tickover.science.core.input_checks import OutOfRangeError, checked_one
from tickover.workshop.kernel import actions as journal
from tickover.workshop.kernel import evidence_files
from tickover.workshop.kernel.idempotency import ask_again_of
from tickover.workshop.kernel.refusal import RefusedError
from tickover.workshop.people.models import Person
from tickover.workshop.register import actions as register
from tickover.workshop.register import queries as register_queries
from tickover.workshop.register.models import Engine
from tickover.workshop.run_ups import queries
from tickover.workshop.run_ups.models import Acceptance, KnownColumns, NeedleNote, RunUp
from tickover.workshop.run_ups.uploads import evidence
from tickover.workshop.visits import hold_points
from tickover.workshop.visits import queries as visits
from tickover.workshop.visits.models import Job

RANGES = {
    "air_c": ("Air temperature", -30.0, 50.0, "deg C"),
    "pressure_hpa": ("Pressure at the field", 600.0, 1080.0, "hPa"),
    "humidity_percent": ("Relative humidity", 0.0, 100.0, "%"),
    "petrol_to_oil": ("Petrol to oil", 10.0, 200.0, ""),
    "turns_low": ("Low needle", 0.0, 10.0, "turns"),
    "turns_high": ("High needle", 0.0, 10.0, "turns"),
    "thrust_kgf": ("Static thrust", 0.0, 500.0, "kgf"),
}


class RunUpError(RefusedError):
    """Something cannot be entered; the text is a sentence for the person who tried."""


@dataclass(frozen=True)
class Circumstances:
    """What was typed beside a run-up; see models.RunUp. None where it was not noted."""

    on_day: date
    air_c: float | None = None
    pressure_hpa: float | None = None
    humidity_percent: float | None = None
    fuel: str = ""
    petrol_to_oil: float | None = None
    turns_low: float | None = None
    turns_high: float | None = None
    thrust_kgf: float | None = None
    remark: str = ""
    job: Job | None = None
    before_or_after: str = ""


@dataclass(frozen=True)
class NewNeedles:
    """Where the needles were set; see models.NeedleNote."""

    turns_low: float
    turns_high: float
    air_c: float | None = None
    pressure_hpa: float | None = None
    fuel: str = ""
    petrol_to_oil: float | None = None
    remark: str = ""


@dataclass(frozen=True)
class Upload:
    """A file as it was handed in: its bytes, or where they lie; and what was said of its columns, {} for nothing."""

    data: bytes | Path
    name: str
    columns: dict[str, Any]


def add_run(
    engine: Engine, file: Upload, circumstances: Circumstances, *, who: Person, at: datetime
) -> RunUp:
    """Keep a run-up and its figures. Raises FormatError or RunUpError; then nothing is kept."""
    _may_be_so(engine, circumstances, at)
    read = evidence.read_run(file.data, circumstances.on_day, file.columns, register_queries.build_of(engine))
    # Copied before anybody else has to wait: a large recording takes its time to be written.
    with evidence_files.copied(file.data) as copy, journal.locked():
        kept = register.keep_copy(copy, file.name, who=who, at=at)
        if held := RunUp.objects.filter(evidence=kept).select_related("engine").first():
            raise RunUpError(
                f"This file is a run-up of {held.engine.name} already (journal entry {held.entry_sequence}). "
                "Nothing was added."
            )
        row = RunUp(
            engine=engine,
            evidence=kept,
            kind=read.kind,
            columns=file.columns,
            figures=read.figures,
            by=who,
            at=at,
            **_fields(circumstances),
        )
        journal.record(row, "run-up added", _subject(engine), actor=who.username, at=at)
    return row


def add_run_with_columns(
    engine: Engine, file: Upload, fingerprint: str, circumstances: Circumstances, *, who: Person, at: datetime
) -> RunUp:
    """Keep a run-up whose columns a person told, and know the logger's next file by its headers."""
    with journal.locked():
        row = add_run(engine, file, circumstances, who=who, at=at)
        known = KnownColumns(fingerprint=fingerprint, columns=file.columns, by=who, at=at)
        journal.record(known, "logger columns told", _subject(engine), actor=who.username, at=at)
    return row


def accept(run: RunUp, *, accepted: bool, why: str, who: Person, at: datetime) -> Acceptance:
    """Take a run into the engine's baseline, or keep it out; keeping it out says why."""
    if accepted:
        _may_be_usual(run)  # before anything is held: a recording takes seconds to listen to
    elif not why.strip():
        raise RunUpError("Type why it is left out of the baseline. Nothing was changed.")
    with journal.locked():
        return _accept(run, accepted, why, who, at)


def _accept(run: RunUp, accepted: bool, why: str, who: Person, at: datetime) -> Acceptance:
    newest = queries.newest_acceptance(run)
    if newest is not None and newest.accepted is accepted:
        there = "in" if accepted else "kept out of"
        raise RunUpError(f"It is {there} the baseline already. Nothing was changed.")
    row = Acceptance(run=run, accepted=accepted, why=why.strip()[:300], by=who, at=at)
    kind = "run-up accepted into the baseline" if accepted else "run-up kept out of the baseline"
    journal.record(row, kind, _subject(run.engine), actor=who.username, at=at)
    return row


def _may_be_usual(run: RunUp) -> None:
    """A run that says stop, or that can no longer be judged, never tells what is usual."""
    try:
        why_not = run_up.why_not_accepted(queries.opened(run).findings)
    except (OSError, FormatError) as error:
        raise RunUpError(
            "Its file is missing or damaged: it cannot be judged. Nothing was changed."
        ) from error
    if why_not:
        raise RunUpError(f"{why_not} Nothing was changed.")


@journal.locked()
def note_needles(
    engine: Engine, new: NewNeedles, run: RunUp | None, *, who: Person, at: datetime
) -> NeedleNote:
    """Note where the needles stand, with the air and the fuel of the day."""
    _in_range(asdict(new))
    earlier = (
        NeedleNote.objects.filter(engine=engine, at__date=localdate(at)).order_by("-entry_sequence").first()
    )
    if earlier and (earlier.turns_low, earlier.turns_high) == (new.turns_low, new.turns_high):
        what = f"low needle {new.turns_low:g} and high needle {new.turns_high:g} turns"
        ask_again_of(what, localdate(at), earlier.by)
    row = NeedleNote(engine=engine, run=run, by=who, at=at, **asdict(new))
    journal.record(row, "needles noted", _subject(engine), actor=who.username, at=at)
    return row


def _may_be_so(engine: Engine, circumstances: Circumstances, at: datetime) -> None:
    if circumstances.on_day > localtime(at).date():
        raise RunUpError(f"{circumstances.on_day} is still to come. Nothing was added.")
    _in_range(_fields(circumstances))
    if bool(circumstances.job) != bool(circumstances.before_or_after):
        raise RunUpError("Choose its visit, and before or after the work. Nothing was added.")
    if circumstances.job and circumstances.job.engine_id != engine.pk:
        raise RunUpError(f"Visit {circumstances.job.number} is of another engine. Nothing was added.")
    if circumstances.job and circumstances.before_or_after == RunUp.BeforeOrAfter.AFTER:
        opened = localtime(circumstances.job.opened_at).date()
        if circumstances.on_day < opened:
            raise RunUpError(
                f"Visit {circumstances.job.number} was opened on {opened:%d %b %Y}; a run of "
                f"{circumstances.on_day:%d %b %Y} cannot be from after it. Nothing was added."
            )
        if holds := hold_points.holds_on_a_run_up(visits.job_sheet(circumstances.job)):
            raise RunUpError(hold_points.run_up_held_in_words(holds))


def _in_range(given: dict[str, Any]) -> None:
    for name, (title, lower, upper, unit) in RANGES.items():
        if given.get(name) is None:
            continue
        try:
            checked_one(title, given[name], lower, upper, unit)
        except OutOfRangeError as error:
            raise RunUpError(f"{error}. Nothing was added.") from error


def _fields(circumstances: Circumstances) -> dict[str, Any]:
    return {name: getattr(circumstances, name) for name in Circumstances.__dataclass_fields__}


def _subject(engine: Engine) -> str:
    return f"engine/{engine.serial}"


__all__ = [
    "Circumstances",
    "FormatError",
    "NewNeedles",
    "RunUpError",
    "Upload",
    "accept",
    "add_run",
    "add_run_with_columns",
    "note_needles",
]
