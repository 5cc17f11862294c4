"""The demo's technicians at work: visits begun, readings taken, steps confirmed, engines released."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import takewhile
from types import MappingProxyType

import numpy as np
from django.utils.timezone import localdate

from tickover.demo.course import DemoCourse, DemoTurn
from tickover.demo.cupboard import Cupboard
from tickover.science.measurement.conformity import Decision
from tickover.sheets import LimitRow, Step, TaskRow
from tickover.workshop.people.models import Person
from tickover.workshop.programme import actions as programme
from tickover.workshop.programme import queries as programme_queries
from tickover.workshop.readings.computed import MeasurementContext
from tickover.workshop.readings.input_fields import TypedReading
from tickover.workshop.readings.measuring import typed_reading_giving
from tickover.workshop.register import queries as register
from tickover.workshop.register.models import Engine
from tickover.workshop.visits import actions as visit_actions
from tickover.workshop.visits import queries
from tickover.workshop.visits.models import Job
from tickover.workshop.visits.queries import StepLine

DIAPHRAGMS = "diaphragm-service"
BY_CARD = (DIAPHRAGMS, "plug-renewal")
"""Tasks whose every time was worked through here by its card; of the others the older ones are on paper."""

STEP_MIN = 3
TRIED_AGAIN = "Tried with a borrowed wrench at the ordered torque: none of them turned."
NO_PHOTO = "it is on the owner's phone"


@dataclass
class DemoBench:
    """One engine's course through the demo, and the hands that do its work."""

    engine: Engine
    crew: dict[str, Person]
    rng: np.random.Generator
    course: DemoCourse
    cupboard: Cupboard

    def work(self, week: int, clock: datetime, *, all_by_card: bool) -> datetime:
        """Do what is due this week, one after the other; returns when the bench is free again."""
        newest, by_card = self.course.last_of_each(), list[TaskRow]()
        for turn in (turn for turn in self.course.turns if turn.week == week):
            if (
                not turn.days_before
                and (all_by_card or turn.task.id in BY_CARD)
                and self._has_figures(turn.task)
            ):
                by_card.append(turn.task)
            elif turn in newest:
                self._on_paper(turn, clock)
        return _bench_hours(self._visit(by_card, clock)) if by_card else clock

    def _has_figures(self, task: TaskRow) -> bool:
        """Whether the sheet has every figure that the card asks for; else it was done elsewhere, on paper."""
        sheet = register.build_of(self.engine)
        read = [step.reading for step in sheet.card(task.card).steps if step.reading] if task.card else []
        return not any(sheet.limit(name).makers_figure for name in read)

    def _on_paper(self, turn: DemoTurn, at: datetime) -> None:
        """Taken over from the log book, or from the workshop's own book of small jobs."""
        done_on = (at - timedelta(days=turn.days_before)).date()
        book = (
            "log book, brought forward" if turn.days_before else f"work book {at.year}, page {turn.week + 1}"
        )
        programme.record_done(
            self.engine,
            turn.task.id,
            done_on,
            turn.at_h,
            book,
            brought_forward=True,
            who=self.crew["mara"],
            at=at,
        )

    def _visit(self, tasks: list[TaskRow], at: datetime) -> datetime:
        """All that is due on the engine in one stay."""
        who = self.crew["mara"]
        if len(tasks) == 1:
            return self.finish(visit_actions.open_job(self.engine, tasks[0].id, who=who, at=at), at)
        scope = {task.id: "due" for task in tasks}
        return self.finish(
            visit_actions.start_visit(self.engine, scope, visit_actions.ArrivalWords(), who=who, at=at), at
        )

    def take_in(self, words: visit_actions.ArrivalWords, at: datetime) -> Job:
        """A visit for all that is due on the engine and can be done by card."""
        due = [
            line.task
            for line in programme_queries.due_lines(self.engine, localdate(at))
            if line.state in ("due", "over tolerance") and line.task.card and self._has_figures(line.task)
        ]
        return visit_actions.start_visit(
            self.engine, {task.id: "due" for task in due}, words, who=self.crew["mara"], at=at
        )

    def begin_to_a_second_check(self, job: Job, at: datetime) -> None:
        """Work up to the first step that a second person confirms, and leave it to them."""
        line = next(line for line in queries.job_sheet(job).steps if line.step.second_check)
        free = self.begin(job, at, line.step.id)
        self._step(job, line, self._finding(line.step), free, checked=False)

    def finish(self, job: Job, at: datetime) -> datetime:
        """Work through a whole job and release the engine; returns when that is done."""
        free = self.begin(job, at)
        self.release(job, free)
        if queries.job_sheet(job).arrival:
            visit_actions.hand_back(job, self.engine.owner.name, who=self.crew["mara"], at=free)
        return free

    def release(self, job: Job, at: datetime) -> None:
        """Sign the engine out; an inspector speaks to torques from before there was a register of wrenches."""
        for asked in queries.job_sheet(job).exceedances:
            if asked.spot.of_wrench and asked.answer is None:
                visit_actions.decide_exceedance(job, asked.spot, TRIED_AGAIN, who=self.crew["ivo"], at=at)
        visit_actions.release(job, visit_actions.ReleaseWords(), who=self.crew["mara"], at=at)

    def begin(
        self, job: Job, at: datetime, until: str = "", found: Mapping[str, str] = MappingProxyType({})
    ) -> datetime:
        """Work through the steps of a job, or only those before one; returns when that is done.

        `found` says what is found at a step, by their ids; anything is found at the others.
        """
        doer, sheet = self.crew["mara"], queries.job_sheet(job)
        for n, card in enumerate(sheet.cards):
            if card.kit:
                lot = f"DK-{at:%y%m}-{self.rng.integers(10, 99)}"
                visit_actions.note_kit(job, lot, card_id=card.id if n else "", who=doer, at=at)
        steps = list(takewhile(lambda line: line.step.id != until, sheet.steps))
        for number, line in enumerate(steps):
            finding = found.get(line.step.id) or self._finding(line.step)
            self._step(job, line, finding, at + timedelta(minutes=STEP_MIN * number + 1))
        return at + timedelta(minutes=STEP_MIN * len(steps))

    def _step(self, job: Job, line: StepLine, finding: str, at: datetime, *, checked: bool = True) -> None:
        doer, other = self.crew["mara"], self.crew["ivo"]
        step, typed = line.step, self._typed(line, at.date())
        if typed:
            read = visit_actions.take_reading(job, step.id, typed, who=doer, at=at)
            if line.site and read.decision != Decision.INSIDE:
                # Set again, and it reads what it should.
                typed = self._read_off(line.site, _middle(line.site.limit), at.date())
                visit_actions.take_reading(job, step.id, typed, who=doer, at=at)
        no_photo = NO_PHOTO if step.photo else ""
        if step.runs_engine:
            visit_actions.confirm_cautions(job, step.id, who=doer, at=at)
        visit_actions.mark_done(job, step.id, finding_id=finding, no_photo=no_photo, who=doer, at=at)
        if step.second_check and checked:
            visit_actions.second_check(
                job, step.id, who=other, at=at + timedelta(minutes=1), typed=typed or TypedReading()
            )

    def _typed(self, line: StepLine, on_day: date) -> TypedReading | None:
        """A reading near the middle of its limits, rounded as the instrument reads."""
        if line.site is None:
            return None
        limit, middle = line.site.limit, _middle(line.site.limit)
        ends = [x for x in (limit.lower, middle, limit.upper) if x is not None]
        spread = 0.06 * (max(ends) - min(ends))
        value = middle + spread * float(np.clip(self.rng.standard_normal(), -2, 2))
        if limit.rule == "simple" and limit.upper is not None:
            value = min(value, limit.upper)
        value = round(value / limit.resolution) * limit.resolution
        value = float(np.clip(value, limit.plausible_lower, limit.plausible_upper))
        return self._read_off(line.site, value, on_day)

    def _read_off(self, site: MeasurementContext, value: float, on_day: date) -> TypedReading:
        """What is typed where the value shows, with the instrument where there was a register of them."""
        return self.cupboard.named(typed_reading_giving(site, value), site, value, on_day)

    def _finding(self, step: Step) -> str:
        """Mostly sound, now and then something to replace; never a finding that forbids the release."""
        good = [f.id for f in step.findings if f.action == "continue"]
        worn = [f.id for f in step.findings if f.action == "replace"]
        if worn and (not good or self.rng.random() < 0.1):
            return str(self.rng.choice(worn))
        more = [f.id for f in step.findings if f.action == "add task"]
        return (good or more or [""])[0]


def _middle(limit: LimitRow) -> float:
    """The nominal value, else one well inside the limits."""
    if limit.nominal is not None:
        return limit.nominal
    if limit.lower is not None and limit.upper is not None:
        return (limit.lower + limit.upper) / 2
    return 0.5 * limit.upper if limit.upper is not None else 1.5 * (limit.lower or 0.0)


def _bench_hours(clock: datetime) -> datetime:
    """A few minutes later, or next morning where the day is over."""
    clock += timedelta(minutes=10)
    return clock if clock.hour < 17 else (clock + timedelta(days=1)).replace(hour=8, minute=0)
