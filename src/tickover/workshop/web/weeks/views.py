"""The weeks ahead: visits, bench hours against capacity."""

from __future__ import annotations

import math

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from tickover.workshop.people.permission import Right, require
from tickover.workshop.programme import queries
from tickover.workshop.programme.workload import visit_plan, weeks
from tickover.workshop.register import queries as register
from tickover.workshop.web.weeks.forms import BenchHoursForm

MOST_BENCH_H = 1000.0


@require_GET
def weeks_ahead(request: HttpRequest) -> HttpResponse:
    """Bench hours of the next weeks, as a distribution, and the visits that would save some."""
    require(request, Right.VIEW)
    day = timezone.localdate()
    typed = BenchHoursForm(request.GET).sent()["hours"]
    bench_h = _bench_hours(typed)
    lines = queries.engine_lines(register.engines(), day)
    context = {
        "ahead": weeks.ahead(lines, day, bench_h),
        "plan": visit_plan.plan(lines, day, bench_h),
        "season": weeks.season(lines, day),
        "typed": typed,
        "not_understood": bool(typed) and bench_h is None,
    }
    return render(request, "weeks/weeks.html", context)


def _bench_hours(typed: str) -> float | None:
    """Bench hours in a week as a number; None where none can be read."""
    try:
        hours = float(typed.replace(",", "."))
    except ValueError:
        return None
    return hours if math.isfinite(hours) and 0.0 < hours <= MOST_BENCH_H else None
