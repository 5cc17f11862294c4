"""Tasks that are offered to an open job: what was found asks for them, or they are due and as good as open."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from tickover.sheets import TaskRow
from tickover.workshop.programme import queries as programme
from tickover.workshop.visits.queries import JobSheet


@dataclass(frozen=True)
class TaskOffer:
    """A task that could be done in the same job: when it is due, and by which openings it shares."""

    task: TaskRow
    due: str
    shares: tuple[str, ...]
    minutes: float
    """Saved, since the openings are open anyway. [min]"""


def due_while_open(sheet: JobSheet, today: date) -> list[TaskOffer]:
    """Tasks of the engine, due or due soon, that share an access opening with the job; most saved first."""
    opened = {
        name
        for t in sheet.tasks
        for name in _openings(sheet, t.task)
        if sheet.sheet.access_group(name).minutes > 0  # what needs no opening is shared by everything
    }
    offers = []
    for line in programme.due_lines(sheet.job.engine, today):
        shared = opened & _openings(sheet, line.task)
        if line.state == "not yet" or not shared or not _can_be_added(sheet, line.task.id):
            continue
        groups = [sheet.sheet.access_group(name) for name in sorted(shared)]
        titles = tuple(g.title for g in groups)
        offers.append(TaskOffer(line.task, line.sentence, titles, sum(g.minutes for g in groups)))
    return sorted(offers, key=lambda offer: -offer.minutes)


def others(sheet: JobSheet) -> list[TaskRow]:
    """Every task of the build that could be added."""
    return [t for t in sheet.sheet.programme if _can_be_added(sheet, t.id)]


def _can_be_added(sheet: JobSheet, task_id: str) -> bool:
    known = next((t for t in sheet.sheet.programme if t.id == task_id), None)
    return known is not None and known.card is not None and not sheet.does_with_another(task_id)


def _openings(sheet: JobSheet, task: TaskRow) -> set[str]:
    """What is opened for a task, with what must be open before."""
    found: set[str] = set()
    waiting = list(task.access)
    while waiting:
        name = waiting.pop()
        if name not in found and any(g.id == name for g in sheet.sheet.access):
            found.add(name)
            waiting += sheet.sheet.access_group(name).requires
    return found
