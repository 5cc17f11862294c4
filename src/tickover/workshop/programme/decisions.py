"""What the workshop decided over its sheets: from what to count on, and what of an engine is not known."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import NamedTuple

from django.db.models import QuerySet

from tickover.science.core.calendar_days import written
from tickover.science.planning.due import Due
from tickover.sheets import TaskRow, TypeSheet
from tickover.workshop.programme.models import HoursNote, LastTimeNotKnown, ProgrammeSetting, TaskDone
from tickover.workshop.programme.wording import BASELINE_ID
from tickover.workshop.register import queries as register
from tickover.workshop.register.models import Engine, SheetVersion

BASELINE = TaskRow.model_construct(
    id=BASELINE_ID,
    title="Baseline inspection",
    system="engine",
    kind="inspect",
    minutes=0.0,
    record="Condition of every limit that can be measured, as the start of a new count",
    authority="common practice, no source",
    source="",
)
"""Wanted once of an engine whose hours nobody knows. It is in no sheet, so that no sheet can lack it."""


BY_BOOK = "brought forward from"
"""How the reference of a time begins that was copied from an old book."""


class Unknown(NamedTuple):
    """Since when an engine's hours are not known, and why."""

    since: date
    reason: str


class NotedLastTime(NamedTuple):
    """A note that a last time is not known: its journal entry and its day."""

    entry: int
    on_day: date


@dataclass(frozen=True)
class UnknownLastTimes:
    """Of which tasks of an engine the last time is not known; `every`: of each that has no entry."""

    every: date | None = None
    tasks: Mapping[str, NotedLastTime] = field(default_factory=dict)

    def counts(self, row: TaskDone, task_id: str) -> bool:
        """Whether a time counts for a task: what was entered before the note does not."""
        noted = self.tasks.get(task_id)
        return noted is None or row.entry_sequence > noted.entry

    def since(self, task: TaskRow) -> date | None:
        """The day it was noted, of a task without a time that counts; None where nothing was noted."""
        if task.on_condition:
            return None
        noted = self.tasks.get(task.id)
        return noted.on_day if noted else self.every


ALL_KNOWN = UnknownLastTimes()


@dataclass(frozen=True)
class Decisions:
    """Anchor by sheet; by engine: hours that are not known, and last times that are not."""

    anchors: Mapping[str, str]
    unknown: Mapping[int, Unknown]
    last_times: Mapping[int, UnknownLastTimes]

    def anchor(self, engine: Engine, task: TaskRow) -> str:
        return self.anchors.get(engine.sheet_id, task.anchor)

    def not_known(self, engine: Engine) -> UnknownLastTimes:
        return self.last_times.get(engine.pk, ALL_KNOWN)


def decisions_for(engines: Iterable[Engine], with_entries: Iterable[int]) -> Decisions:
    """What holds now. An engine without any entry of engine time has hours that nobody knows."""
    settings, last = ProgrammeSetting.objects.all(), LastTimeNotKnown.objects.all()
    return _decisions(engines, set(with_entries), HoursNote.objects.all(), settings, last)


def decisions_before(sequence: int, engine: Engine) -> Decisions:
    """What held for an engine before a journal entry, so that an old paper is printed as it was."""
    earlier = {"entry_sequence__lt": sequence}
    kept = {engine.pk} if engine.time_entries.filter(**earlier).exists() else set()
    settings = ProgrammeSetting.objects.filter(**earlier)
    last = LastTimeNotKnown.objects.filter(**earlier)
    return _decisions([engine], kept, HoursNote.objects.filter(**earlier), settings, last)


def anchors() -> dict[str, str]:
    """The workshop's own anchor of each sheet that has one."""
    return _anchors(ProgrammeSetting.objects.all())


def sheets_kept() -> list[TypeSheet]:
    """The newest version of every type sheet in this workshop."""
    ids = SheetVersion.objects.order_by("sheet_id").values_list("sheet_id", flat=True).distinct()
    return [register.newest_sheet(sheet_id) for sheet_id in ids]


def anchor_history(sheet_id: str) -> list[ProgrammeSetting]:
    return list(ProgrammeSetting.objects.filter(sheet_id=sheet_id).order_by("-id"))


def notes_of(engine: Engine) -> list[HoursNote]:
    return list(HoursNote.objects.filter(engine=engine).select_related("by").order_by("-id"))


def by_calendar_alone(due: Due) -> Due:
    """The same limits without the hours, which say nothing of an engine whose hours are not known."""
    return Due(
        due_h=None,
        due_day=due.due_day,
        last_h=due.last_h,
        last_day=due.last_day,
        tolerance_h=due.tolerance_h,
        tolerance_days=due.tolerance_days,
        hours_from="hours not known, not used",
        days_from=due.days_from,
    )


def not_known_due(since: date) -> Due:
    """A task of which the last time is not known: due from the day that was noted, with nothing to be late by."""
    day = since.toordinal()
    return Due(None, day, 0.0, day - 1, 0.0, 0, "", f"last time not known, noted on {written(day)}")


def baseline_due(unknown: Unknown, done: TaskDone | None) -> Due | None:
    """The baseline inspection, wanted since the hours are unknown; None once it was done."""
    if done is not None and done.done_on >= unknown.since:
        return None
    day = unknown.since.toordinal()
    return Due(None, day, 0.0, day - 1, 0.0, 0, "hours not known", f"due since then: {unknown.reason}")


def _decisions(
    engines: Iterable[Engine],
    with_entries: set[int],
    notes: QuerySet[HoursNote],
    settings: QuerySet[ProgrammeSetting],
    last_times: QuerySet[LastTimeNotKnown],
) -> Decisions:
    newest = {note.engine_id: note for note in notes.order_by("id")}
    unknown, engines = {}, list(engines)
    for engine in engines:
        note = newest.get(engine.pk)
        if note is not None and not note.known:
            unknown[engine.pk] = Unknown(note.noted_on, note.reason)
        elif note is None and engine.pk not in with_entries:
            unknown[engine.pk] = Unknown(engine.in_service_on, "no engine time entered")
    return Decisions(_anchors(settings), unknown, _last_times(last_times.filter(engine__in=engines)))


def _last_times(notes: QuerySet[LastTimeNotKnown]) -> dict[int, UnknownLastTimes]:
    """The newest note of each task counts, and of what holds for every task."""
    every: dict[int, date] = {}
    tasks: dict[int, dict[str, NotedLastTime]] = defaultdict(dict)
    for note in notes.order_by("entry_sequence"):
        if note.task_id:
            tasks[note.engine_id][note.task_id] = NotedLastTime(note.entry_sequence, note.noted_on)
        else:
            every[note.engine_id] = note.noted_on
    return {pk: UnknownLastTimes(every.get(pk), tasks.get(pk, {})) for pk in {*every, *tasks}}


def _anchors(settings: QuerySet[ProgrammeSetting]) -> dict[str, str]:
    newest = dict(settings.order_by("id").values_list("sheet_id", "anchor"))
    return {sheet_id: anchor for sheet_id, anchor in newest.items() if anchor}
