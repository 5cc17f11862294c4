"""Filters that word what a session holds by ids."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import template

from tickover.workshop.fault_finding import queries
from tickover.workshop.register.models import Engine
from tickover.workshop.visits.models import Job
from tickover.workshop.web.fault_finding import pages

register = template.Library()


@register.filter
def titled(item: str, titles: Mapping[str, str]) -> str:
    """The title of a finding, a test, a cause or an opening."""
    return titles.get(item, item)


@register.simple_tag
def record_address(rests_on: str, engine: Engine) -> str:
    """Where the record is found that an answer was taken from; "" where it rests on none."""
    return pages.record_address(rests_on, engine)


@register.inclusion_tag("fault_finding/_of_job.html")
def trouble_of_job(job: Job) -> dict[str, Any]:
    """On a job's page: the session whose cause it puts right, and what came after it."""
    return {"around": queries.around_job(job)}


@register.inclusion_tag("fault_finding/_engine_lines.html")
def trouble_of(engine: Engine) -> dict[str, Any]:
    """The logbook lines of an engine's page: its newest sessions."""
    return {"engine": engine, "sessions": queries.sessions_of(engine)[:3]}
