"""The run-ups of a job on its own page."""

from __future__ import annotations

from typing import Any

from django import template

from tickover.workshop.run_ups import of_visit
from tickover.workshop.run_ups.cautions import CAUTIONS
from tickover.workshop.visits.queries import JobSheet

register = template.Library()


@register.inclusion_tag("run_ups/_of_job.html")
def runs_of(sheet: JobSheet, *, may_work: bool) -> dict[str, Any]:
    """The section “Run-ups” of a job: before and after, each with its verdict, and where to hand one in."""
    judged = of_visit.judged_run_ups(sheet.job)
    return {
        "sheet": sheet,
        "job": sheet.job,
        "runs": of_visit.before_and_after(judged, (t.task for t in sheet.tasks), sheet.sheet),
        "exceedances": of_visit.exceedances(judged, sheet.answers),
        "may_work": may_work,
    }


@register.inclusion_tag("run_ups/_cautions.html")
def cautions_of_a_run() -> dict[str, Any]:
    """What is said before the engine is started."""
    return {"cautions": CAUTIONS}
