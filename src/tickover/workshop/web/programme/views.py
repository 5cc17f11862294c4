"""Today, the engines as a page and as files, one task of an engine, the weeks ahead."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from tickover.workshop.drawings.limit_box import limit_box
from tickover.workshop.people.permission import Right, require
from tickover.workshop.programme import decisions, queries
from tickover.workshop.register import queries as register
from tickover.workshop.register.models import Engine
from tickover.workshop.visits import queries as visits


@require_GET
def task(request: HttpRequest, serial: str, task_id: str) -> HttpResponse:
    """One task of one engine: the limit box, the working, what was done before."""
    require(request, Right.VIEW)
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
        "job": visits.open_job_for(engine, task_id),
    }
    return render(request, "programme/task.html", context)


def engine_or_404(serial: str) -> Engine:
    engine = register.engine_by_serial(serial)
    if engine is None:
        raise Http404("There is no engine with this serial.")
    return engine
