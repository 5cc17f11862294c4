"""Exceedances of a job: what went beyond a limit that is never passed, and what was done about it.

What cannot be undone is not cured by a second reading: an exceedance stays with the job until it is answered.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any, NamedTuple

from tickover.science.core.decimals import format_reading
from tickover.workshop.kernel.local_time import local_day
from tickover.workshop.visits.models import ExceedanceAnswer, Reading
from tickover.workshop.visits.steps.never import beyond
from tickover.workshop.visits.steps.reading_line import ReadingLine
from tickover.workshop.visits.steps.step_line import StepLine

RUN = "run/"
WRENCH = "wrench"
"""What is asked about where no limit was passed: which wrench set a critical torque."""


class Spot(NamedTuple):
    """Where it happened: a step, or "run/<journal entry>"; and the limit, or the finding of the run-up."""

    place: str
    what: str

    @property
    def of_run(self) -> bool:
        return self.place.startswith(RUN)

    @property
    def of_wrench(self) -> bool:
        return self.what == WRENCH


@dataclass(frozen=True)
class Case:
    """One reading, or one run-up, that went beyond; `doers` are the persons who cannot decide on it."""

    spot: Spot
    title: str
    said: str
    entry: int
    at: datetime
    doers: frozenset[int] = field(default_factory=frozenset)
    parts: tuple[str, ...] = ()
    """Parts of the sheet that it may have harmed."""


@dataclass(frozen=True)
class Exceedance:
    """What went beyond at one place, once or several times, and its answer; None while it is open."""

    cases: tuple[Case, ...]
    answer: ExceedanceAnswer | None = None

    @property
    def spot(self) -> Spot:
        return self.cases[0].spot

    @property
    def title(self) -> str:
        return self.cases[0].title

    @property
    def entries(self) -> tuple[int, ...]:
        return tuple(case.entry for case in self.cases)

    @property
    def last_at(self) -> datetime:
        return max(case.at for case in self.cases)

    @property
    def doers(self) -> frozenset[int]:
        return frozenset[int]().union(*(case.doers for case in self.cases))

    @property
    def parts(self) -> tuple[str, ...]:
        return self.cases[0].parts

    @property
    def said(self) -> str:
        """Where it happened, and what."""
        return f"{self.title}: {self.happened}"

    @property
    def happened(self) -> str:
        """What happened, in words."""
        return f"{'; then '.join(case.said for case in self.cases)}."

    @property
    def heading(self) -> str:
        """What kind of question it is."""
        return "Wrench not recorded" if self.spot.of_wrench else "Exceedance"

    @property
    def blocker(self) -> str:
        """What keeps the engine from release, and how it is answered."""
        if self.spot.of_wrench:
            return (
                f"Wrench not recorded. {self.said} Open the step again and set it with a wrench of the register; "
                "where no record can be had, an inspector decides in words."
            )
        return f"Exceedance not answered. {self.said}"

    @property
    def answered(self) -> str:
        """What was done about it, in words; "" while it is open."""
        return "" if self.answer is None else answer_in_words(self.answer)

    def facts(self) -> dict[str, Any]:
        """As a release holds it."""
        heading = {"heading": self.heading} if self.spot.of_wrench else {}
        return {"entries": list(self.entries), "said": self.said, "answer": self.answered, **heading}


def answer_in_words(answer: ExceedanceAnswer) -> str:
    """Who did what about it, and when."""
    when = local_day(answer.at)
    if answer.kind == ExceedanceAnswer.Kind.RENEWED:
        lot = f", lot {answer.lot}" if answer.lot else ""
        return f"Part renewed: {answer.part}{lot}, by {answer.by}, {when}."
    alone = ", who did the work and works alone, at a second look" if answer.second_look else ""
    return f"Decision of {answer.by}{alone}, {when}: {answer.words}"


def of_steps(lines: Iterable[StepLine], answers: Sequence[ExceedanceAnswer]) -> tuple[Exceedance, ...]:
    """Those of a job's readings; of a step that waits for its blind second reading none, until it is in."""
    cases = [case for line in lines for case in (*_cases(line), *_unknown_wrench(line))]
    return grouped(cases, answers)


def grouped(cases: Iterable[Case], answers: Sequence[ExceedanceAnswer]) -> tuple[Exceedance, ...]:
    """Cases of one place that have one answer, or none yet, belong together."""
    found: dict[tuple[Spot, int | None], list[Case]] = {}
    by_case = {(Spot(a.place, a.what), entry): a for a in answers for entry in a.entries}
    for case in cases:
        answer = by_case.get((case.spot, case.entry))
        found.setdefault((case.spot, answer.pk if answer else None), []).append(case)
    return tuple(Exceedance(tuple(c), by_case.get((c[0].spot, c[0].entry))) for c in found.values())


def _cases(line: StepLine) -> list[Case]:
    if line.limit is None or not line.never.words:
        return []
    found = ((r, beyond(r.site, line.never, r.amounts, r.reading.value)) for r in line.readings)
    return [_case(line, r, numbers) for r, numbers in found if numbers]


def _case(line: StepLine, r: ReadingLine, numbers: tuple[float, ...]) -> Case:
    done_by = {line.mark.by_id} if line.mark else set()
    read_by = {r.reading.by_id} if r.reading.purpose == Reading.Purpose.STEP else set()
    return Case(
        Spot(line.step.id, r.limit.id),
        f"Step {line.number}, {r.limit.title}",
        _said(line, r, numbers),
        r.reading.entry_sequence,
        r.reading.at,
        frozenset(done_by | read_by),
        line.fitted,
    )


def _unknown_wrench(line: StepLine) -> list[Case]:
    """The torque of a critical step as it is set now, where nobody recorded by which wrench."""
    r = line.reading
    if (
        r is None
        or not line.step.critical
        or line.as_found
        or not r.reading.torque_set
        or r.gauge is not None
    ):
        return []
    by = f"by {r.reading.by}, {local_day(r.reading.at)}, journal entry {r.reading.entry_sequence}"
    said = f"set to {r.shown} {r.limit.unit} {by}; nobody recorded which wrench"
    case = _case(line, r, (r.reading.value,))
    return [replace(case, spot=Spot(line.step.id, WRENCH), said=said, parts=())]


def _said(line: StepLine, r: ReadingLine, numbers: tuple[float, ...]) -> str:
    never, unit = line.never, r.limit.unit
    read = " and ".join(format_reading(x, r.limit.resolution, never.below, never.above) for x in numbers)
    second = " at the second check" if r.reading.purpose == Reading.Purpose.SECOND_CHECK else ""
    by = f"by {r.reading.by}, {local_day(r.reading.at)}, journal entry {r.reading.entry_sequence}"
    how = "set" if r.reading.torque_set else "read"
    return f"{read} {unit} {how}{second} ({never.words}; {by}){_doubt(line, r, numbers)}"


def _doubt(line: StepLine, r: ReadingLine, numbers: tuple[float, ...]) -> str:
    """That the gauge leaves open what it read; it is asked anyway, since harm does not show in a number."""
    expanded = 2.0 * (r.reading.standard_uncertainty or 0.0)
    if r.reading.torque_set or any(line.never.surely_passed(x, expanded) for x in numbers):
        return ""
    width = format_reading(expanded, r.limit.resolution)
    return f". At ± {width} {r.limit.unit} of this gauge it may have been inside; it counts as read"
