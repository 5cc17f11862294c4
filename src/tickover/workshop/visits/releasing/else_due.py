"""What else is due on an engine when it is released: overdue, due, due soon, and what was dropped from the visit."""

from __future__ import annotations

from datetime import date

from tickover.language.amounts import day, hours
from tickover.workshop.programme import queries as programme
from tickover.workshop.visits.queries import JobSheet
from tickover.workshop.visits.releasing.leaving import dropped_of

STATES = {"over tolerance": "overdue", "due": "due", "due soon": "due soon"}
"""Worst first, as papers name them."""
NOT_KNOWN = "last time not known"


def else_due(sheet: JobSheet, now_h: float, today: date) -> list[dict[str, str]]:
    """Tasks that the visit did not do, worst first, each with `task`, `state`, `hours`, `date` and `dropped`.

    A dropped task is named with its reason also where it is not due yet: somebody wanted it done.
    """
    dropped = {d.task.id: d.row.reason for d in dropped_of(sheet)}
    found = []
    for task, due, known in programme.due_points(sheet.job.engine):
        state = STATES.get(str(due.state(now_h, today.toordinal())), "") if known else NOT_KNOWN
        if sheet.does_with_another(task.id) or not (state or task.id in dropped):
            continue
        found.append(
            {
                "task": task.title,
                "state": state or "not due yet",
                "hours": f"{hours(due.due_h)} h" if due.due_h is not None else "",
                "date": day(date.fromordinal(due.due_day)) if due.due_day is not None else "",
                "dropped": dropped.get(task.id, ""),
            }
        )
    order = [*STATES.values(), NOT_KNOWN]
    return sorted(found, key=lambda row: order.index(row["state"]) if row["state"] in order else len(order))
