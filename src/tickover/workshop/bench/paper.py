"""From a job to its papers and drawings: puts records into words, and computes nothing."""

from __future__ import annotations

from datetime import UTC, date, datetime

from django.utils.safestring import SafeString, mark_safe

from tickover.sheets import Joint, LimitRow
from tickover.workshop import papers
from tickover.workshop.bench.models import Reading, Release, StepMark
from tickover.workshop.bench.queries import JobSheet, ReadingLine, StepLine
from tickover.workshop.journal import queries as journal
from tickover.workshop.people import queries as people
from tickover.workshop.people.templatetags.amounts import day, hours
from tickover.workshop.pictures import screw_pattern, stack
from tickover.workshop.programme import queries as programme
from tickover.workshop.register import queries as register


def work_card(sheet: JobSheet) -> bytes:
    """The work card as it stands: filled where the job is done, lines to write on where it is not."""
    job, engine = sheet.job, sheet.job.engine
    joints = dict.fromkeys(s.step.joint for s in sheet.steps if s.step.joint)
    return papers.work_card_pdf(
        papers.WorkCardData(
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
            cautions=sheet.card.cautions,
            kit_used=_used(sheet),
            laid_aside=tuple(
                papers.Piece(p.part.title, f"{p.quantity} {p.part.unit}", why=p.because)
                for p in sheet.lay_aside
            ),
            pictures=tuple(
                picture
                for joint in joints
                for picture in _joint_pictures(sheet, sheet.sheet.joint(str(joint)))
            ),
            notice=sheet.sheet.notice,
        )
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
            readings=tuple(_reading(r) for s in sheet.steps for r in [s.reading] if r),
            second_checks=tuple(c for s in sheet.steps for c in [_second_check(s)] if c),
            not_done=_paragraphs(signed.not_done),
            limitations=_paragraphs(signed.limitations),
            next_due=_next_due(sheet, signed),
            journal_sequence=entry.sequence,
            journal_hash=entry.hash,
            notice=sheet.sheet.notice,
        )
    )


def step_pictures(sheet: JobSheet, line: StepLine) -> list[SafeString]:
    """The drawings beside one step."""
    if not line.step.joint:
        return []
    return [mark_safe(p.svg) for p in _joint_pictures(sheet, sheet.sheet.joint(line.step.joint))]


def _joint_pictures(sheet: JobSheet, joint: Joint) -> tuple[papers.Picture, ...]:
    build = sheet.job.engine.build_id
    aside = [p.part.title for p in sheet.lay_aside if p.part.id in _place_names(sheet, joint)]
    screws = f"Tightening order: {joint.title}"
    return (
        papers.Picture(stack(joint, build, aside), f"{joint.title}: order of the pieces"),
        papers.Picture(screw_pattern(joint.fasteners, screws), screws),
    )


def _place_names(sheet: JobSheet, joint: Joint) -> set[str]:
    """Parts that lie in this joint on any build, so that what is laid aside stands beside its joint."""
    whole = register.sheet_of(sheet.job.sheet).joint(joint.id)
    return {layer.part for layer in whole.stack if layer.part}


def _step(line: StepLine) -> papers.StepLine:
    mark = line.mark if line.done else None
    return papers.StepLine(
        number=str(line.number),
        act=line.step.act,
        how=line.step.how,
        caution=line.step.caution,
        done_by=str(mark.by) if mark else "",
        done_at=_moment(mark.at) if mark else "",
        readings=_readings(line),
        finding=f"{line.finding.title} ({line.finding.action})" if line.finding else "",
        remark=mark.remark if mark else "",
        critical=line.step.critical,
        second_check=_second_check(line) or (papers.SecondCheck() if line.step.second_check else None),
    )


def _readings(line: StepLine) -> tuple[papers.ReadingLine, ...]:
    if line.limit is None:
        return ()
    if not line.readings:
        return (papers.ReadingLine(line.limit.title, "", _span(line.limit), "", line.limit.instrument),)
    return tuple(_reading(r) for r in line.readings)


def _reading(r: ReadingLine) -> papers.ReadingLine:
    second = " (second person)" if r.reading.purpose == Reading.Purpose.SECOND_CHECK else ""
    return papers.ReadingLine(
        f"{r.limit.title}{second}",
        f"{r.reading.value:.6g} {r.reading.unit}",
        _span(r.limit),
        r.reading.decision,
        r.limit.instrument,
    )


def _span(limit: LimitRow) -> str:
    if limit.lower is None:
        return f"at most {limit.upper:g} {limit.unit}"
    if limit.upper is None:
        return f"at least {limit.lower:g} {limit.unit}"
    return f"{limit.lower:g} to {limit.upper:g} {limit.unit}"


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
