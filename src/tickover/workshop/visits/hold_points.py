"""Hold points: work that waits until the second check of an earlier step is in, and who can give it.

A step with a second check holds the later steps of its card that its sheet names. Where the sheet says nothing of
it, it holds every later step of its card that closes a joint. And no step runs the engine while a second check
before it on its card is missing, or one of anything begun on another card of the job or in another open job of
the engine.

A finding that stops holds every later step of its card, and every run of the engine, until its step is done again
and finds something else; only what makes the engine safe is never held by it. One that is put right before the next
run holds every run of the engine in the same way, and nothing else. A step that is not needed holds nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime

from tickover.workshop.kernel.local_time import local_clock
from tickover.workshop.people import queries as people
from tickover.workshop.people.models import Person
from tickover.workshop.people.permission import Right, may
from tickover.workshop.visits import queries, second_checks
from tickover.workshop.visits.lock_open_job import VisitError
from tickover.workshop.visits.models import Job
from tickover.workshop.visits.queries import JobSheet, StepLine

NAMES_AT_MOST = 4


@dataclass(frozen=True)
class Hold:
    """A step whose second check something waits for, or whose finding stops it, and the job it is in."""

    line: StepLine
    job: Job
    elsewhere: bool = False
    stops: bool = False

    @property
    def step_in_words(self) -> str:
        of_job = f" of visit {self.job.number}" if self.elsewhere else ""
        return f"step {self.line.number}{of_job} ({self.line.step.act.rstrip('.')})"

    @property
    def wanted(self) -> str:
        """What is waited for: "the second check of step 19 (...)"."""
        if self.stops:
            does = "stops its card" if self.line.stops else "keeps the engine from running"
            return f"{self.step_in_words}, which {does}"
        check = "the second check of {}" if self.line.done else "{} and its second check"
        return check.format(self.step_in_words)

    @property
    def who(self) -> str:
        """Who can give the second check, or what has to be done first."""
        if self.stops:
            return "put it right, then open that step again and do it"
        return who_can_check(self.line) if self.line.done else f"do step {self.line.number} first"


def named_by(sheet: JobSheet, line: StepLine) -> tuple[StepLine, ...]:
    """Later steps of its card that wait for the second check of a step."""
    return tuple(s for s in sheet.steps if _names(line, s))


def runs_held_by(sheet: JobSheet, line: StepLine) -> tuple[StepLine, ...]:
    """Steps of the job not done yet that run the engine, and wait for the second check of a step."""
    runs = (s for s in sheet.steps if s.runs_engine and not s.done and not s.not_needed)
    holds = line.step.second_check and not line.not_needed
    return tuple(s for s in runs if holds and _before_a_run(line, s))


def holds_on(sheet: JobSheet, line: StepLine) -> tuple[Hold, ...]:
    """What a step waits for."""
    here = [s for s in sheet.steps if _check_missing(s) and (_names(s, line) or _before_a_run(s, line))]
    elsewhere = _elsewhere(sheet) if line.runs_engine else ()
    return (*_stops(sheet, line), *(Hold(s, sheet.job) for s in here), *elsewhere)


def holds_on_a_run_up(sheet: JobSheet) -> tuple[Hold, ...]:
    """What a run-up after the work waits for: every second check of what was done, here and in other jobs."""
    here = [s for s in sheet.steps if _open_check(s) and not s.runs_engine]
    stops = (Hold(s, sheet.job, stops=True) for s in sheet.steps if _bars_runs(s) and not s.runs_engine)
    return (*stops, *(Hold(s, sheet.job) for s in here), *_elsewhere(sheet))


def covered_by(sheet: JobSheet, line: StepLine) -> tuple[StepLine, ...]:
    """Steps done that close a step over: what is recorded at it now was not seen."""
    return () if line.settled else tuple(s for s in named_by(sheet, line) if s.done)


def refuse_where_held(sheet: JobSheet, line: StepLine) -> None:
    """Raises VisitError where a step waits for a second check, or is closed over by later work."""
    if covering := covered_by(sheet, line):
        raise VisitError(covered_in_words(line, covering))
    if holds := holds_on(sheet, line):
        raise VisitError(held_in_words(line, holds))


def held_in_words(line: StepLine, holds: tuple[Hold, ...]) -> str:
    """Why a step cannot be done yet, and who can change that."""
    more = f" and {len(holds) - 1} more" if len(holds) > 1 else ""
    return f"Step {line.number} waits for {holds[0].wanted}{more}: {holds[0].who}. Nothing was changed."


def run_up_held_in_words(holds: tuple[Hold, ...]) -> str:
    """Why no run-up after the work is taken yet."""
    more = f" and {len(holds) - 1} more" if len(holds) > 1 else ""
    return f"A run-up waits for {holds[0].wanted}{more}: {holds[0].who}. Nothing was added."


def covered_in_words(line: StepLine, covering: tuple[StepLine, ...]) -> str:
    """That a step can no longer be seen, and what has to be opened up."""
    names = _listed([str(s.number) for s in covering], "and")
    steps, close, those = ("Step", "covers", "it") if len(covering) == 1 else ("Steps", "cover", "them")
    return (
        f"{steps} {names} {close} step {line.number} and {'is' if those == 'it' else 'are'} done. "
        f"Open up the work and reopen {those} first. Nothing was changed."
    )


def hold_in_words(sheet: JobSheet, line: StepLine) -> str:
    """Before which work a step is a hold point: "before step 23 and before the engine runs"; "" for none."""
    if not line.step.second_check or line.settled or line.not_needed:
        return ""
    waiting = [s for s in named_by(sheet, line) if not s.done and not s.not_needed]
    parts = [f"before step {waiting[0].number}: {waiting[0].step.act.rstrip('.')}"] if waiting else []
    if runs_held_by(sheet, line):
        parts.append("before the engine runs")
    return ", and ".join(parts)


@dataclass(frozen=True)
class WaitingCheck:
    """A second check that a person can give, and before what it is a hold point.

    `look_from`: where one who works alone did the step, from when a second look counts.
    """

    sheet: JobSheet
    line: StepLine
    hold: str
    look_from: datetime | None = None


def checks_for(person: Person, jobs: Iterable[JobSheet]) -> list[WaitingCheck]:
    """Second checks that wait for this person, those that hold other work first."""
    if not may(person, Right.CONFIRM):
        return []
    found = [
        WaitingCheck(sheet, line, hold_in_words(sheet, line), look_from)
        for sheet in jobs
        if sheet.open and not sheet.course.paused
        for line in sheet.awaiting
        for own in [not second_checks.may_confirm(line, person)]
        for look_from in [second_checks.second_look_from(line) if own else None]
        if look_from or not own
    ]
    return sorted(found, key=lambda check: not check.hold)


def who_can_check(line: StepLine) -> str:
    """Who can give the second check of a step, or from when one who works alone can."""
    shop = people.the_workshop()
    names = [str(p) for p in people.who_may_confirm(other_than=line.workers)]
    if shop.works_alone:
        ready = second_checks.second_look_from(line)
        look = (
            f"from {local_clock(ready)}" if ready else f"{shop.second_look_minutes} minutes after it is done"
        )
        return f"a second look is possible {look}"
    if not names:
        return "nobody else here may give it. Ask the manager"
    more = len(names) - NAMES_AT_MOST
    shown = [*names[:NAMES_AT_MOST], f"{more} more"] if more > 0 else names
    return f"{_listed(shown, 'or')} can give it"


def _names(holder: StepLine, line: StepLine) -> bool:
    """Whether a step is a later one of a holder's card that waits for the holder's second check."""
    step = holder.step
    if line.number <= holder.number or not step.second_check or step.no_hold or holder.not_needed:
        return False
    waits = line.step.id in step.hold_before if step.hold_before else line.step.gives_torque
    return waits and not holder.cards.isdisjoint(line.cards)


def _before_a_run(holder: StepLine, run: StepLine) -> bool:
    """Whether a run waits for a step: an earlier one of its card, or one of another card that was begun. On a composed
    card every earlier one counts.
    """
    if not run.runs_engine or holder.number == run.number:
        return False
    if holder.cards & run.cards or holder.serves:
        return holder.number < run.number
    return _open_check(holder)


def _check_missing(line: StepLine) -> bool:
    """Whether a second check is still to come, of a step that is done or has to be."""
    return line.step.second_check and not line.settled and not line.not_needed


def _open_check(line: StepLine) -> bool:
    """Whether something was done at a step whose second check is missing."""
    return line.step.second_check and line.begun and not line.settled


def _stops(sheet: JobSheet, line: StepLine) -> tuple[Hold, ...]:
    """Findings that stop a step: earlier ones of its card; for a run those of the job's other cards too, and all
    that are put right before the next run.
    """
    if line.step.makes_safe:
        return ()
    return tuple(
        Hold(s, sheet.job, stops=True)
        for s in sheet.steps
        if (s.stops and _stopped_by(s, line)) or (s.keeps_runs and line.runs_engine and _run_waits(s, line))
    )


def _stopped_by(stop: StepLine, line: StepLine) -> bool:
    return stop.number < line.number if stop.cards & line.cards else line.runs_engine


def _run_waits(found: StepLine, run: StepLine) -> bool:
    """A later finding keeps an earlier run from being done again; that of a run only those after it, so that two
    runs never wait for each other.
    """
    return found.number < run.number or not found.runs_engine


def _bars_runs(line: StepLine) -> bool:
    return line.stops or line.keeps_runs


def _elsewhere(sheet: JobSheet) -> Iterator[Hold]:
    for other in queries.other_open_jobs(sheet.job):
        yield from (Hold(s, other.job, elsewhere=True, stops=True) for s in other.steps if _bars_runs(s))
        yield from (Hold(s, other.job, elsewhere=True) for s in other.steps if _open_check(s))


def _listed(names: list[str], word: str) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} {word} {names[-1]}"
