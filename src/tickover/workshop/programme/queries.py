"""Reads of the programme: every task's limits, how far each engine is, and where it is heading."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date

from tickover.science.planning.due import Due, Interval, LastDone, first_again, next_due
from tickover.science.planning.fleet import learn_fleet
from tickover.science.planning.usage import Usage
from tickover.sheets import TaskRow, TypeSheet
from tickover.workshop.components.queries import kinds_and_titles
from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.programme import decisions
from tickover.workshop.programme.decisions import BASELINE, Decisions, UnknownLastTimes
from tickover.workshop.programme.due_line import URGENCY, DueLine, EngineLine, chance_due_within
from tickover.workshop.programme.forecasting import (
    DayHours,
    DueForecast,
    EngineUse,
    flown,
    forecast_due_dates,
    sd_since,
)
from tickover.workshop.programme.models import LastTimeNotKnown, TaskDone
from tickover.workshop.register import queries as register
from tickover.workshop.register.models import Engine

__all__ = ["URGENCY", "DueLine", "EngineLine", "chance_due_within"]


def engine_lines(engines: Iterable[Engine], today: date) -> list[EngineLine]:
    """Every engine with its tasks, the most urgent task first, the most urgent engine first."""
    engines = list(engines)
    in_service = dict(Engine.objects.values_list("pk", "in_service_on"))
    entries = engine_time.entries_by_engine(in_service)
    use = {pk: flown(entries[pk], day) for pk, day in in_service.items()}
    fleet = learn_fleet(list(use.values()), today.toordinal())
    on_engine = kinds_and_titles(e.pk for e in engines)
    decided = decisions.decisions_for(engines, (pk for pk in entries if entries[pk]))
    done = _last_done(engines, decided)
    sheets = {(e.sheet_id, e.build_id): register.build_of(e) for e in _one_of_each_build(engines)}
    uses = [
        _use_of(
            e,
            _tasks(sheets[e.sheet_id, e.build_id], on_engine[e.pk]),
            entries[e.pk],
            done[e.pk],
            fleet.usage_of(use[e.pk]),
            decided,
        )
        for e in engines
    ]
    heading = iter(forecast_due_dates(uses, fleet, today))
    lines = [_engine_line(s, [next(heading) for _ in s.limits], today) for s in uses]
    return sorted(lines, key=lambda line: _urgency(line.first) if line.first else (9, today))


def due_lines(engine: Engine, today: date) -> list[DueLine]:
    return list(engine_lines([engine], today)[0].lines)


def due_of(engine: Engine, task_id: str, today: date) -> DueLine:
    """One task of one engine. Raises LookupError where this build has no such task."""
    for line in due_lines(engine, today):
        if line.task.id == task_id:
            return line
    raise LookupError(f"{engine.name} has no task {task_id!r} in its programme")


def planned_point(engine: Engine, task_id: str) -> Due | None:
    """When a task was planned by its limits; None where its last time is not known, which plans nothing.

    Raises LookupError where there is no such task.
    """
    for task, due, known in due_points(engine):
        if task.id == task_id:
            return due if known else None
    raise LookupError(f"{engine.name} has no task {task_id!r} in its programme")


def due_points(engine: Engine) -> list[tuple[TaskRow, Due, bool]]:
    """When each task of an engine is due by its limits, without a forecast, and whether its last time is known."""
    entries = engine_time.entries_by_engine([engine.pk])[engine.pk]
    sheet = _tasks(register.build_of(engine), kinds_and_titles([engine.pk])[engine.pk])
    decided = decisions.decisions_for([engine], [engine.pk] if entries else [])
    done = _last_done([engine], decided)[engine.pk]
    not_known = _not_known(sheet, done, decided.not_known(engine), _now_h(entries))
    limits = _limits(engine, sheet, entries, done, decided)
    return [(task, due, task.id not in not_known) for task, due in limits]


def dues_by(engines: Sequence[Engine], sheet: TypeSheet) -> dict[int, dict[str, Due]]:
    """When each task would be due if this sheet were the newest: engine -> task -> limits, without forecast."""
    pks = [engine.pk for engine in engines]
    entries, on_engine = engine_time.entries_by_engine(pks), kinds_and_titles(pks)
    decided = decisions.decisions_for(engines, (pk for pk in pks if entries[pk]))
    done = _last_done(engines, decided)
    builds = {build_id: sheet.for_build(build_id) for build_id in {e.build_id for e in engines}}
    found = {}
    for e in engines:
        tasks = _tasks(builds[e.build_id], on_engine[e.pk])
        limits = _limits(e, tasks, entries[e.pk], done[e.pk], decided)
        found[e.pk] = {task.id: due for task, due in limits if task is not BASELINE}
    return found


def history(engine: Engine, task_id: str) -> list[TaskDone]:
    return list(TaskDone.objects.filter(engine=engine, task_id=task_id).order_by("-done_on", "-id"))


def tasks_of(engine: Engine) -> tuple[TaskRow, ...]:
    """The programme of an engine: the tasks of its build, without those of parts that are not on it."""
    return _tasks(register.build_of(engine), kinds_and_titles([engine.pk])[engine.pk]).programme


def last_done(engine: Engine) -> dict[str, TaskDone]:
    """The last time of each task by its id, as far as it counts."""
    return _last_done([engine], decisions.decisions_for([engine], [engine.pk]))[engine.pk]


def newest_not_known(engine: Engine) -> LastTimeNotKnown | None:
    """The newest note of this engine that a last time is not known."""
    return LastTimeNotKnown.objects.filter(engine=engine).order_by("entry_sequence").last()


def rest_noted(engine: Engine) -> bool:
    """Whether it is noted that every task without an entry is not known."""
    return LastTimeNotKnown.objects.filter(engine=engine, task_id="").exists()


def due_after(engine: Engine, task: TaskRow, reference: str) -> Due:
    """The due point that follows from the time a task was done under that reference, whatever came later.

    The task is that of the sheet it was done by, so that a newer sheet leaves an old paper as it was.
    """
    row = TaskDone.objects.get(engine=engine, task_id=task.id, reference=reference)
    decided = decisions.decisions_before(row.entry_sequence, engine)
    interval = interval_of(task, decided.anchor(engine, task))
    due = next_due(interval, _done(row), engine.in_service_on.toordinal(), 0.0)
    return decisions.by_calendar_alone(due) if engine.pk in decided.unknown else due


def interval_of(task: TaskRow, anchor: str = "") -> Interval:
    """How often a task is done, counted on as the workshop decided, else as its sheet says."""
    return Interval(
        hours=task.interval_h,
        months=task.interval_months,
        first_after_h=task.first_after_h,
        tolerance_h=task.tolerance_h,
        tolerance_days=task.tolerance_days,
        anchor=anchor or task.anchor,
    )


def _one_of_each_build(engines: Sequence[Engine]) -> Iterable[Engine]:
    return {(e.sheet_id, e.build_id): e for e in engines}.values()


def _tasks(sheet: TypeSheet, components: list[tuple[str, str]]) -> TypeSheet:
    """The sheet without the tasks of components that are not the ones fitted."""
    kinds = {kind for kind, _ in components}
    fitting = tuple(
        task
        for task in sheet.programme
        if task.fitted is None
        or task.fitted.kind not in kinds
        or any(task.fitted.is_it(kind, title) for kind, title in components)
    )
    return sheet.model_copy(update={"programme": fitting})


def _use_of(
    engine: Engine,
    sheet: TypeSheet,
    entries: Sequence[DayHours],
    done: dict[str, TaskDone],
    usage: Usage,
    decided: Decisions,
) -> EngineUse:
    limits = tuple(_limits(engine, sheet, entries, done, decided))
    not_known = frozenset(_not_known(sheet, done, decided.not_known(engine), _now_h(entries)))
    return EngineUse(engine, sheet, tuple(entries), usage, limits, decided.unknown.get(engine.pk), not_known)


def _limits(
    engine: Engine,
    sheet: TypeSheet,
    entries: Sequence[DayHours],
    done: dict[str, TaskDone],
    decided: Decisions,
) -> Iterator[tuple[TaskRow, Due]]:
    """Where the hours are not known, the calendar alone counts, and a baseline inspection is wanted."""
    unknown = decided.unknown.get(engine.pk)
    in_service, initial_h = engine.in_service_on.toordinal(), _initial_h(engine, entries)
    if unknown and (wanted := decisions.baseline_due(unknown, done.get(BASELINE.id))):
        yield BASELINE, wanted
    noted = decided.not_known(engine)
    begun, last_of = _begun_again(sheet, done), _done_alone_or_within(sheet, done, noted)
    not_known = _not_known(sheet, done, noted, _now_h(entries))
    for task in sheet.programme:
        if since := not_known.get(task.id):
            yield task, decisions.not_known_due(since)
            continue
        interval, last = interval_of(task, decided.anchor(engine, task)), last_of.get(task.id)
        first = replace(interval, first_after_h=None) if task.on_condition else interval
        due = first_again(interval, next_due(first, last, in_service, initial_h), last, begun.get(task.id))
        yield task, decisions.by_calendar_alone(due) if unknown else due


def _not_known(
    sheet: TypeSheet, done: dict[str, TaskDone], noted: UnknownLastTimes, now_h: float
) -> dict[str, date]:
    """Tasks of which the last time is not known, each with the day that was noted."""
    last_of = _done_alone_or_within(sheet, done, noted)
    by_book = {name: row for name, row in done.items() if row.reference.startswith(decisions.BY_BOOK)}
    begun, begun_by_book = _begun_again(sheet, done), _begun_again(sheet, by_book)
    found = {}
    for task in sheet.programme:
        if (since := noted.since(task)) is None:
            continue
        last, work = last_of.get(task.id), begun_by_book.get(task.id)
        # The book has a work that begins the task anew, and the first hours after it are over: was it done then?
        over = (
            work is not None and work == begun[task.id] and now_h >= work.at_h + (task.first_after_h or 0.0)
        )
        if last is None or (over and work is not None and last.at_h <= work.at_h and task.first_after_h):
            found[task.id] = since
    return found


def _begun_again(sheet: TypeSheet, done: dict[str, TaskDone]) -> dict[str, LastDone]:
    """The newest work that begins each task again, by the tasks that are begun."""
    newest: dict[str, LastDone] = {}
    for task in sheet.programme:
        work = _done(done.get(task.id)) if task.begins_again else None
        for name in task.begins_again if work else ():
            assert work is not None
            if name not in newest or work.at_h > newest[name].at_h:
                newest[name] = work
    return newest


def _done_alone_or_within(
    sheet: TypeSheet, done: dict[str, TaskDone], noted: UnknownLastTimes
) -> dict[str, LastDone]:
    """The newest time of each task: its own, or that of a greater one that does it as well.

    A greater task was planned by an interval of its own, so the lesser one counts on from when it was done.
    """
    newest = {name: last for name, row in done.items() if (last := _done(row))}
    for task in sheet.programme:
        if (row := done.get(task.id)) is None:
            continue
        within = LastDone(row.at_h, row.done_on.toordinal())
        for name in sheet.contained(task.id):
            own = newest.get(name)
            if not noted.counts(row, name):
                continue
            if own is None or (own.on_day, own.at_h) < (within.on_day, within.at_h):
                newest[name] = within
    return newest


def _engine_line(use: EngineUse, heading: Sequence[DueForecast], today: date) -> EngineLine:
    engine, now_h, sd_h = use.engine, use.now_h, sd_since(use.entries, 0)
    lines = []
    for (task, due), ahead in zip(use.limits, heading, strict=True):
        # A baseline inspection has no tolerance to be beyond: it is wanted, and stays so.
        not_known = task.id in use.not_known
        wanted = not_known or task is BASELINE
        state = "due" if wanted else str(due.state(now_h, today.toordinal()))
        usage, entries, unknown = use.usage, use.entries, use.unknown
        lines.append(
            DueLine(engine, task, due, now_h, sd_h, today, state, ahead, usage, entries, unknown, not_known)
        )
    build = use.sheet.build(engine.build_id)
    # Where the hours are not known nothing else is: that comes first.
    in_order = tuple(sorted(lines, key=lambda line: (line.task is not BASELINE, *_urgency(line))))
    return EngineLine(engine, use.sheet.title, build.title, now_h, sd_h, in_order, use.unknown)


def _now_h(entries: Sequence[DayHours]) -> float:
    return sum(h for _, h, _ in entries)


def _initial_h(engine: Engine, entries: Sequence[DayHours]) -> float:
    return sum(h for d, h, _ in entries if d <= engine.in_service_on)


def _urgency(line: DueLine) -> tuple[int, date]:
    return URGENCY[line.state], line.heading.day_50


def _last_done(engines: Iterable[Engine], decided: Decisions) -> dict[int, dict[str, TaskDone]]:
    """The last time of each task, as far as it counts."""
    last: dict[int, dict[str, TaskDone]] = defaultdict(dict)
    noted = {engine.pk: decided.not_known(engine) for engine in engines}
    for row in TaskDone.objects.filter(engine_id__in=list(noted)).order_by("done_on", "id"):
        if noted[row.engine_id].counts(row, row.task_id):
            last[row.engine_id][row.task_id] = row
    return last


def _done(row: TaskDone | None) -> LastDone | None:
    if row is None:
        return None
    planned_day = row.planned_on.toordinal() if row.planned_on else None
    return LastDone(row.at_h, row.done_on.toordinal(), row.planned_h, planned_day)
