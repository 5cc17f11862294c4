"""Today: what is due now and next, over all engines."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from tickover.workshop.people.permission import Right, require
from tickover.workshop.programme import bulletins, queries
from tickover.workshop.register import queries as register
from tickover.workshop.visits import queries as visits
from tickover.workshop.visits.hold_points import checks_for


@require_GET
def today(request: HttpRequest) -> HttpResponse:
    """What is due now and coming up, over all engines."""
    person = require(request, Right.VIEW)
    day = timezone.localdate()
    engines = queries.engine_lines(register.engines(), day)
    lines = sorted((line for e in engines for line in e.lines), key=lambda d: queries.URGENCY[d.state])
    jobs = visits.open_jobs()
    context = {
        "checks": checks_for(person, jobs),
        "today": day,
        "now": [d for d in lines if d.state in ("due", "over tolerance")],
        "overdue": sum(d.state == "over tolerance" for d in lines),
        "soon": [d for d in lines if d.state == "due soon"],
        "bulletins": [b for b in bulletins.lines((e.engine for e in engines), day) if b.needs_a_hand],
        "jobs": jobs,
        "job_of": visits.numbers_by_task(),
        "engines": engines,
        "rest": [e for e in engines if e.needs_nothing],
    }
    return render(request, "today/today.html", context)
