"""Papers of the bench: the work card, blank and of a job, the release, and the hand-back sheet."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_GET

from tickover.workshop.logbook import blank_card, hand_back, job_papers
from tickover.workshop.people.permission import Right, require
from tickover.workshop.register import queries as register
from tickover.workshop.web.visits.doing import sheet_of


@require_GET
def blank(request: HttpRequest, serial: str, task_id: str) -> HttpResponse:
    require(request, Right.VIEW)
    engine = register.engine_by_serial(serial)
    if engine is None:
        raise Http404("There is no engine with this serial.")
    try:
        data = blank_card.blank_card(engine, task_id)
    except LookupError as error:
        raise Http404(str(error)) from error
    return pdf(data, f"blank-card-{serial}-{task_id}.pdf")


@require_GET
def work_card(request: HttpRequest, number: str) -> HttpResponse:
    sheet = sheet_of(number, require(request, Right.VIEW))
    return pdf(job_papers.work_card(sheet), f"work-card-{number}.pdf")


@require_GET
def release(request: HttpRequest, number: str) -> HttpResponse:
    sheet = sheet_of(number, require(request, Right.VIEW))
    if sheet.release is None:
        raise Http404("This visit is not released, so there is no release to print.")
    return pdf(job_papers.release(sheet), f"release-{sheet.release.number}.pdf")


@require_GET
def hand_back_sheet(request: HttpRequest, number: str) -> HttpResponse:
    sheet = sheet_of(number, require(request, Right.VIEW))
    if sheet.release is None:
        raise Http404("This visit is not released, so there is nothing to hand back yet.")
    return pdf(hand_back.hand_back(sheet), f"hand-back-{sheet.release.number}.pdf")


def pdf(data: bytes, name: str) -> HttpResponse:
    """A paper to be looked at in the browser. The name is cut to what a header may hold."""
    plain = "".join(c if c.isascii() and (c.isalnum() or c in "-.") else "-" for c in name)
    headers = {"Content-Disposition": f'inline; filename="{plain}"'}
    return HttpResponse(data, content_type="application/pdf", headers=headers)
