"""Deferred defects on the pages of others: near their limit on Today, all of one engine, all of a job's engine."""

from __future__ import annotations

from typing import Any

from django import template
from django.utils import timezone

from tickover.workshop.defects import queries
from tickover.workshop.register.models import Engine
from tickover.workshop.visits.models import Job

register = template.Library()


@register.inclusion_tag("defects/_wanting.html")
def defects_wanting() -> dict[str, Any]:
    """The section “Deferred defects near their limit”, or nothing."""
    return {"lines": queries.wanting(timezone.localdate())}


@register.inclusion_tag("defects/_of_engine.html")
def defects_of(engine: Engine, job: Job | None = None) -> dict[str, Any]:
    """The section “Deferred defects” of an engine; on a job's page with that job to put them right."""
    return {"lines": queries.open_defects(timezone.localdate(), engine), "engine": engine, "job": job}
