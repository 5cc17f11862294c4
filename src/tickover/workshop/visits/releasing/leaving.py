"""How an engine leaves: what was dropped from its visit and stays due, and who took it."""

from __future__ import annotations

from dataclasses import dataclass

from tickover.sheets import TaskRow
from tickover.workshop.visits.job_sheet import JobSheet
from tickover.workshop.visits.models import FirstTaskDropped, HandedBack, Job, TaskRemoved
from tickover.workshop.visits.queries import listed


@dataclass(frozen=True)
class DroppedTask:
    """A task that was dropped from a job, and why; it stays due."""

    task: TaskRow
    row: FirstTaskDropped | TaskRemoved


def dropped_of(sheet: JobSheet) -> list[DroppedTask]:
    """Tasks dropped from a job and not taken in again, as they were dropped."""
    rows: dict[str, FirstTaskDropped | TaskRemoved] = {}
    if not sheet.does(sheet.job.task_id):
        rows[sheet.job.task_id] = FirstTaskDropped.objects.select_related("by").get(job=sheet.job)
    removed = TaskRemoved.objects.filter(added__job=sheet.job).select_related("added", "by").order_by("id")
    rows |= {row.added.task_id: row for row in removed}
    return [DroppedTask(sheet.sheet.task(name), row) for name, row in rows.items() if not sheet.does(name)]


def handed_back(job: Job) -> HandedBack | None:
    """How the engine left after a visit; None while it is here."""
    return HandedBack.objects.filter(job=job).select_related("by").first()


def to_hand_back() -> list[Job]:
    """Visits whose engine is released and still here, the longest waiting first."""
    rows = listed().exclude(arrival=None).exclude(release=None).filter(handed_back=None)
    return list(rows.order_by("release__at", "pk"))
