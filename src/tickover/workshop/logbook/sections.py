"""What a logbook tells, heading by heading. Known, estimated and not known are kept apart."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from django.utils.timezone import localdate

from tickover.language.amounts import day, hours, hours_fine, spread
from tickover.sheets import UnknownRowError
from tickover.workshop.defects import queries as defects
from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.engine_time.queries import TimeLine
from tickover.workshop.kernel.local_time import local_day
from tickover.workshop.logbook.step_papers import what_was_not
from tickover.workshop.papers import Section
from tickover.workshop.programme import bulletins, decisions
from tickover.workshop.programme import queries as programme
from tickover.workshop.programme.models import TaskDone
from tickover.workshop.programme.queries import DueLine
from tickover.workshop.register import queries
from tickover.workshop.register.models import Engine, Fitting, Overhaul, Removal
from tickover.workshop.visits import queries as visits
from tickover.workshop.visits.models import Job
from tickover.workshop.visits.releasing.as_signed import signer

ESTIMATED = ("track log without engine noise", "owner's word", "estimate")
"""Grades of engine time in which the engine itself was not measured."""


def sections(engine: Engine, until: datetime) -> tuple[Section, ...]:
    """Every section of an engine's logbook, by the records up to a moment."""
    lines = programme.due_lines(engine, localdate(until))
    times = list(reversed(engine_time.time_lines(engine)))
    return (
        *_how_well_known(engine, lines, until),
        _limits(lines),
        Section(
            "Engine time",
            columns=("Day", "Hours", "±", "Evidence", "Entered by", "Entry"),
            widths=(1, 0.6, 0.5, 2.2, 1.1, 0.5),
            rows=tuple(_time(t) for t in times),
        ),
        Section(
            "Visits and releases",
            columns=("Visit", "What", "At", "Result"),
            widths=(0.8, 1.5, 0.7, 2),
            rows=tuple(_job(job) for job in reversed(visits.jobs_of(engine))),
        ),
        Section(
            "Tasks done",
            columns=("Day", "At", "Task", "By"),
            widths=(0.8, 0.6, 2.2, 1),
            rows=tuple(_done(engine, row) for row in _tasks_done(engine)),
        ),
        Section(
            "Components fitted and removed",
            columns=("Component", "Fitted", "Removed", "Remarks"),
            widths=(1.5, 1, 1, 1.3),
            rows=tuple(_fitting(f) for f in _fittings(engine)),
        ),
        Section(
            "Overhauls",
            columns=("Day", "At", "Remarks", "Entered by"),
            rows=tuple(
                (day(o.on_day), f"{hours(o.engine_h)} h", _taken_back(o) + o.remark, o.entered_by)
                for o in Overhaul.objects.filter(engine=engine, replaces=None).order_by("on_day", "id")
            ),
        ),
        _bulletins(engine, until),
        _defects(engine, until),
        Section(
            "Corrections",
            words="Nothing is erased: the first entry is above and no longer counts.",
            columns=("Day", "What was corrected", "Why", "Entry"),
            widths=(0.8, 2, 2, 0.5),
            rows=tuple(_corrections(engine, times)),
            none_said="No entry was corrected.",
        ),
    )


def _how_well_known(engine: Engine, lines: list[DueLine], until: datetime) -> Iterator[Section]:
    shares = engine_time.total_time(engine).by_grade
    for title, estimated in (("What is known", False), ("What is estimated", True)):
        yield Section(
            title,
            words="" if estimated else "Engine time by evidence.",
            columns=("Evidence", "Engine time"),
            rows=tuple((g, f"{hours_fine(h)} h") for g, h in shares if (g in ESTIMATED) == estimated),
            none_said="No estimates." if estimated else "No engine time was measured.",
        )
    yield Section(
        "What is not known", points=tuple(_not_known(engine, lines, until)), none_said="Nothing recorded."
    )


def _not_known(engine: Engine, lines: list[DueLine], until: datetime) -> Iterator[str]:
    unknown = next((line.unknown for line in lines if line.unknown), None)
    if unknown:
        yield f"Its hours are not known since {day(unknown.since)}: {unknown.reason}"
    for note in reversed(decisions.notes_of(engine)):
        known = "known" if note.known else "not known"
        yield f"Recorded on {day(note.noted_on)} by {note.by}: hours {known}. {note.reason}"
    done = {row.task_id for row in _tasks_done(engine)}
    if lost := [line.task.title for line in lines if line.not_known]:
        yield f"When it was last done is not known, baseline inspection: {'; '.join(lost)}."
    dated = [line for line in lines if not line.not_known]
    limited = [line for line in dated if line.due.due_h is not None or line.due.due_day is not None]
    never = [line.task.title for line in limited if line.task.id not in done]
    if never:
        yield f"Not recorded as done here, so counted from the day it came into service: {'; '.join(never)}."
    for line in bulletins.lines([engine], localdate(until)):
        if line.applies is bulletins.Applies.CANNOT_TELL:
            yield f"Whether bulletin {line.bulletin.identifier} applies: {line.because}."


def _limits(lines: list[DueLine]) -> Section:
    return Section(
        "Programme",
        words="Limits by the records, whichever comes first; no forecast.",
        columns=("Task", "Last done or counted from", "By hours", "By date", "State"),
        widths=(2, 1.3, 0.8, 0.9, 0.8),
        rows=tuple(
            (
                line.task.title,
                "not known" if line.not_known else f"{day(line.last_on)}, {hours(line.due.last_h)} h",
                f"{hours(line.due.due_h)} h" if line.due.due_h is not None else "–",
                "–" if line.not_known else day(line.due_on),
                "baseline inspection" if line.not_known else line.state,
            )
            for line in lines
            if line.due.due_h is not None or line.due.due_day is not None
        ),
    )


def _time(line: TimeLine) -> tuple[str, ...]:
    said = [line.grade, line.method, line.file_name]
    if line.replaced:
        said.append("replaced")
    if line.replaces_sequence:
        said.append(f"{'withdraws' if line.withdraws else 'replaces'} entry {line.replaces_sequence}")
    rests = "; ".join(dict.fromkeys(t for t in said if t))
    plus_minus = spread(2 * line.sd_h)
    return (
        day(line.on_day),
        hours_fine(line.duration_h),
        plus_minus,
        rests,
        line.entered_by,
        str(line.sequence),
    )


def _job(job: Job) -> tuple[str, ...]:
    sheet = visits.job_sheet(job)
    ended = sheet.state
    if sheet.release:
        r = sheet.release
        ended = f"Released {local_day(r.at)} by {signer(r)}, {r.authority}; {r.number}."
        ended += f" Not done: {r.not_done.strip().rstrip('.')}." if r.not_done.strip() else ""
        ended += f" {' '.join(missing)}" if (missing := what_was_not(sheet)) else ""
        ended += f" Limitations: {r.limitations.strip().rstrip('.')}." if r.limitations.strip() else ""
    elif sheet.closure:
        ended = f"Closed without a release {local_day(sheet.closure.at)}: {sheet.closure.reason}"
    exceeded = sheet.release.exceedances if sheet.release else [e.facts() for e in sheet.exceedances]
    ended += "".join(
        f" {e.get('heading', 'Exceedance')}. {e['said']} {e['answer'] or 'Not answered.'}" for e in exceeded
    )
    return (job.number, sheet.task_title, f"{local_day(job.opened_at)}\n{hours(job.engine_h)} h", ended)


def _tasks_done(engine: Engine) -> list[TaskDone]:
    return list(TaskDone.objects.filter(engine=engine).order_by("done_on", "id"))


def _done(engine: Engine, row: TaskDone) -> tuple[str, ...]:
    try:
        title = queries.build_of(engine).task(row.task_id).title
    except UnknownRowError:  # an older sheet had it
        title = row.task_id
    return (day(row.done_on), f"{hours(row.at_h)} h", title, row.reference)


def _fittings(engine: Engine) -> list[Fitting]:
    rows = Fitting.objects.filter(engine=engine).select_related("component", "removal")
    return list(rows.order_by("fitted_at", "id"))


def _fitting(fitting: Fitting) -> tuple[str, ...]:
    part = fitting.component
    removal: Removal | None = getattr(fitting, "removal", None)
    if removal and removal.never_was:
        off = "withdrawn: never fitted"
    else:
        off = f"{local_day(removal.removed_at)}\nat {hours(removal.engine_h)} h" if removal else "still on"
    remarks = "; ".join(r for r in (fitting.remark, removal.remark if removal else "") if r)
    on = f"{local_day(fitting.fitted_at)}\nat {hours(fitting.engine_h)} h"
    return (f"{part.title}\n{part.kind}, serial {part.serial}", on, off, remarks or "–")


def _taken_back(overhaul: Overhaul) -> str:
    return "Withdrawn. " if hasattr(overhaul, "replaced_by") else ""


def _bulletins(engine: Engine, until: datetime) -> Section:
    lines = sorted(bulletins.lines([engine], localdate(until)), key=lambda line: line.bulletin.identifier)
    return Section(
        "Bulletins and directives",
        columns=("Bulletin", "Applies", "State"),
        widths=(1.6, 1.4, 2),
        rows=tuple(
            (
                f"{b.identifier}\n{b.title}{', mandatory by its issuer' if b.mandatory else ''}",
                f"{line.applies}: {line.because}",
                _recorded(line),
            )
            for line in lines
            for b in [line.bulletin]
        ),
        none_said="None is recorded for this type.",
    )


def _recorded(line: bulletins.BulletinLine) -> str:
    parts = []
    if line.last:
        last = line.last
        parts.append(f"{last.outcome} {day(last.done_on)} at {hours(last.at_h)} h by {last.by}: {last.words}")
    parts.append(line.sentence)
    return "\n".join(parts)


def _defects(engine: Engine, until: datetime) -> Section:
    waiting = [(line, line.state) for line in defects.open_defects(localdate(until), engine)]
    history = reversed(defects.history(engine))
    ended = [(w, "withdrawn" if hasattr(w.defect, "withdrawn") else "fixed") for w in history]
    return Section(
        "Deferred defects",
        columns=("Defect", "Until", "Accepted by", "State"),
        widths=(2.2, 1.2, 1, 0.8),
        rows=tuple(
            (f"{w.defect.number}: {w.defect.what}", w.limit, str(w.until.accepted_by), state)
            for w, state in [*waiting, *ended]
        ),
    )


def _corrections(engine: Engine, times: list[TimeLine]) -> Iterator[tuple[str, ...]]:
    for line in times:
        if line.replaces_sequence:
            what = f"Engine time, entry {line.replaces_sequence}: {line.method}"
            yield day(line.on_day), what, "; ".join(line.remarks) or "–", str(line.sequence)
    for fitting in _fittings(engine):
        removal: Removal | None = getattr(fitting, "removal", None)
        if removal and removal.never_was:
            what = f"Fitting of {fitting.component}"
            yield local_day(removal.removed_at), what, removal.remark, str(removal.entry_sequence)
    for row in Overhaul.objects.filter(engine=engine).exclude(replaces=None).order_by("id"):
        yield day(row.on_day), "Overhaul withdrawn", row.remark, str(row.entry_sequence)
