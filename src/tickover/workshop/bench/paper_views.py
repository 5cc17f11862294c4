"""Papers of the bench that need no form: the blank work card and the hand-back sheet."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_GET

from tickover.workshop.bench import blank_card, hand_back, queries
from tickover.workshop.people.permission import Right, require
from tickover.workshop.register import queries as register


@require_GET
def blank(request: HttpRequest, serial: str, task_id: str) -> HttpResponse:
    require(request, Right.LOOK)
    engine = register.engine_by_serial(serial)
    if engine is None:
        raise Http404("There is no engine with this serial.")
    try:
        data = blank_card.blank_card(engine, task_id)
    except LookupError as error:
        raise Http404(str(error)) from error
    return pdf(data, f"blank-card-{serial}-{task_id}.pdf")


@require_GET
def hand_back_sheet(request: HttpRequest, number: str) -> HttpResponse:
    require(request, Right.LOOK)
    sheet = queries.job_sheet_by_number(number)
    if sheet is None:
        raise Http404("There is no job with this number.")
    if sheet.release is None:
        raise Http404("This job is not released, so there is nothing to hand back yet.")
    return pdf(hand_back.hand_back(sheet), f"hand-back-{sheet.release.number}.pdf")


def pdf(data: bytes, name: str) -> HttpResponse:
    """A paper to be looked at in the browser. The name is cut to what a header may hold."""
    plain = "".join(c if c.isascii() and (c.isalnum() or c in "-.") else "-" for c in name)
    headers = {"Content-Disposition": f'inline; filename="{plain}"'}
    return HttpResponse(data, content_type="application/pdf", headers=headers)
