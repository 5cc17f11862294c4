"""Filters that word what a session holds by ids."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import template

from tickover.workshop.register.models import Engine
from tickover.workshop.trouble import queries

register = template.Library()


@register.filter
def titled(item: str, titles: Mapping[str, str]) -> str:
    """The title of a finding, a test, a cause or an opening."""
    return titles.get(item, item)


@register.inclusion_tag("trouble/_engine_lines.html")
def trouble_of(engine: Engine) -> dict[str, Any]:
    """The logbook lines of an engine's page: its newest sessions."""
    return {"engine": engine, "sessions": queries.sessions_of(engine)[:3]}
