"""Whether what a photo is to be of is there: asked of the place that keeps it."""

from __future__ import annotations

from collections.abc import Callable

from tickover.workshop.defects import queries as defects
from tickover.workshop.fault_finding import queries as fault_finding
from tickover.workshop.register import queries as register
from tickover.workshop.visits import queries as visits

ASK: dict[str, Callable[[str], object | None]] = {
    "engine": register.engine_by_serial,
    "defect": defects.defect_by_number,
    "trouble": fault_finding.session_by_number,
}


def is_there(subject: str) -> bool:
    """Whether the engine, job, step, session or defect of a subject exists."""
    kind, _, key = subject.partition("/")
    return _job_or_step(key) if kind == "job" else ASK[kind](key) is not None


def _job_or_step(key: str) -> bool:
    number, _, step = key.partition("/step/")
    sheet = visits.job_sheet_by_number(number)
    return sheet is not None and (not step or any(line.step.id == step for line in sheet.steps))
