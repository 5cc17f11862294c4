"""The photos of a subject on its page, with the form that adds one."""

from __future__ import annotations

from typing import Any

from django import template

from tickover.workshop.people.permission import Right, may
from tickover.workshop.photos import queries
from tickover.workshop.visits import queries as visits

register = template.Library()


@register.inclusion_tag("photos/_photos.html", takes_context=True)
def photos(
    context: dict[str, Any], subject: str, may_add: bool = True, sheet: visits.JobSheet | None = None
) -> dict[str, Any]:
    """The section “Photos”: small pictures, and the camera for whoever may record work."""
    request, found = context["request"], queries.photos_of(subject)
    return {
        "request": request,
        "csrf_token": context.get("csrf_token"),
        "subject": subject,
        "photos": visits.photos_shown(sheet, found) if sheet else found,
        "may_add": may_add and may(request.user, Right.WORK),
    }


@register.inclusion_tag("photos/_strip.html")
def photos_under(subject: str, sheet: visits.JobSheet) -> dict[str, Any]:
    """Small pictures of a job and all its steps, each with a link to its own page."""
    return {"photos": visits.photos_shown(sheet, queries.photos_under(subject))}
