"""Reads of the bench: a job with its card, its pieces, how each step stands, and what keeps it from release."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import QuerySet

from tickover.science.readings import Decision, Verdict, sentence
from tickover.science.working import Working
from tickover.sheets import Card, Finding, LimitRow, Part, Step, TypeSheet
from tickover.workshop.bench.judging import judge
from tickover.workshop.bench.models import Closure, Job, Reading, Release, SecondCheck, StepMark
from tickover.workshop.people import queries as people
from tickover.workshop.people.models import Person
from tickover.workshop.register import queries as register
from tickover.workshop.register.models import Engine


@dataclass(frozen=True)
class Piece:
    """A piece of the kit: how many, and why it is laid aside where it is."""

    part: Part
    quantity: int
    because: str = ""


@dataclass(frozen=True)
class ReadingLine:
    """A reading with its limit and the verdict in words."""

    reading: Reading
    limit: LimitRow
    verdict: Verdict

    @property
    def sentence(self) -> str:
        return sentence(self.verdict, self.limit.unit, self.limit.low_means, self.limit.high_means)

    @property
    def working(self) -> Working:
        return self.verdict.working(self.limit.unit, self.limit.title)


@dataclass(frozen=True)
class StepLine:
    """How one step stands."""

    number: int
    step: Step
    limit: LimitRow | None
    mark: StepMark | None
    readings: tuple[ReadingLine, ...]
    check: SecondCheck | None

    @property
    def done(self) -> bool:
        return self.mark is not None and self.mark.state == StepMark.State.DONE

    @property
    def reading(self) -> ReadingLine | None:
        """The newest reading of the step itself; one from before the step was opened again does not count."""
        after = 0 if self.mark is None or self.done else self.mark.entry_sequence
        own = [
            r
            for r in self.readings
            if r.reading.purpose == Reading.Purpose.STEP and r.reading.entry_sequence > after
        ]
        return own[-1] if own else None

    @property
    def finding(self) -> Finding | None:
        if not (self.mark and self.done):
            return None
        return next((f for f in self.step.findings if f.id == self.mark.finding_id), None)

    @property
    def awaits_second_check(self) -> bool:
        return self.done and self.step.second_check and self.check is None

    @property
    def settled(self) -> bool:
        return self.done and not self.awaits_second_check


@dataclass(frozen=True)
class JobSheet:
    """A job as the bench sees it."""

    job: Job
    sheet: TypeSheet
    card: Card
    steps: tuple[StepLine, ...]
    use: tuple[Piece, ...]
    lay_aside: tuple[Piece, ...]
    lot: str
    release: Release | None
    closure: Closure | None

    @property
    def open(self) -> bool:
        return self.release is None and self.closure is None

    @property
    def state(self) -> str:
        if self.release:
            return "released"
        return "closed without release" if self.closure else "open"

    @property
    def done_count(self) -> int:
        return sum(s.done for s in self.steps)

    @property
    def current(self) -> StepLine | None:
        """The first step that is not done."""
        return next((s for s in self.steps if not s.done), None)

    @property
    def awaiting(self) -> tuple[StepLine, ...]:
        return tuple(s for s in self.steps if s.awaits_second_check)

    @property
    def task_title(self) -> str:
        return self.sheet.task(self.job.task_id).title

    @property
    def blockers(self) -> list[str]:
        """What stands between this job and a release, each as a sentence."""
        return [b for s in self.steps for b in _blockers(s)]

    def step(self, step_id: str) -> StepLine:
        """Raises LookupError where this build's card has no such step."""
        for line in self.steps:
            if line.step.id == step_id:
                return line
        raise LookupError(f"the card has no step {step_id!r} for this build")


def job_sheet(job: Job) -> JobSheet:
    sheet = register.sheet_of(job.sheet).for_build(job.engine.build_id)
    card = sheet.card(job.card_id)
    note = job.kit_notes.order_by("-id").first()
    use, aside = _pieces(job, sheet, card)
    return JobSheet(
        job=job,
        sheet=sheet,
        card=card,
        steps=_step_lines(job, sheet, card),
        use=use,
        lay_aside=aside,
        lot=note.lot if note else "",
        release=Release.objects.select_related("by").filter(job=job).first(),
        closure=Closure.objects.select_related("by").filter(job=job).first(),
    )


def job_by_number(number: str) -> Job | None:
    return _jobs().filter(number=number).first()


def open_jobs() -> list[JobSheet]:
    return [job_sheet(j) for j in _jobs().filter(release=None, closure=None).order_by("number")]


def open_job_for(engine: Engine, task_id: str) -> Job | None:
    return _jobs().filter(engine=engine, task_id=task_id, release=None, closure=None).first()


def jobs_of(engine: Engine) -> list[Job]:
    return list(_jobs().select_related("release", "closure").filter(engine=engine).order_by("-number"))


def all_jobs(limit: int = 200) -> list[Job]:
    return list(_jobs().select_related("release", "closure").order_by("-opened_at", "-number")[:limit])


def release_by_number(number: str) -> Release | None:
    return Release.objects.select_related("job", "job__engine", "by").filter(number=number).first()


def second_look_from(line: StepLine) -> datetime | None:
    """When a second look may be taken by the same person; None where two people work."""
    shop = people.the_workshop()
    if not shop.works_alone or line.mark is None:
        return None
    return line.mark.at + timedelta(minutes=shop.second_look_minutes)


def may_confirm(line: StepLine, person: Person) -> bool:
    return line.mark is not None and line.mark.by_id != person.pk


def _jobs() -> QuerySet[Job]:
    return Job.objects.select_related("engine", "engine__owner", "sheet", "opened_by")


def _pieces(job: Job, sheet: TypeSheet, card: Card) -> tuple[tuple[Piece, ...], tuple[Piece, ...]]:
    if not card.kit:
        return (), ()
    # The whole sheet is asked, since a sheet cut down to one build has lost the pieces of the others.
    whole = register.sheet_of(job.sheet)
    use, aside = whole.kit_for_build(card.kit, job.engine.build_id)
    return (
        tuple(Piece(whole.part(p.part), p.quantity) for p in use),
        tuple(Piece(whole.part(p.part), p.quantity, p.laid_aside_because) for p in aside),
    )


def _step_lines(job: Job, sheet: TypeSheet, card: Card) -> tuple[StepLine, ...]:
    marks = {
        m.step_id: m
        for m in job.marks.select_related("by", "second_check", "second_check__by").order_by("id")
    }
    readings = list(job.readings.select_related("by").order_by("id"))
    lines = []
    for number, step in enumerate(card.steps, start=1):
        mark = marks.get(step.id)
        limit = sheet.limit(step.reading) if step.reading else None
        own = tuple(
            ReadingLine(r, limit, judge(r.value, limit)) for r in readings if limit and r.step_id == step.id
        )
        lines.append(StepLine(number, step, limit, mark, own, getattr(mark, "second_check", None)))
    return tuple(lines)


def _blockers(line: StepLine) -> list[str]:
    name = f"Step {line.number}, {line.step.act.rstrip('.')}"
    if not line.done:
        return [f"{name}: not done yet."]
    found = []
    if line.awaits_second_check:
        found.append(f"{name}: the second check is open.")
    if line.finding and line.finding.action in ("stop", "do not release"):
        found.append(f"{name}: found “{line.finding.title}”, which means: {line.finding.action}.")
    last = line.reading
    if last and last.verdict.decision is Decision.OUTSIDE:
        found.append(f"{name}: the reading is outside its limit. {last.sentence}")
    elif last and line.step.critical and last.verdict.decision is Decision.CANNOT_TELL:
        found.append(f"{name}: it cannot be told whether the reading is inside. {last.sentence}")
    return found
