"""How a job stands: its steps, their readings and marks, what keeps it from release, and what is to be known."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

from tickover.science.readings import Decision, Verdict
from tickover.science.shown import shown
from tickover.science.working import Working
from tickover.sheets import Card, Finding, LimitRow, Part, Step, TypeSheet
from tickover.workshop.bench.asked import TYPED, Asked
from tickover.workshop.bench.computed import Site
from tickover.workshop.bench.course import Course, JobTask
from tickover.workshop.bench.measuring import Measured, asks_of, measure
from tickover.workshop.bench.models import Closure, Job, Reading, Release, SecondCheck, StepMark
from tickover.workshop.instruments.queries import Gauge


@dataclass(frozen=True)
class Piece:
    """A piece of the kit: how many, and why it is laid aside where it is."""

    part: Part
    quantity: int
    because: str = ""


@dataclass(frozen=True)
class KitList:
    """The kit of one card: which of its pieces this build uses, and the lot on its bag."""

    card: Card
    title: str
    use: tuple[Piece, ...]
    lay_aside: tuple[Piece, ...]
    lot: str


@dataclass(frozen=True)
class ReadingLine:
    """A reading with its limit; what it comes to is worked out again when it is asked for."""

    reading: Reading
    site: Site

    @property
    def limit(self) -> LimitRow:
        return self.site.limit

    @property
    def gauge(self) -> Gauge | None:
        """The instrument it was read with, as that stood then."""
        return Gauge.kept(self.reading.gauge)

    @cached_property
    def measured(self) -> Measured:
        amounts = {i["name"]: i["value"] for i in self.reading.inputs} or {TYPED: self.reading.value}
        return measure(self.site, amounts, self.gauge)

    @property
    def verdict(self) -> Verdict:
        return self.measured.verdict

    @property
    def sentence(self) -> str:
        return self.measured.sentence(self.limit)

    @property
    def workings(self) -> tuple[Working, ...]:
        return self.measured.workings

    @property
    def shown(self) -> str:
        """The value, never rounded to the other side of a limit."""
        limit = self.limit
        return shown(self.reading.value, limit.resolution, limit.lower, limit.upper)

    @property
    def typed(self) -> str:
        """As it was typed, with its unit where that is not the sheet's."""
        unit = self.reading.typed_unit
        return f"{self.reading.typed} {unit}" if unit not in ("", self.limit.unit) else self.reading.typed

    @property
    def uncalibrated(self) -> str:
        """What was wrong with the instrument's calibration; "" if nothing was."""
        return self.gauge.uncalibrated(self.reading.at.date()) if self.gauge else ""

    @property
    def doubts(self) -> tuple[str, ...]:
        """What is to be known about the instrument of this reading, each as a sentence."""
        if self.gauge is None:
            return ()
        asks = {a.name: a for a in asks_of(self.site) if a.gauged}
        amounts = {i["name"]: i["value"] for i in self.reading.inputs} or {TYPED: self.reading.value}
        beyond = (self.gauge.out_of_range(amounts[n], a.unit) for n, a in asks.items() if n in amounts)
        return tuple(dict.fromkeys(d for d in (self.uncalibrated, *beyond) if d))


@dataclass(frozen=True)
class StepLine:
    """How one step stands."""

    number: int
    step: Step
    card: Card
    site: Site | None
    mark: StepMark | None
    readings: tuple[ReadingLine, ...]
    check: SecondCheck | None

    @property
    def limit(self) -> LimitRow | None:
        return self.site.limit if self.site else None

    @property
    def asks(self) -> tuple[Asked, ...]:
        """The fields of its reading."""
        return asks_of(self.site) if self.site else ()

    @property
    def as_found(self) -> bool:
        """Whether it notes how things were before any work, which stands against nothing."""
        return self.step.moment == "as found"

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

    @property
    def name(self) -> str:
        return f"Step {self.number}, {self.step.act.rstrip('.')}"

    @property
    def blockers(self) -> list[str]:
        """What of this step stands against a release, each as a sentence."""
        if not self.done:
            return [f"{self.name}: not done yet."]
        found = []
        if self.awaits_second_check:
            found.append(f"{self.name}: the second check is open.")
        if self.finding and self.finding.action in ("stop", "do not release"):
            found.append(f"{self.name}: found “{self.finding.title}”, which means: {self.finding.action}.")
        if self.reading and not self.as_found:
            found += self._against(self.reading)
        return found

    def _against(self, last: ReadingLine) -> list[str]:
        if last.verdict.decision is Decision.OUTSIDE:
            return [f"{self.name}: the reading is outside its limit. {last.sentence}"]
        if self.step.critical and last.verdict.decision is Decision.CANNOT_TELL:
            return [f"{self.name}: it cannot be told whether the reading is inside. {last.sentence}"]
        return []

    @property
    def warnings(self) -> list[str]:
        """What is to be known about its readings, and stands against nothing."""
        counting = [
            r for r in self.readings if r is self.reading or r.reading.purpose != Reading.Purpose.STEP
        ]
        return list(dict.fromkeys(f"{self.name}: {doubt}" for r in counting for doubt in r.doubts))


@dataclass(frozen=True)
class BeforeAfter:
    """One limit as it was found and as it is left."""

    limit: LimitRow
    found: ReadingLine | None
    left: ReadingLine | None


@dataclass(frozen=True)
class JobSheet:
    """A job as the bench sees it."""

    job: Job
    sheet: TypeSheet
    tasks: tuple[JobTask, ...]
    steps: tuple[StepLine, ...]
    kits: tuple[KitList, ...]
    release: Release | None
    closure: Closure | None
    course: Course = field(default_factory=Course)
    deferred: frozenset[tuple[str, str]] = frozenset()
    """(step, finding) for which a defect was deferred."""

    @property
    def open(self) -> bool:
        return self.release is None and self.closure is None

    @property
    def state(self) -> str:
        if self.release:
            return "released"
        if self.closure:
            return "closed without release"
        return "paused" if self.course.paused else "open"

    @property
    def card(self) -> Card:
        """The card the job began with."""
        return self.tasks[0].card

    @property
    def cards(self) -> tuple[Card, ...]:
        return tuple(t.card for t in self.tasks if not t.repeats)

    @property
    def cautions(self) -> tuple[str, ...]:
        """Those of every card, each once."""
        return tuple(dict.fromkeys(text for card in self.cards for text in card.cautions))

    @property
    def added(self) -> tuple[JobTask, ...]:
        return self.tasks[1:]

    @property
    def use(self) -> tuple[Piece, ...]:
        return tuple(p for kit in self.kits for p in kit.use)

    @property
    def lay_aside(self) -> tuple[Piece, ...]:
        return tuple(p for kit in self.kits for p in kit.lay_aside)

    @property
    def lot(self) -> str:
        """The lots of its kits: which kit each is of is said only where there are several."""
        if len(self.kits) == 1:
            return self.kits[0].lot
        return ", ".join(f"{k.title} {k.lot}" for k in self.kits if k.lot)

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
        """Its task, and with it those that were added."""
        return ", with ".join(t.task.title for t in self.tasks)

    def does(self, task_id: str) -> bool:
        """Whether the job does this task, from the start or added."""
        return any(t.task.id == task_id for t in self.tasks)

    def asks_for(self, line: StepLine) -> str:
        """The task that a finding at a step asks for, while the job neither does it nor may leave it."""
        found = line.finding
        if found is None or found.task is None or self.does(found.task):
            return ""
        return "" if (line.step.id, found.id) in self.deferred else found.task

    @property
    def asked_for(self) -> list[StepLine]:
        """Steps at which something was found that asks for a further task."""
        return [s for s in self.steps if self.asks_for(s)]

    @cached_property
    def blockers(self) -> list[str]:
        """What stands between this job and a release, each as a sentence."""
        found = [b for s in self.steps for b in s.blockers]
        for line in self.asked_for:
            assert line.finding is not None
            title = self.sheet.task(self.asks_for(line)).title
            found.append(
                f"{line.name}: found “{line.finding.title}”, which asks for “{title}”. "
                "Add it to this job, or defer it as a defect."
            )
        return found

    @cached_property
    def warnings(self) -> list[str]:
        """What is to be known before it is released, and does not keep it from it."""
        return [w for s in self.steps for w in s.warnings]

    @cached_property
    def before_after(self) -> list[BeforeAfter]:
        """Limits that are read as found and as left, beside one another."""
        pairs: dict[str, dict[str, StepLine]] = {}
        for s in self.steps:
            if s.limit and s.step.moment:
                pairs.setdefault(s.limit.id, {})[s.step.moment] = s
        found = [pair for pair in pairs.values() if "as found" in pair]
        return [BeforeAfter(_limit(p), _of(p, "as found"), _of(p, "as left")) for p in found]

    def step(self, step_id: str) -> StepLine:
        """Raises LookupError where this build's card has no such step."""
        for line in self.steps:
            if line.step.id == step_id:
                return line
        raise LookupError(f"the card has no step {step_id!r} for this build")


def _limit(pair: dict[str, StepLine]) -> LimitRow:
    limit = next(iter(pair.values())).limit
    assert limit is not None
    return limit


def _of(pair: dict[str, StepLine], moment: str) -> ReadingLine | None:
    return pair[moment].reading if moment in pair else None
