"""Filters that word what a session holds by ids."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import template
from django.urls import reverse

from tickover.workshop.fault_finding import queries
from tickover.workshop.register.models import Engine
from tickover.workshop.visits.models import Job

register = template.Library()


@register.filter
def titled(item: str, titles: Mapping[str, str]) -> str:
    """The title of a finding, a test, a cause or an opening."""
    return titles.get(item, item)


@register.simple_tag
def record_address(rests_on: str, engine: Engine) -> str:
    """Where the record is found that an answer was taken from; "" where it rests on none."""
    kind, _, number = rests_on.partition("/")
    if not number.isdecimal():
        return ""
    if kind == "run-up":
        return reverse("run_ups:run", args=[engine.serial, number])
    if kind == "photo":
        return reverse("photos:photo", args=[number])
    return reverse("journal:entry", args=[number])


@register.inclusion_tag("fault_finding/_of_job.html")
def trouble_of_job(job: Job) -> dict[str, Any]:
    """On a job's page: the session whose cause it puts right, and what came after it."""
    return {"around": queries.around_job(job)}


@register.inclusion_tag("fault_finding/_engine_lines.html")
def trouble_of(engine: Engine) -> dict[str, Any]:
    """The logbook lines of an engine's page: its newest sessions."""
    return {"engine": engine, "sessions": queries.sessions_of(engine)[:3]}
