"""From a job to its papers and drawings: puts records into words, and computes nothing."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

from django.utils.safestring import SafeString, mark_safe

from tickover.sheets import Joint, LimitRow
from tickover.workshop import papers
from tickover.workshop.bench.asked import Asked
from tickover.workshop.bench.measuring import asks_of, computation_of
from tickover.workshop.bench.models import Reading, Release, StepMark
from tickover.workshop.bench.queries import JobSheet, ReadingLine, StepLine, sheet_for
from tickover.workshop.defects import queries as defects
from tickover.workshop.journal import queries as journal
from tickover.workshop.people import queries as people
from tickover.workshop.people.templatetags.amounts import day, hours, units
from tickover.workshop.pictures import screw_pattern, stack, where_to_measure
from tickover.workshop.pictures.measuring import span_in_words
from tickover.workshop.programme import queries as programme
from tickover.workshop.register import queries as register


def work_card(sheet: JobSheet) -> bytes:
    """The work card as it stands: filled where the job is done, lines to write on where it is not."""
    return papers.work_card_pdf(work_card_data(sheet))


def work_card_data(sheet: JobSheet) -> papers.WorkCardData:
    job, engine = sheet.job, sheet.job.engine
    joints = dict.fromkeys(s.step.joint for s in sheet.steps if s.step.joint)
    return papers.WorkCardData(
        document_date=_last_moment(sheet).date(),
        workshop=people.the_workshop().name,
        job=job.number,
        status=f"{sheet.state}, {sheet.done_count} of {len(sheet.steps)} steps done",
        engine=f"{engine.name}, {sheet.sheet.title}",
        serial=engine.serial,
        build=sheet.sheet.build(engine.build_id).title,
        owner=engine.owner.name,
        task=sheet.task_title,
        engine_time=f"{hours(job.engine_h)} h when the job was opened",
        sheet=job.sheet.sheet_id,
        sheet_version=str(job.sheet.version),
        sheet_fingerprint=job.sheet.fingerprint,
        steps=tuple(_step(line) for line in sheet.steps),
        cautions=tuple(units(text) for text in sheet.cautions),
        kit_used=_used(sheet),
        laid_aside=tuple(
            papers.Piece(p.part.title, f"{p.quantity} {p.part.unit}", why=p.because) for p in sheet.lay_aside
        ),
        before_after=_before_after(sheet),
        pictures=tuple(
            picture for joint in joints for picture in _joint_pictures(sheet, sheet.sheet.joint(str(joint)))
        ),
        notice=sheet.sheet.notice,
    )


def release(sheet: JobSheet) -> bytes:
    """The release to service of a released job."""
    assert sheet.release is not None
    signed, engine = sheet.release, sheet.job.engine
    total = register.total_time(engine, until=signed.at.date())
    entry = journal.one(signed.entry_sequence)
    assert entry is not None
    return papers.release_pdf(
        papers.ReleaseData(
            document_date=signed.at.date(),
            workshop=people.the_workshop().name,
            number=signed.number,
            engine=f"{engine.name}, {sheet.sheet.title}",
            serial=engine.serial,
            build=sheet.sheet.build(engine.build_id).title,
            owner=engine.owner.name,
            time_since_new=f"{hours(signed.engine_h)} h (standard deviation {hours(signed.engine_sd_h)} h)",
            time_by_grade=tuple(papers.Fact(grade, f"{hours(h)} h") for grade, h in total.by_grade),
            work=(_work_done(sheet),),
            completed_on=day(signed.at.date()),
            released_by=str(signed.by),
            authority=signed.authority,
            released_at=_moment(signed.at),
            persons=_persons(sheet),
            parts=_used(sheet),
            readings=tuple(_reading(r, s) for s in sheet.steps for r in [s.reading] if r),
            before_after=_before_after(sheet),
            second_checks=tuple(c for s in sheet.steps for c in [_second_check(s)] if c),
            not_done=_paragraphs(signed.not_done),
            limitations=_paragraphs(signed.limitations),
            open_items=defects.deferred_of(signed),
            next_due=_next_due(sheet, signed),
            journal_sequence=entry.sequence,
            journal_hash=entry.hash,
            notice=sheet.sheet.notice,
        )
    )


def step_pictures(sheet: JobSheet, line: StepLine) -> list[SafeString]:
    """The drawings beside one step: where it is measured, and the joint it is about."""
    joint = sheet.sheet.joint(line.step.joint) if line.step.joint else None
    place = [where_to_measure(line.limit)] if line.limit and line.limit.drawing else []
    return [mark_safe(svg) for svg in place] + [
        mark_safe(p.svg) for p in (_joint_pictures(sheet, joint) if joint else ())
    ]


def _measuring(line: StepLine) -> tuple[papers.Picture, ...]:
    """Where the reading of a step is taken."""
    limit = line.limit
    if limit is None or not limit.drawing or line.readings:
        return ()
    return (papers.Picture(where_to_measure(limit), f"Where to measure: {limit.title}, {_span(limit)}"),)


def _joint_pictures(sheet: JobSheet, joint: Joint) -> tuple[papers.Picture, ...]:
    build = sheet.sheet.build(sheet.job.engine.build_id)
    aside = [p.part.title for p in sheet.lay_aside if p.part.id in _place_names(sheet, joint)]
    screws = f"Tightening order: {joint.title}"
    return (
        papers.Picture(stack(joint, build, aside), f"{joint.title}: order of the pieces"),
        papers.Picture(screw_pattern(joint.fasteners, screws), screws),
    )


def _place_names(sheet: JobSheet, joint: Joint) -> set[str]:
    """Parts that lie in this joint on any build, so that what is laid aside stands beside its joint."""
    whole = sheet_for(sheet.job.sheet).joint(joint.id)
    return {layer.part for layer in whole.stack if layer.part}


def _step(line: StepLine) -> papers.StepLine:
    mark = line.mark if line.done else None
    return papers.StepLine(
        number=str(line.number),
        act=line.step.act,
        how=units(line.step.how),
        caution=units(line.step.caution),
        done_by=str(mark.by) if mark else "",
        done_at=_moment(mark.at) if mark else "",
        readings=_readings(line),
        finding=f"{line.finding.title} ({line.finding.action})" if line.finding else "",
        remark=mark.remark if mark else "",
        critical=line.step.critical,
        second_check=_second_check(line) or (papers.SecondCheck() if line.step.second_check else None),
        ticks=()
        if line.done
        else tuple(units(f"{f.title}: {f.action}. {f.advice}") for f in line.step.findings),
        pictures=() if line.done else _measuring(line),
    )


def _readings(line: StepLine) -> tuple[papers.ReadingLine, ...]:
    limit = line.limit
    if limit is None:
        return ()
    if line.readings:
        return tuple(_reading(r, line) for r in line.readings)
    asks = tuple(units(f"{a.label} [{a.unit}]") for a in line.asks) if len(line.asks) > 1 else ()
    title = _title(limit, line)
    return (papers.ReadingLine(title, "", _span(limit), "", units(limit.instrument), asks=asks),)


def _reading(r: ReadingLine, line: StepLine) -> papers.ReadingLine:
    second = " (second person)" if r.reading.purpose == Reading.Purpose.SECOND_CHECK else ""
    acknowledged = f" {r.reading.by} acknowledged it." if r.reading.acknowledged else ""
    return papers.ReadingLine(
        f"{_title(r.limit, line)}{second}",
        units(f"{r.shown} {r.reading.unit}"),
        _span(r.limit),
        r.reading.decision,
        units(_instrument(r)),
        detail=units(" ".join(_detail(r))),
        marks=tuple(doubt + acknowledged * (doubt == r.uncalibrated) for doubt in r.doubts),
    )


def _title(limit: LimitRow, line: StepLine) -> str:
    return f"{limit.title}, {line.step.moment}" if line.step.moment else limit.title


def _detail(r: ReadingLine) -> list[str]:
    """What the value was taken from: the single numbers, and what they were typed in."""
    if r.reading.typed_unit not in ("", r.reading.unit):
        return [f"Typed {r.typed}.", *r.measured.told]
    if r.reading.inputs and computation_of(r.site):
        parts = (f"{a.label}: {v['value']:.6g} {a.unit}" for a, v in _inputs(r))
        return ["; ".join(parts) + ".", *r.measured.told]
    return list(r.measured.told)


def _inputs(r: ReadingLine) -> list[tuple[Asked, dict[str, Any]]]:
    asks = {a.name: a for a in asks_of(r.site)}
    return [(asks[v["name"]], v) for v in r.reading.inputs]


def _instrument(r: ReadingLine) -> str:
    """Named, with what it can tell and until when; else as the sheet names its kind."""
    gauge = r.gauge
    if gauge is None:
        return r.limit.instrument
    percent = f" and {gauge.percent:g} %" if gauge.percent else ""
    until = f", calibrated to {day(date.fromisoformat(gauge.due_on))}" if gauge.due_on else ""
    return f"{gauge.name}: U = {gauge.fixed:g} {gauge.unit}{percent} (k = 2){until}"


def _before_after(sheet: JobSheet) -> tuple[papers.BeforeAfter, ...]:
    return tuple(
        papers.BeforeAfter(pair.limit.title, _span(pair.limit), _stood(pair.found), _stood(pair.left))
        for pair in sheet.before_after
        if pair.found or pair.left
    )


def _stood(r: ReadingLine | None) -> str:
    return units(f"{r.shown} {r.reading.unit}, {r.reading.decision}") if r else "not read"


def _span(limit: LimitRow) -> str:
    return units(span_in_words(limit))


def _second_check(line: StepLine) -> papers.SecondCheck | None:
    if line.check is None:
        return None
    return papers.SecondCheck(
        f"Step {line.number}: {line.step.act}", str(line.check.by), _moment(line.check.at), line.check.kind
    )


def _used(sheet: JobSheet) -> tuple[papers.Piece, ...]:
    return tuple(papers.Piece(p.part.title, f"{p.quantity} {p.part.unit}", sheet.lot) for p in sheet.use)


def _work_done(sheet: JobSheet) -> papers.WorkDone:
    version = sheet.job.sheet
    found = [
        f"step {s.number}: {s.finding.title}"
        for s in sheet.steps
        if s.finding and s.finding.action != "continue"
    ]
    remarks = [
        f"step {s.number}: {s.mark.remark}" for s in sheet.steps if s.mark and s.done and s.mark.remark
    ]
    tail = f" Found: {'; '.join(found)}." if found else ""
    tail += f" Remarks: {'; '.join(remarks)}." if remarks else ""
    reference = (
        f"Work card “{sheet.card.title}” of type sheet {version.sheet_id}, version {version.version} "
        f"({version.fingerprint[:12]}…); job {sheet.job.number}"
    )
    return papers.WorkDone(f"{sheet.task_title}.{tail}", reference)


def _persons(sheet: JobSheet) -> tuple[str, ...]:
    signed = sheet.release.by if sheet.release else None
    doers = dict.fromkeys(s.mark.by for s in sheet.steps if s.mark and s.done)
    checkers = dict.fromkeys(s.check.by for s in sheet.steps if s.check)
    return tuple(
        [f"{p}: did the work" for p in doers if p != signed]
        + [f"{p}: second checks" for p in checkers if p != signed and p not in doers]
    )


def _next_due(sheet: JobSheet, signed: Release) -> tuple[papers.NextDue, ...]:
    """The next due point of this task as it stood when the release was signed."""
    line = programme.due_after(sheet.job.engine, sheet.sheet.task(sheet.job.task_id), signed.number)
    return (
        papers.NextDue(
            sheet.task_title,
            f"{hours(line.due_h)} h" if line.due_h is not None else "",
            day(date.fromordinal(line.due_day)) if line.due_day is not None else "",
        ),
    )


def _last_moment(sheet: JobSheet) -> datetime:
    marks = [s.mark.at for s in sheet.steps if isinstance(s.mark, StepMark)]
    ends = [r.at for r in (sheet.release, sheet.closure) if r]
    return max([sheet.job.opened_at, *marks, *ends])


def _moment(at: datetime) -> str:
    return f"{day(at.date())}, {at.astimezone(UTC):%H:%M} UTC"


def _paragraphs(text: str) -> tuple[str, ...]:
    return tuple(line.strip() for line in text.splitlines() if line.strip())
