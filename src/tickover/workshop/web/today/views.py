"""Today: what waits for this person, the open visits, and the engines to take in."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from tickover.workshop.people.permission import Right, may, require
from tickover.workshop.programme import bulletins, queries
from tickover.workshop.register import queries as register
from tickover.workshop.scope.take_in import take_in
from tickover.workshop.visits import queries as visits
from tickover.workshop.visits.hold_points import checks_for
from tickover.workshop.visits.releasing.leaving import to_hand_back


@require_GET
def today(request: HttpRequest) -> HttpResponse:
    """One row an engine: what is due on it now or coming up, and the button that takes it in."""
    person = require(request, Right.VIEW)
    day = timezone.localdate()
    engines = queries.engine_lines(register.engines(), day)
    jobs = visits.open_jobs()
    mine = [j for j in jobs if j.course.holder(j.job) == person]
    rows = take_in(engines, {j.job.engine_id for j in jobs})
    context = {
        "checks": checks_for(person, jobs),
        "today": day,
        "take_in": [row for row in rows if row.due],
        "coming_up": [row for row in rows if not row.due],
        "overdue": sum(bool(row.overdue) for row in rows),
        "bulletins": [b for b in bulletins.lines((e.engine for e in engines), day) if b.needs_a_hand],
        "hand_back": to_hand_back(),
        "open_visits": len(jobs),
        "mine": mine,
        "others": [j for j in jobs if j not in mine],
        "may_work": may(person, Right.WORK),
        "engines": engines,
        "rest": [e for e in engines if e.needs_nothing],
    }
    return render(request, "today/today.html", context)
