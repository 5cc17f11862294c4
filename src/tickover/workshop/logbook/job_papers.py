"""From a job to its papers and drawings: puts records into words, and computes nothing."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

from django.utils.timezone import localdate

from tickover.language.amounts import day, hours, spread, units
from tickover.sheets import Joint
from tickover.workshop import papers
from tickover.workshop.defects import queries as defects
from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.kernel import queries as journal
from tickover.workshop.kernel.local_time import local_day
from tickover.workshop.logbook import step_papers
from tickover.workshop.logbook.step_drawings import joint_drawings
from tickover.workshop.programme import queries as programme
from tickover.workshop.visits import hold_points
from tickover.workshop.visits.models import Release, StepMark
from tickover.workshop.visits.queries import JobSheet
from tickover.workshop.visits.releasing.as_signed import as_signed, rules_of, signer, workshop_of


def work_card(sheet: JobSheet) -> bytes:
    """The work card as it stands: filled where the job is done, lines to write on where it is not."""
    return papers.work_card_pdf(work_card_data(as_signed(sheet)))


def work_card_data(sheet: JobSheet) -> papers.WorkCardData:
    job, engine = sheet.job, sheet.job.engine
    joints = dict.fromkeys(s.step.joint for s in sheet.steps if s.step.joint)
    return papers.WorkCardData(
        document_date=localdate(_last_moment(sheet)),
        workshop=workshop_of(sheet),
        job=job.number,
        status=f"{sheet.state}, {sheet.done_count} of {sheet.needed_count} steps done",
        engine=f"{engine.name}, {sheet.sheet.title}",
        serial=engine.serial,
        build=sheet.sheet.build(engine.build_id).title,
        owner=engine.owner.name,
        task=sheet.task_title,
        engine_time=f"{hours(job.engine_h)} h when the visit was opened",
        sheet=job.sheet.sheet_id,
        sheet_version=str(job.sheet.version),
        sheet_fingerprint=job.sheet.fingerprint,
        steps=tuple(
            replace(
                step_papers.step(line, sheet.exceedances, hold_points.hold_in_words(sheet, line)),
                place=part.title if n == 0 else "",
            )
            for part in sheet.parts
            for n, (line, _) in enumerate(part.lines)
        ),
        cautions=tuple(units(text) for text in sheet.cautions),
        kit_used=_used(sheet),
        laid_aside=tuple(
            papers.PieceText(p.part.title, f"{p.quantity} {p.part.unit}", why=p.because)
            for p in sheet.lay_aside
        ),
        before_after=step_papers.before_after(sheet),
        pictures=tuple(
            picture for joint in joints for picture in _joint_pictures(sheet, sheet.sheet.joint(str(joint)))
        ),
        notice=sheet.sheet.notice,
    )


def release(sheet: JobSheet) -> bytes:
    """The release to service of a released job."""
    sheet = as_signed(sheet)
    signed, engine = sheet.release, sheet.job.engine
    assert signed is not None
    total = engine_time.total_time(engine, until=localdate(signed.at))
    entry = journal.one(signed.entry_sequence)
    assert entry is not None
    return papers.release_pdf(
        papers.ReleaseData(
            document_date=localdate(signed.at),
            workshop=workshop_of(sheet),
            number=signed.number,
            engine=f"{engine.name}, {sheet.sheet.title}",
            serial=engine.serial,
            build=sheet.sheet.build(engine.build_id).title,
            owner=engine.owner.name,
            time_since_new=f"{hours(signed.engine_h)} h (± {spread(2.0 * signed.engine_sd_h)} h)",
            time_by_grade=tuple(papers.Fact(grade, f"{hours(h)} h") for grade, h in total.by_grade),
            work=(_work_done(sheet),),
            completed_on=local_day(signed.at),
            released_by=signer(signed),
            authority=signed.authority,
            released_at=step_papers.moment(signed.at),
            persons=_persons(sheet),
            parts=_used(sheet),
            readings=step_papers.what_was_read(sheet),
            before_after=step_papers.before_after(sheet),
            second_checks=tuple(c for s in sheet.steps for c in [step_papers.second_check(s)] if c),
            rules=rules_of(sheet),
            not_done=(
                *step_papers.paragraphs(signed.not_done),
                *step_papers.what_was_not(sheet),
                *step_papers.photos_left_out(sheet),
            ),
            limitations=step_papers.paragraphs(signed.limitations),
            open_items=defects.deferred_of(signed),
            exceedances=tuple(units(f"{e['said']} {e['answer']}") for e in signed.exceedances),
            run_ups=_run_ups(signed),
            run_up_warnings=_run_up_warnings(signed),
            next_due=_next_due(sheet, signed),
            else_due=tuple(
                papers.ElseDue(row["task"], _state_of(row), row["hours"], row["date"])
                for row in signed.else_due
            ),
            journal_sequence=entry.sequence,
            journal_hash=entry.hash,
            notice=sheet.sheet.notice,
        )
    )


def _joint_pictures(sheet: JobSheet, joint: Joint) -> tuple[papers.PaperPicture, ...]:
    return tuple(papers.PaperPicture(drawn.svg, drawn.title) for drawn in joint_drawings(sheet, joint))


def _used(sheet: JobSheet) -> tuple[papers.PieceText, ...]:
    return tuple(
        papers.PieceText(p.part.title, f"{p.quantity} {p.part.unit}", kit.lot)
        for kit in sheet.kits
        for p in kit.use
    )


def _work_done(sheet: JobSheet) -> papers.WorkDone:
    version = sheet.job.sheet
    found = [
        f"step {s.number}: {s.finding.title}"
        for s in sheet.steps
        if s.finding and s.finding.action != "continue"
    ]
    remarks = [f"step {s.number}: {s.remark}" for s in sheet.steps if s.remark]
    tail = f" Found: {'; '.join(found)}." if found else ""
    tail += f" Remarks: {'; '.join(remarks)}." if remarks else ""
    cards = ", ".join(f"“{card.title}”" for card in sheet.cards)
    reference = (
        f"Work card {cards} of type sheet {version.sheet_id}, version {version.version} "
        f"({version.fingerprint[:12]}…); visit {sheet.job.number}"
    )
    return papers.WorkDone(f"{sheet.task_title}.{tail}", reference)


def _run_ups(signed: Release) -> tuple[papers.RunUpLine, ...]:
    """As the release holds them; nothing on one from before they stood on it."""
    return tuple(
        papers.RunUpLine(
            f"{run['moment'].capitalize()}, {day(date.fromisoformat(run['day']))}",
            units(run["answer"]),
            f"journal entry {run['entry']}, file {run['sha256'][:12]}…",
        )
        for run in signed.run_ups.get("runs", ())
    )


def _run_up_warnings(signed: Release) -> tuple[str, ...]:
    notes = tuple(units(words) for words in signed.run_ups.get("warnings", ()))
    despite = signed.run_ups.get("despite", "")
    return (*notes, f"Released despite the danger by {signer(signed)}: {despite}") if despite else notes


def _persons(sheet: JobSheet) -> tuple[str, ...]:
    signed = sheet.release.by if sheet.release else None
    doers = dict.fromkeys(s.mark.by for s in sheet.steps if s.mark and s.done)
    checkers = dict.fromkeys(s.check.by for s in sheet.steps if s.check)
    return tuple(
        [f"{p}: did the work" for p in doers if p != signed]
        + [f"{p}: second checks" for p in checkers if p != signed and p not in doers]
    )


def _next_due(sheet: JobSheet, signed: Release) -> tuple[papers.NextDue, ...]:
    """The next due point of each of its tasks as it stood when the release was signed."""
    dues = ((t.task, programme.due_after(sheet.job.engine, t.task, signed.number)) for t in sheet.tasks)
    return tuple(
        papers.NextDue(
            task.title,
            f"{hours(due.due_h)} h" if due.due_h is not None else "",
            day(date.fromordinal(due.due_day)) if due.due_day is not None else "",
        )
        for task, due in dues
    )


def _state_of(row: dict[str, str]) -> str:
    return f"{row['state']}; dropped: {row['dropped']}" if row["dropped"] else row["state"]


def _last_moment(sheet: JobSheet) -> datetime:
    marks = [s.mark.at for s in sheet.steps if isinstance(s.mark, StepMark)]
    ends = [r.at for r in (sheet.release, sheet.closure) if r]
    return max([sheet.job.opened_at, *marks, *ends])
