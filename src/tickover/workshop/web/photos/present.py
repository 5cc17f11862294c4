"""Whether what a photo is to be of is there: asked of the place that keeps it."""

from __future__ import annotations

import re
from collections.abc import Callable

from tickover.workshop.defects import queries as defects
from tickover.workshop.fault_finding import queries as fault_finding
from tickover.workshop.people.models import Person
from tickover.workshop.photos.models import Photo
from tickover.workshop.register import queries as register
from tickover.workshop.visits import queries as visits

STEP = re.compile(r"job/([^/]+)/step/[^/]+")
ASK: dict[str, Callable[[str], object | None]] = {
    "engine": register.engine_by_serial,
    "defect": defects.defect_by_number,
    "trouble": fault_finding.session_by_number,
}


def is_there(subject: str) -> bool:
    """Whether the engine, job, step, session or defect of a subject exists."""
    kind, _, key = subject.partition("/")
    return _job_or_step(key) if kind == "job" else ASK[kind](key) is not None


def may_be_shown(photo: Photo, person: Person) -> bool:
    """Whether this person may see it: none of a step whose second reading they may take."""
    found = STEP.fullmatch(photo.subject)
    sheet = visits.job_sheet_by_number(found[1], person) if found else None
    return sheet is None or bool(visits.photos_shown(sheet, [photo]))


def _job_or_step(key: str) -> bool:
    number, _, step = key.partition("/step/")
    sheet = visits.job_sheet_by_number(number)
    return sheet is not None and (not step or any(line.step.id == step for line in sheet.steps))
