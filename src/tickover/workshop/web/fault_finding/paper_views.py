"""The paper of a session, and what the workshop's own cases came out as."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from tickover.workshop.fault_finding import cases, paper, queries
from tickover.workshop.people.permission import Right, require
from tickover.workshop.web.fault_finding import pages


@require_GET
def paper_of(request: HttpRequest, number: str) -> HttpResponse:
    """The session on paper, as it stands now."""
    require(request, Right.VIEW)
    sheet = queries.session_sheet(pages.session_of(number))
    headers = {"Content-Disposition": f'inline; filename="trouble-{sheet.session.number}.pdf"'}
    return HttpResponse(paper.session_pdf(sheet), content_type="application/pdf", headers=headers)


@require_GET
def what_it_was(request: HttpRequest) -> HttpResponse:
    """How often each cause was confirmed, beside what its type sheet supposes."""
    require(request, Right.VIEW)
    return render(request, "fault_finding/what_it_was.html", {"types": cases.types(), "worth": cases.WORTH})
