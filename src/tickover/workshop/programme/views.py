"""Today, the engines, one task of an engine."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from tickover.workshop.bench import queries as bench
from tickover.workshop.people.permission import Right, require
from tickover.workshop.pictures.limit_box import limit_box
from tickover.workshop.programme import queries
from tickover.workshop.register import queries as register


@require_GET
def today(request: HttpRequest) -> HttpResponse:
    """What needs a hand now, and why."""
    require(request, Right.LOOK)
    day = timezone.localdate()
    engines = queries.engine_lines(register.engines(), day)
    lines = sorted((line for e in engines for line in e.lines), key=lambda d: queries.URGENCY[d.state])
    jobs = bench.open_jobs()
    context = {
        "today": day,
        "now": [d for d in lines if d.state in ("due", "over tolerance")],
        "soon": [d for d in lines if d.state == "due soon"],
        "jobs": jobs,
        "job_of": {(j.job.engine_id, j.job.task_id): j.job.number for j in jobs},
        "engines": engines,
    }
    return render(request, "programme/today.html", context)


@require_GET
def engines(request: HttpRequest) -> HttpResponse:
    require(request, Right.LOOK)
    wanted = request.GET.get("q", "").strip().lower()
    lines = queries.engine_lines(register.engines(), timezone.localdate())
    found = [e for e in lines if wanted in f"{e.engine.name} {e.engine.serial} {e.engine.owner.name}".lower()]
    return render(request, "programme/engines.html", {"lines": found, "all": len(lines), "wanted": wanted})


@require_GET
def task(request: HttpRequest, serial: str, task_id: str) -> HttpResponse:
    """One task of one engine: the limit box, the working, what was done before."""
    require(request, Right.LOOK)
    engine = register.engine_by_serial(serial)
    if engine is None:
        raise Http404("There is no engine with this serial.")
    try:
        line = queries.due_of(engine, task_id, timezone.localdate())
    except LookupError as error:
        raise Http404(str(error)) from error
    context = {
        "line": line,
        "box": limit_box(line.box, size="large"),
        "history": queries.history(engine, task_id),
        "job": bench.open_job_for(engine, task_id),
    }
    return render(request, "programme/task.html", context)
