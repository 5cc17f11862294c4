"""Reads of the bench: a job with its card, its pieces, how each step stands, and what keeps it from release."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from django.db import connection
from django.db.models import Prefetch, Q, QuerySet

from tickover.science.measurement.conformity import Decision
from tickover.sheets import SheetError, TypeSheet
from tickover.workshop.instruments.models import Instrument
from tickover.workshop.kernel import queries as journal
from tickover.workshop.people.models import Person
from tickover.workshop.people.permission import Right, may
from tickover.workshop.photos import queries as photos
from tickover.workshop.photos.models import Photo
from tickover.workshop.readings.computed import missing
from tickover.workshop.register import queries as register
from tickover.workshop.register.models import Engine, SheetVersion
from tickover.workshop.visits.course import Course, JobTask, conditions, tasks_of
from tickover.workshop.visits.job_sheet import JobSheet, KitList, Piece
from tickover.workshop.visits.models import (
    AddedTask,
    CautionConfirmed,
    Job,
    Reading,
    Release,
    Remark,
    StepMark,
)
from tickover.workshop.visits.recorded import Rows, rows_for_a_write, rows_for_pages, rows_of
from tickover.workshop.visits.steps.reading_line import ReadingLine
from tickover.workshop.visits.steps.step_line import StepLine, Viewer
from tickover.workshop.visits.steps.written import written_steps

__all__ = ["JobSheet", "JobTask", "KitList", "Piece", "ReadingLine", "StepLine"]


def job_sheet(job: Job, person: Person | None = None) -> JobSheet:
    """The job as it stands now: marks, readings and ends are read afresh; as this person may see it."""
    viewer = Viewer(person.pk, may(person, Right.CONFIRM)) if person else None
    return _sheet_of(job, rows_for_pages([job]), viewer)


def job_sheet_by_number(number: str, person: Person | None = None) -> JobSheet | None:
    job = job_by_number(number)
    return job_sheet(job, person) if job else None


def held_job_sheet(job: Job) -> JobSheet:
    """The same for a write, with the job's row held to the end of the transaction; without the kit's lot."""
    if connection.features.has_select_for_update:  # where there is none, one writer holds everything
        Job.objects.select_for_update(no_key=True).values_list("pk").get(pk=job.pk)
    # Asked after the lock, not with it: what ended the job while this waited must be seen.
    return _sheet_of(job, rows_for_a_write(job))


def job_by_number(number: str) -> Job | None:
    return _jobs().filter(number=number).first()


def open_jobs() -> list[JobSheet]:
    jobs = list(_jobs().filter(release=None, closure=None).order_by("number"))
    rows = rows_for_pages(jobs)
    return [_sheet_of(job, rows) for job in jobs]


def other_open_jobs(job: Job) -> list[JobSheet]:
    """The other open jobs of the engine of a job."""
    jobs = list(_jobs().filter(engine=job.engine_id, release=None, closure=None).exclude(pk=job.pk))
    rows = rows_of(jobs)
    return [_sheet_of(other, rows) for other in jobs]


def open_job_for(engine: Engine, task_id: str) -> Job | None:
    """The open job that does a task of an engine, from the start or added."""
    added = AddedTask.objects.filter(task_id=task_id, removed=None).values("job")
    rows = _jobs().filter(Q(task_id=task_id, first_dropped=None) | Q(pk__in=added))
    return rows.filter(engine=engine, release=None, closure=None).first()


def numbers_by_task(engine: Engine | None = None) -> dict[tuple[int, str], str]:
    """(engine, task) -> number of the open job that does it, from the start or added; of one engine, or all."""
    jobs = Job.objects.filter(release=None, closure=None)
    jobs = jobs if engine is None else jobs.filter(engine=engine)
    own = jobs.filter(first_dropped=None).values_list("engine_id", "task_id", "number")
    added = AddedTask.objects.filter(job__in=jobs.values("pk"), removed=None)
    rows = [*own, *added.values_list("job__engine_id", "task_id", "job__number")]
    return {(engine_id, task_id): number for engine_id, task_id, number in rows}


def jobs_of(engine: Engine) -> list[Job]:
    return list(listed().filter(engine=engine).order_by("-number"))


def release_by_number(number: str) -> Release | None:
    return Release.objects.select_related("job", "job__engine", "by").filter(number=number).first()


def readings_with(instrument: Instrument, limit: int = 100) -> list[Reading]:
    """Readings taken with an instrument, newest first, without those that are kept back."""
    rows = Reading.objects.filter(instrument=instrument).exclude(entry_sequence__in=kept_back())
    return list(rows.select_related("by", "job__engine").order_by("-id")[:limit])


def readings_of(engine: Engine) -> list[Reading]:
    """Every reading on an engine that says something of it, newest first: none not valid, none kept back."""
    valid = Reading.objects.filter(job__engine=engine).exclude(decision=Decision.NOT_VALID)
    rows = valid.exclude(entry_sequence__in=kept_back(engine))
    return list(rows.select_related("by", "job").order_by("-id"))


def kept_back(engine: Engine | None = None) -> frozenset[int]:
    """Journal entries that would tell the first reading of a step to whoever takes the second.

    Of its readings, its remarks and photos, and of every mark of the step, which holds what was found; of one
    engine, or all.
    """
    read = Reading.objects.values("job")
    jobs = _jobs().filter(pk__in=read, release=None, closure=None)
    jobs = jobs if engine is None else jobs.filter(engine=engine)
    rows = rows_of(list(jobs))
    steps = [(job, s) for job in jobs for s in _sheet_of(job, rows).steps if s.unconfirmed]
    readings = (r.reading.entry_sequence for _, s in steps for r in s.taken)
    said = (
        row.entry_sequence
        for table in (StepMark, Remark)
        for job, s in steps
        for row in table.objects.filter(job=job, step_id=s.step.id)
    )
    taken = (p.entry_sequence for job, s in steps for p in photos.photos_of(photo_subject(job, s.step.id)))
    return frozenset((*readings, *said, *taken))


def photo_subject(job: Job, step_id: str) -> str:
    """What a photo of a step is of, as photos know it."""
    return f"job/{job.number}/step/{step_id}"


def photos_shown(sheet: JobSheet, found: Iterable[Photo]) -> list[Photo]:
    """Of the photos of a job and its steps those that its viewer may be shown."""
    lines = {photo_subject(sheet.job, line.step.id): line for line in sheet.steps}
    return [p for p in found if p.subject not in lines or lines[p.subject].shows(p.by_id)]


def last_instrument(person: Person, among: Iterable[str]) -> str:
    """Number of the one of these instruments that this person read last, else anybody; "" for none."""
    rows = Reading.objects.filter(instrument__number__in=list(among)).order_by("-id")
    numbers = rows.values_list("instrument__number", flat=True)
    return numbers.filter(by=person).first() or numbers.first() or ""


def cautions_confirmed(job: Job, person: Person) -> frozenset[str]:
    """The cautions that a person has confirmed in this visit."""
    rows = CautionConfirmed.objects.filter(job=job, by=person)
    return frozenset(rows.values_list("text", flat=True))


def last_change(job: Job) -> int:
    """The newest journal entry of a job."""
    return journal.last_about(f"job/{job.number}")


def photo_missing(job: Job, line: StepLine) -> bool:
    """Whether a step asks for a photo and has none since it was opened."""
    if not line.step.photo:
        return False
    taken = photos.photos_of(photo_subject(job, line.step.id))
    return not any(photo.entry_sequence > line.opened for photo in taken)


def _jobs() -> QuerySet[Job]:
    """Jobs with what every list says of them; the text of the sheet, which is long, only where it is read."""
    return Job.objects.select_related("engine", "engine__owner", "sheet", "opened_by").defer("sheet__text")


def listed() -> QuerySet[Job]:
    """Jobs for a list, with how each ended, and with the tasks it took in `tasks_added`."""
    added = AddedTask.objects.filter(removed=None).order_by("id")
    took = Prefetch("added_tasks", added, to_attr="tasks_added")
    return _jobs().select_related("release", "closure", "first_dropped").prefetch_related(took)


def _sheet_of(job: Job, rows: Rows, viewer: Viewer | None = None) -> JobSheet:
    sheet = sheet_for(job.sheet, job.engine.build_id)
    tasks = tasks_of(job, sheet, rows.added.get(job.pk, []), dropped=job.pk in rows.first_dropped)
    remarks, hand_overs = rows.remarks.get(job.pk, ()), rows.hand_overs.get(job.pk, ())
    return JobSheet(
        job=job,
        sheet=sheet,
        tasks=tasks,
        steps=_step_lines(job, sheet, tasks, rows, viewer),
        kits=_kits(job, tasks, rows.lots),
        release=rows.releases.get(job.pk),
        closure=rows.closures.get(job.pk),
        course=Course(tuple(remarks), tuple(hand_overs), rows.pauses.get(job.pk)),
        deferred=frozenset((step, finding) for pk, step, finding in rows.deferred if pk == job.pk),
        answers=tuple(rows.answers.get(job.pk, ())),
        composed=rows.composed.get(job.pk),
        arrival=rows.arrivals.get(job.pk),
    )


def task_ids(job: Job) -> list[str]:
    """The tasks of a job of a list, first the one it was opened for unless that was dropped."""
    first = [] if hasattr(job, "first_dropped") else [job.task_id]
    return [*first, *(row.task_id for row in job.tasks_added)]  # type: ignore[attr-defined]  # read with the list


def sheet_for(version: SheetVersion, build_id: str = "") -> TypeSheet:
    """A version of a sheet as one build sees it, or the whole of it; a fingerprint never means another text."""
    whole = register.sheet_of(version)
    if unknown := tuple(missing(whole.limits)):
        raise SheetError(f"{whole.id}, version {whole.version}", unknown)
    return register.sheet_of(version, build_id)


def _kits(job: Job, tasks: tuple[JobTask, ...], lots: dict[tuple[int, str], str]) -> tuple[KitList, ...]:
    """The kit of every card that has one; its lot is noted under the card's name, but for the first card's."""
    kits = []
    for card in (t.card for t in tasks if not t.repeats):
        if card.kit:
            use, aside = _pieces(job, card.kit)
            lot = lots.get((job.pk, "" if card.id == job.card_id else card.id), "")
            kits.append(KitList(card, sheet_for(job.sheet).kit(card.kit).title, use, aside, lot))
    return tuple(kits)


def _pieces(job: Job, kit_id: str) -> tuple[tuple[Piece, ...], tuple[Piece, ...]]:
    # The whole sheet is asked, since a sheet cut down to one build has lost the pieces of the others.
    whole = sheet_for(job.sheet)
    use, aside = whole.kit_for_build(kit_id, job.engine.build_id)
    return (
        tuple(Piece(whole.part(p.part), p.quantity) for p in use),
        tuple(Piece(whole.part(p.part), p.quantity, p.laid_aside_because) for p in aside),
    )


def _step_lines(
    job: Job, sheet: TypeSheet, tasks: tuple[JobTask, ...], rows: Rows, viewer: Viewer | None
) -> tuple[StepLine, ...]:
    lines, is_open = [], job.pk not in rows.releases and job.pk not in rows.closures
    for number, written in enumerate(written_steps(job, sheet, tasks, rows.composed.get(job.pk)), start=1):
        step, site, never = written.step, written.site, written.never
        mark = rows.marks.get((job.pk, step.id))
        rows_here = rows.readings.get((job.pk, step.id), ())
        own = tuple(ReadingLine(r, site, never) for r in rows_here) if site else ()
        check = rows.checks.get(mark.pk) if mark else None
        skipped = rows.skipped.get((job.pk, step.id))
        lines.append(
            StepLine(
                number,
                step,
                written.card,
                site,
                mark,
                own,
                check,
                skipped,
                is_open,
                never=never,
                fitted=written.fitted,
                viewer=viewer,
                last_found=rows.last_found.get((job.pk, step.id), ""),
                serves=written.serves,
                group=written.group,
            )
        )
    return with_conditions(lines)


def with_conditions(lines: list[StepLine]) -> tuple[StepLine, ...]:
    """The steps, each on condition of a finding with whether it was made, and with its condition in words."""
    by_id = {line.step.id: line for line in lines}
    made = {(line.step.id, line.known_finding) for line in lines}
    shown = []
    for line in lines:
        on = conditions(line.step)
        words = [
            f"“{f.title}” at step {by_id[name].number}"
            for name, finding in on
            if name in by_id
            for f in by_id[name].step.findings
            if f.id == finding
        ]
        condition = f"Only if found: {' or '.join(words)}." if words else ""
        met = not on or not made.isdisjoint(on)
        shown.append(replace(line, condition_met=met, condition=condition) if on else line)
    return tuple(shown)
