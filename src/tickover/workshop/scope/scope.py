"""The scope of a visit before it begins: what is due, what was put off, what is worth doing while it is open."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from math import ceil

from tickover.science.planning.access import offers, visit_minutes
from tickover.science.planning.bench_pace import BenchPace, bench_pace
from tickover.sheets import TaskRow, TypeSheet
from tickover.workshop.defects import queries as defects
from tickover.workshop.fault_finding import queries as fault_finding
from tickover.workshop.fault_finding import reasoning
from tickover.workshop.programme import bulletins, decisions
from tickover.workshop.programme import queries as programme
from tickover.workshop.programme.due_line import DueLine
from tickover.workshop.register import queries as register
from tickover.workshop.register.models import Engine
from tickover.workshop.visits.composing import composed_of
from tickover.workshop.visits.minutes.worked import card_and_worked

BENCH_H_PER_DAY = 6.0
"""Hours of a day that go into one engine: our supposition."""
SAVES_AT_LEAST_MIN = 5.0
LIKELY_CAUSES = 4
"""Of each open session so many causes offer their cure."""


@dataclass(frozen=True)
class ScopeLine:
    """A task that may go into the visit: why, and whether it is ticked to begin with."""

    task: TaskRow
    why: str
    ticked: bool
    within: str = ""
    """The greater task of the scope that does it as well; "" for none."""


@dataclass(frozen=True)
class ScopeGroup:
    """Lines of one kind, such as those that are overdue. `open`: shown without a press."""

    name: str
    title: str
    lines: tuple[ScopeLine, ...]
    signal: bool = False

    @property
    def ticked(self) -> int:
        return sum(line.ticked for line in self.lines)


@dataclass(frozen=True)
class Estimate:
    """What the ticked tasks come to as one card. [min]"""

    tasks: int
    steps: int
    steps_alone: int
    minutes: float
    saved_min: float
    pieces: tuple[str, ...]
    today: date
    pace: BenchPace

    @property
    def hours_words(self) -> str:
        """Bench hours with their range: "5.4 h (4.6 to 6.2)"."""
        h = self.minutes / 60.0
        return f"{h:.1f} h ({h * (1 - self.pace.spread):.1f} to {h * (1 + self.pace.spread):.1f})"

    @property
    def pace_words(self) -> str:
        """By what it was learnt; "" before any visit was timed."""
        if not self.pace.visits:
            return ""
        return f"{self.pace.factor:.2f} times the cards, by {self.pace.visits} timed visits here"

    @property
    def saved_words(self) -> str:
        return f"{self.saved_min / 60.0:.1f} h" if self.saved_min >= 60.0 else f"{self.saved_min:.0f} min"

    @property
    def ready_on(self) -> date:
        """The day it would be ready, were it begun today."""
        days = ceil(self.minutes / 60.0 / BENCH_H_PER_DAY) if self.minutes else 0
        return self.today + timedelta(days=max(0, days - 1))


@dataclass(frozen=True)
class Scope:
    """Everything that may go into a visit of an engine."""

    engine: Engine
    sheet: TypeSheet
    groups: tuple[ScopeGroup, ...]
    others: tuple[TaskRow, ...]
    bulletins: tuple[str, ...]
    today: date

    @property
    def ticked(self) -> tuple[str, ...]:
        """Ids of the tasks that are ticked to begin with."""
        return tuple(line.task.id for group in self.groups for line in group.lines if line.ticked)

    def why(self, task_id: str) -> str:
        """Why a task is in the scope; it was chosen, where nothing asked for it."""
        found = (line.why for group in self.groups for line in group.lines if line.task.id == task_id)
        return next(found, "chosen")

    def estimate(self, chosen: Collection[str]) -> Estimate:
        """What some of its tasks come to."""
        return estimate(self.sheet, chosen, self.today)


def scope_of(engine: Engine, today: date) -> Scope:
    """What may go into a visit of this engine that begins today."""
    sheet = register.build_of(engine)
    lines = [line for line in programme.due_lines(engine, today) if _can_be_done(line)]
    due = [line for line in lines if line.state in ("over tolerance", "due")]
    not_known = [line for line in due if line.not_known]
    soon = [line for line in lines if line.state == "due soon"]
    put_off = _put_off(engine, sheet, today, {line.task.id for line in due})
    sure = [*(line.task for line in due if not line.left_to_choose), *(line.task for line in put_off)]
    near = _cheaper_now(sheet, sure, soon)
    chosen = [*sure, *(line.task for line in soon if line.task.id in near)]
    wanted = list(_fault_finding(engine, sheet, {task.id for task in chosen}))
    groups: tuple[ScopeGroup, ...] = (
        ScopeGroup("fault-finding", "Fault finding asks for", tuple(wanted)),
        _group(
            "overdue", "Overdue", [d for d in due if d.state == "over tolerance"], chosen, sheet, signal=True
        ),
        _group("due", "Due", [d for d in due if d.state == "due" and not d.not_known], chosen, sheet),
        _group("not-known", "Not known: baseline inspection", not_known, chosen, sheet),
        ScopeGroup("put-off", "Put off earlier", tuple(put_off)),
        _group("soon", "Coming up", soon, chosen, sheet),
        ScopeGroup("while-open", "While it is open anyway", tuple(_while_open(sheet, chosen, lines))),
    )
    groups = _each_once(groups)
    listed = {line.task.id for group in groups for line in group.lines}
    others = tuple(t for t in sheet.programme if t.card and t.id not in listed)
    asked = [b for b in bulletins.lines([engine], today) if b.needs_a_hand]
    named = tuple(f"{b.bulletin.identifier}: {b.sentence}" for b in asked)
    return Scope(engine, sheet, tuple(g for g in groups if g.lines), others, named, today)


def estimate(sheet: TypeSheet, chosen: Collection[str], today: date) -> Estimate:
    """Steps, minutes and pieces of some tasks done together; by their cards, or else as the programme says."""
    tasks = [task for task in sheet.programme if task.id in chosen and task.card]
    lesser = {name for task in tasks for name in sheet.contained(task.id)}
    doing = [task for task in tasks if task.id not in lesser]
    cards = tuple(sheet.card(name) for name in dict.fromkeys(t.card for t in doing if t.card))
    one = composed_of(cards, sheet) if cards else None
    by_programme = visit_minutes(doing, sheet.access) if doing else None
    pieces = tuple(dict.fromkeys(sheet.kit(card.kit).title for card in cards if card.kit))
    if one is not None:
        steps, alone, minutes, saved = len(one.steps), one.steps_alone, one.minutes, one.minutes_saved
    else:
        steps = alone = sum(len(card.steps) for card in cards)
        minutes = by_programme.total_min if by_programme else 0.0
        saved = by_programme.saved_min if by_programme else 0.0
    pairs = card_and_worked()
    pace = bench_pace([card for card, _ in pairs], [worked for _, worked in pairs])
    return Estimate(len(tasks), steps, alone, pace.factor * minutes, pace.factor * saved, pieces, today, pace)


def _each_once(groups: tuple[ScopeGroup, ...]) -> tuple[ScopeGroup, ...]:
    """The same without a task that an earlier group has."""
    seen: set[str] = set()
    found = []
    for group in groups:
        lines = tuple(line for line in group.lines if line.task.id not in seen)
        seen |= {line.task.id for line in lines}
        found.append(replace(group, lines=lines))
    return tuple(found)


def _can_be_done(line: DueLine) -> bool:
    return line.task.card is not None and line.task.id != decisions.BASELINE.id


def _group(
    name: str,
    title: str,
    lines: Iterable[DueLine],
    chosen: list[TaskRow],
    sheet: TypeSheet,
    signal: bool = False,
) -> ScopeGroup:
    ids = {task.id for task in chosen}
    found = (ScopeLine(d.task, d.sentence, d.task.id in ids, _greater(d.task, chosen, sheet)) for d in lines)
    return ScopeGroup(name, title, tuple(found), signal)


def _greater(task: TaskRow, chosen: Iterable[TaskRow], sheet: TypeSheet) -> str:
    return next((other.title for other in chosen if task.id in sheet.contained(other.id)), "")


def _cheaper_now(sheet: TypeSheet, sure: list[TaskRow], soon: list[DueLine]) -> set[str]:
    """Tasks coming up that share an opening with what is done anyway."""
    by_title = {line.task.title: line.task.id for line in soon}
    found = offers(sure, [line.task for line in soon], sheet.access) if sure else ()
    return {by_title[offer.task] for offer in found if offer.saved_min >= SAVES_AT_LEAST_MIN}


def _fault_finding(engine: Engine, sheet: TypeSheet, chosen: set[str]) -> Iterable[ScopeLine]:
    """The cures of what open fault finding on this engine finds likely; whoever goes on with it decides."""
    tasks = {task.id: task for task in sheet.programme if task.card and task.id not in chosen}
    for session in fault_finding.open_sessions(engine):
        likely = reasoning.diagnose(fault_finding.session_sheet(session)).suspects[:LIKELY_CAUSES]
        for suspect in likely:
            for name in dict.fromkeys(cause.task for cause in suspect.causes):
                if task := tasks.pop(name or "", None):
                    why = f"{session.number}, “{session.complaint}”: {suspect.title}, {suspect.suspect.share:.0%}"
                    yield ScopeLine(task, why, False)


def _while_open(sheet: TypeSheet, chosen: list[TaskRow], lines: list[DueLine]) -> Iterable[ScopeLine]:
    """Tasks not due yet that would cost more alone, most saved first."""
    later = {line.task.title: line for line in lines if line.state == "not yet"}
    further = [line.task for line in later.values() if not _greater(line.task, chosen, sheet)]
    for offer in offers(chosen, further, sheet.access) if chosen else ():
        if offer.saved_min >= SAVES_AT_LEAST_MIN:
            line = later[offer.task]
            early = f", {line.life_left:.0%} of its interval is given away" if line.life_left else ""
            yield ScopeLine(line.task, f"saves {offer.saved_min:.0f} min now; {line.sentence}{early}", False)


def _put_off(engine: Engine, sheet: TypeSheet, today: date, due: set[str]) -> list[ScopeLine]:
    """Deferred defects of the engine whose cure is a task of its programme."""
    tasks = {task.id: task for task in sheet.programme if task.card}
    return [
        ScopeLine(tasks[line.defect.task_id], f"{line.defect.number}: {line.defect.what}", True)
        for line in defects.open_defects(today, engine)
        if line.defect.task_id in tasks and line.defect.task_id not in due
    ]
