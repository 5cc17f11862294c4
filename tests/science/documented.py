"""What a docstring of public science has to hold, and which functions still lack some of it. The list only shrinks."""

from __future__ import annotations

import inspect
import re
import sys
from collections.abc import Callable
from typing import Any

SECTIONS = ("Parameters", "Returns", "Raises", "References", "Examples")
"""As numpydoc names them. References may be those of the module, which answers one question from one set of sources."""


def lacking(function: Callable[..., Any]) -> list[str]:
    """Sections that the docstring of a function does not have."""
    own, module = inspect.unwrap(function).__doc__ or "", sys.modules[function.__module__].__doc__ or ""
    return [
        name
        for name in SECTIONS
        if not has_section(own, name) and not (name == "References" and has_section(module, name))
    ]


def has_section(docstring: str, name: str) -> bool:
    return re.search(rf"^\s*{name}\n\s*-+$", docstring, re.MULTILINE) is not None


STILL_LACKING = frozenset(
    {
        "planning.access.offers",
        "planning.access.opened_for",
        "planning.access.visit_minutes",
        "planning.due.Due.state",
        "planning.due_date_cost.due_task",
        "planning.fleet.learn_fleet",
        "planning.forecast.due_days",
        "planning.schedule_solver.cheapest_days",
        "planning.schedule_solver.cost_of",
        "planning.season.learn_season",
        "planning.usage.chance_reached_by",
        "planning.usage.day_reached_quantiles",
        "planning.usage.due_day",
        "planning.usage.gain_quantiles",
        "planning.visits.plan_visits",
        "planning.workload.spread",
    }
)
