"""Today, the engines as a page and as files, one task of an engine, the weeks ahead."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any
from urllib.parse import urlencode

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from tickover.workshop.bench import queries as bench
from tickover.workshop.bench.hold_points import checks_for
from tickover.workshop.people.permission import Right, require
from tickover.workshop.pictures.limit_box import limit_box
from tickover.workshop.programme import bulletins, decisions, export, queries, visit_plan, weeks
from tickover.workshop.programme.queries import EngineLine
from tickover.workshop.register import queries as register
from tickover.workshop.register.models import Engine

SORTS: dict[str, Callable[[EngineLine], Any] | None] = {
    "due": None,
    "name": lambda e: e.engine.name.casefold(),
    "hours": lambda e: -e.now_h,
}
SORT_WORDS = {"due": "the most urgent first", "name": "by name", "hours": "the most hours first"}
MOST_BENCH_H = 1000.0


@require_GET
def today(request: HttpRequest) -> HttpResponse:
    """What needs a hand now, and why."""
    person = require(request, Right.LOOK)
    day = timezone.localdate()
    engines = queries.engine_lines(register.engines(), day)
    lines = sorted((line for e in engines for line in e.lines), key=lambda d: queries.URGENCY[d.state])
    jobs = bench.open_jobs()
    context = {
        "checks": checks_for(person, jobs),
        "today": day,
        "now": [d for d in lines if d.state in ("due", "over tolerance")],
        "soon": [d for d in lines if d.state == "due soon"],
        "bulletins": [b for b in bulletins.lines((e.engine for e in engines), day) if b.needs_a_hand],
        "jobs": jobs,
        "job_of": bench.numbers_by_task(),
        "engines": engines,
    }
    return render(request, "programme/today.html", context)


@require_GET
def engines(request: HttpRequest) -> HttpResponse:
    require(request, Right.LOOK)
    found, every = _asked_for(request)
    wanted, sort = _wanted(request)
    context = {
        "lines": found,
        "all": every,
        "wanted": wanted,
        "sort": sort,
        "order": SORT_WORDS[sort],
        "sorts": {name: urlencode({"q": wanted, "sort": name}) for name in SORTS},
        "same": urlencode({"q": wanted, "sort": sort}),
    }
    return render(request, "programme/engines.html", context)


@require_GET
def engines_csv(request: HttpRequest) -> HttpResponse:
    """The same engines in the same order, for a spreadsheet."""
    require(request, Right.LOOK)
    return _file(export.as_csv(_asked_for(request)[0]), "text/csv", "engines.csv")


@require_GET
def engines_json(request: HttpRequest) -> HttpResponse:
    require(request, Right.LOOK)
    return _file(export.as_json(_asked_for(request)[0]), "application/json", "engines.json")


@require_GET
def task(request: HttpRequest, serial: str, task_id: str) -> HttpResponse:
    """One task of one engine: the limit box, the working, what was done before."""
    require(request, Right.LOOK)
    engine = engine_or_404(serial)
    try:
        line = queries.due_of(engine, task_id, timezone.localdate())
    except LookupError as error:
        raise Http404(str(error)) from error
    context = {
        "line": line,
        "anchor": decisions.anchors().get(engine.sheet_id, line.task.anchor),
        "box": limit_box(line.box, size="large"),
        "history": queries.history(engine, task_id),
        "job": bench.open_job_for(engine, task_id),
    }
    return render(request, "programme/task.html", context)


@require_GET
def weeks_ahead(request: HttpRequest) -> HttpResponse:
    """Bench hours of the next weeks, as a distribution, and the visits that would save some."""
    require(request, Right.LOOK)
    day = timezone.localdate()
    typed = request.GET.get("hours", "").strip()
    bench_h = _bench_hours(typed)
    lines = queries.engine_lines(register.engines(), day)
    context = {
        "ahead": weeks.ahead(lines, day, bench_h),
        "plan": visit_plan.plan(lines, day, bench_h),
        "season": weeks.season(lines, day),
        "typed": typed,
        "not_understood": bool(typed) and bench_h is None,
    }
    return render(request, "programme/weeks.html", context)


def engine_or_404(serial: str) -> Engine:
    engine = register.engine_by_serial(serial)
    if engine is None:
        raise Http404("There is no engine with this serial.")
    return engine


def _wanted(request: HttpRequest) -> tuple[str, str]:
    """What is searched for, and the order, "due" unless another one is known."""
    sort = request.GET.get("sort", "due")
    return request.GET.get("q", "").strip(), sort if sort in SORTS else "due"


def _asked_for(request: HttpRequest) -> tuple[list[EngineLine], int]:
    """The engines that match, in the order asked for, and how many there are in all."""
    wanted, sort = _wanted(request)
    lines = queries.engine_lines(register.engines(), timezone.localdate())
    text = wanted.lower()
    found = [e for e in lines if text in f"{e.engine.name} {e.engine.serial} {e.engine.owner.name}".lower()]
    key = SORTS[sort]
    return (sorted(found, key=key) if key else found), len(lines)


def _file(text: str, kind: str, name: str) -> HttpResponse:
    answer = HttpResponse(text, content_type=f"{kind}; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer


def _bench_hours(typed: str) -> float | None:
    """Bench hours in a week as a number; None where none can be read."""
    try:
        hours = float(typed.replace(",", "."))
    except ValueError:
        return None
    return hours if math.isfinite(hours) and 0.0 < hours <= MOST_BENCH_H else None
