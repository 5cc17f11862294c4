"""The engines list as a file: the same engines in the same order as the page, as CSV (RFC 4180) or JSON.

A spreadsheet takes a cell that begins with = + - @ or a tab for a formula, and would run what somebody typed
as a name. Text cells that begin so get an apostrophe in front, as a spreadsheet writes text itself. Numbers
and dates are ours and stay as they are; in JSON nothing is changed.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable
from typing import Any

from tickover.formats.spreadsheet import safe_cell
from tickover.workshop.programme.queries import DueLine, EngineLine

COLUMNS = (
    "name", "serial", "type", "build", "owner", "in_service_on", "engine_time_h", "engine_time_sd_h",
    "next_task", "state", "due_h", "due_on", "likely_on", "due_10_percent_on", "due_90_percent_on", "words",
)  # fmt: skip


def as_csv(lines: Iterable[EngineLine]) -> str:
    """A row for each engine, with names of columns first."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(COLUMNS)
    writer.writerows([safe_cell(row[name]) for name in COLUMNS] for row in map(as_row, lines))
    return out.getvalue()


def as_json(lines: Iterable[EngineLine]) -> str:
    return json.dumps({"engines": [as_row(line) for line in lines]}, indent=1, ensure_ascii=False)


def as_row(line: EngineLine) -> dict[str, Any]:
    engine = line.engine
    return {
        "name": engine.name,
        "serial": engine.serial,
        "type": line.title,
        "build": line.build_title,
        "owner": engine.owner.name,
        "in_service_on": engine.in_service_on.isoformat(),
        "engine_time_h": round(line.now_h, 2),
        "engine_time_sd_h": round(line.sd_h, 3),
        **_next(line.first),
    }


def _next(first: DueLine | None) -> dict[str, Any]:
    if first is None:
        return dict.fromkeys(COLUMNS[8:])
    bounded = (first.due.due_h is not None or first.due.due_day is not None) and not first.not_known
    days = (first.heading.day_50, first.heading.day_10, first.heading.day_90)
    likely, early, late = (d.isoformat() if bounded else None for d in days)
    return {
        "next_task": first.task.title,
        "state": first.state,
        "due_h": None if first.due.due_h is None else round(first.due.due_h, 2),
        "due_on": first.due_on.isoformat() if first.due_on and bounded else None,
        "likely_on": likely,
        "due_10_percent_on": early,
        "due_90_percent_on": late,
        "words": first.sentence,
    }
