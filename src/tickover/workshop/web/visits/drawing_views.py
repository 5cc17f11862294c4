"""One drawing of a step on a page of its own, as large as the screen."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from tickover.workshop.logbook.step_drawings import step_drawings
from tickover.workshop.people.permission import Right, require
from tickover.workshop.web.visits.doing import sheet_of


@require_GET
def drawing(request: HttpRequest, number: str, step_id: str, drawing_id: str) -> HttpResponse:
    sheet = sheet_of(number, require(request, Right.VIEW))
    try:
        line = sheet.step(step_id)
    except LookupError as error:
        raise Http404(str(error)) from error
    shown = next((one for one in step_drawings(sheet, line) if one.id == drawing_id), None)
    if shown is None:
        raise Http404("This step has no such drawing.")
    return render(request, "visits/drawing.html", {"sheet": sheet, "line": line, "drawing": shown})
