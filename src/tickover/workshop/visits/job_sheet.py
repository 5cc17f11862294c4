"""How a job stands: its tasks, kits and steps, what keeps it from release, and what is to be known."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from itertools import groupby

from tickover.sheets import Card, LimitRow, Part, TypeSheet
from tickover.workshop.visits.course import Course, JobTask, job_name
from tickover.workshop.visits.models import (
    Arrival,
    Closure,
    ComposedCard,
    ExceedanceAnswer,
    Job,
    Release,
    Remark,
)
from tickover.workshop.visits.steps.exceedances import Exceedance, of_steps
from tickover.workshop.visits.steps.step_line import StepLine


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
class BeforeAfter:
    """One limit as it was found and as it is left."""

    limit: LimitRow
    found: StepLine
    left: StepLine | None

    @property
    def title(self) -> str:
        """What is read, and where, of a limit that is read at several places."""
        place = self.found.step.place
        return f"{self.limit.title}, {place}" if place else self.limit.title


@dataclass(frozen=True)
class CardPart:
    """Steps of a job that follow one another in one place of the engine, or on one card; "" where there is one part."""

    title: str
    lines: tuple[tuple[StepLine, str], ...]

    @property
    def current(self) -> bool:
        """Whether the next step is in it."""
        return any(word == "next" for _, word in self.lines)

    @property
    def done(self) -> int:
        return sum(line.done for line, _ in self.lines)


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
    answers: tuple[ExceedanceAnswer, ...] = ()
    """What was done about its exceedances, those of its run-ups too."""
    composed: ComposedCard | None = None
    """Its cards as one; None where it has one card, or one that cannot be composed."""
    arrival: Arrival | None = None
    """How the engine came in; None for a job that was opened for one task."""

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
    def remarks(self) -> list[Remark]:
        """Remarks on it and its steps as they may be shown."""
        lines = {line.step.id: line for line in self.steps}
        return [r for r in self.course.remarks if r.step_id not in lines or lines[r.step_id].shows(r.by_id)]

    @property
    def card(self) -> Card:
        """The first of its cards."""
        return self.tasks[0].card

    @property
    def cards(self) -> tuple[Card, ...]:
        return tuple(t.card for t in self.tasks if not t.repeats)

    @property
    def cautions(self) -> tuple[str, ...]:
        """Those of every card, each once."""
        return tuple(dict.fromkeys(text for card in self.cards for text in card.cautions))

    @property
    def tools(self) -> tuple[str, ...]:
        """Those of every card, each once."""
        return tuple(dict.fromkeys(tool for card in self.cards for tool in card.tools))

    @property
    def consumables(self) -> tuple[str, ...]:
        """Those of every card, each once."""
        return tuple(dict.fromkeys(item for card in self.cards for item in card.consumables))

    @property
    def added(self) -> tuple[JobTask, ...]:
        """Tasks it took, from the start or on the way."""
        return tuple(t for t in self.tasks if t.added)

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
    def needed_count(self) -> int:
        """How many steps there are to do: those on condition of a finding only where it was made."""
        return sum(not s.not_needed for s in self.steps)

    @property
    def current(self) -> StepLine | None:
        """The first step that is not done, and is needed."""
        return next((s for s in self.steps if not s.done and not s.not_needed), None)

    @property
    def progress(self) -> list[tuple[StepLine, str]]:
        """Its steps, each with a word: done, waiting (for its second check), next, not needed or open."""
        current = self.current
        return [(s, "next" if s is current else s.progress) for s in self.steps]

    @property
    def parts(self) -> list[CardPart]:
        """Its steps by the place of the engine they are at, or by their card."""
        several = len(self.cards) > 1
        titled = groupby(self.progress, lambda one: (one[0].group or one[0].card.title) if several else "")
        return [CardPart(title, tuple(lines)) for title, lines in titled]

    @property
    def awaiting(self) -> tuple[StepLine, ...]:
        return tuple(s for s in self.steps if s.awaits_second_check)

    @property
    def task_title(self) -> str:
        """Its task, and with it those that were added."""
        return ", with ".join(t.task.title for t in self.tasks)

    @property
    def short_title(self) -> str:
        """Its task; of several the first, and how many more."""
        more = len(self.tasks) - 1
        return self.task_title if more < 2 else f"{self.tasks[0].task.title}, and {more} more tasks"

    @property
    def composed_words(self) -> str:
        """What the one card saves: "170 steps for 229, about 1.3 h saved"."""
        if self.composed is None:
            return ""
        alone = sum(len(card.steps) for card in self.cards)
        saved = (self.composed.minutes_alone - self.composed.minutes) / 60.0
        return f"{len(self.steps)} steps for {alone}, about {saved:.1f} h saved"

    def does(self, task_id: str) -> bool:
        """Whether the job does this task, from the start or added."""
        return any(t.task.id == task_id for t in self.tasks)

    def does_with_another(self, task_id: str) -> bool:
        """Whether the job does this task, or a greater one that does it as well."""
        return self.does(task_id) or any(task_id in self.sheet.contained(t.task.id) for t in self.tasks)

    def asks_for(self, line: StepLine) -> str:
        """The task that a finding at a step asks for, while the job neither does it nor may leave it."""
        found = line.finding
        if found is None or found.task is None or self.does_with_another(found.task):
            return ""
        return "" if (line.step.id, found.id) in self.deferred else found.task

    @property
    def asked_for(self) -> list[StepLine]:
        """Steps at which something was found that asks for a further task."""
        return [s for s in self.steps if self.asks_for(s)]

    @cached_property
    def exceedances(self) -> tuple[Exceedance, ...]:
        """What its readings say went beyond a limit that is never passed, and critical torques set by nobody knows
        which wrench; not what its run-ups say.
        """
        return of_steps(self.steps, self.answers)

    @cached_property
    def blockers(self) -> list[str]:
        """What stands between this job and a release, each as a sentence."""
        found = [b for s in self.steps for b in s.blockers]
        found += [e.blocker for e in self.exceedances if e.answer is None]
        for line in self.asked_for:
            assert line.finding is not None
            title = self.sheet.task(self.asks_for(line)).title
            deferred = ", or defer it as a defect" if line.finding.action == "add task" else ""
            found.append(
                f"{line.name}: found “{line.finding.title}”: “{title}” is needed. "
                f"Add it to this visit{deferred}."
            )
        return found

    @cached_property
    def warnings(self) -> list[str]:
        """What is to be known before it is released, and does not keep it from it."""
        return [w for s in self.steps for w in s.warnings]

    @cached_property
    def before_after(self) -> list[BeforeAfter]:
        """Limits that are read as found and as left, each place where one is read by itself."""
        pairs: dict[tuple[str, str], dict[str, StepLine]] = {}
        for s in self.steps:
            if s.limit and s.step.moment:
                pairs.setdefault((s.limit.id, s.step.place), {})[s.step.moment] = s
        return [
            BeforeAfter(found.limit, found, pair.get("as left"))
            for pair in pairs.values()
            if (found := pair.get("as found")) and found.limit
        ]

    def step(self, step_id: str) -> StepLine:
        """The step of that name, or the one of the composed card that does it.

        Raises LookupError where this build's card has no such step.
        """
        for line in self.steps:
            if line.step.id == step_id:
                return line
        for line in self.steps:
            if any(job_name(card, step, self.job) == step_id for card, step in line.serves):
                return line
        raise LookupError(f"the card has no step {step_id!r} for this build")
