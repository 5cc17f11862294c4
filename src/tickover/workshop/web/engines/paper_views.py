"""Papers of the register: component card, logbook, label; and everything of an engine in one bundle."""

from __future__ import annotations

from django.conf import settings
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_GET

from tickover.workshop.components import queries as components
from tickover.workshop.logbook import bundle, engine_papers
from tickover.workshop.people.permission import Right, require
from tickover.workshop.web.engines import forms
from tickover.workshop.web.engines.engine_page import engine_of
from tickover.workshop.web.visits.paper_views import pdf


@require_GET
def component_card(request: HttpRequest, sequence: int) -> HttpResponse:
    require(request, Right.VIEW)
    row = components.component_by_sequence(sequence)
    if row is None:
        raise Http404("There is no component with this number.")
    return pdf(engine_papers.component_card(row), f"component-{row.serial}.pdf")


@require_GET
def logbook(request: HttpRequest, serial: str) -> HttpResponse:
    require(request, Right.VIEW)
    return pdf(engine_papers.logbook(engine_of(serial)), f"logbook-{serial}.pdf")


@require_GET
def label(request: HttpRequest, serial: str) -> HttpResponse:
    """Labels for an engine: a sheet of 24, or as many as `?copies=` asks for."""
    require(request, Right.VIEW)
    engine = engine_of(serial)
    asked = forms.CopiesForm(request.GET).sent()["copies"] or str(engine_papers.LABELS_ON_A_SHEET)
    if not (asked.isascii() and asked.isdecimal() and 1 <= int(asked) <= engine_papers.LABELS_ON_A_SHEET):
        raise Http404(
            f"A sheet holds 1 to {engine_papers.LABELS_ON_A_SHEET} labels: put ?copies=1 behind the address."
        )
    return pdf(engine_papers.label(engine, _address(request, serial), int(asked)), f"label-{serial}.pdf")


@require_GET
def transfer_bundle(request: HttpRequest, serial: str) -> FileResponse:
    """Written whole to a file before the first byte leaves, so that a bundle is complete or is not there."""
    require(request, Right.VIEW)
    engine = engine_of(serial)
    plain = "".join(c if c.isascii() and c.isalnum() else "-" for c in serial)
    name = f"engine-{plain}.zip"
    return FileResponse(bundle.written(engine), as_attachment=True, filename=name)


def _address(request: HttpRequest, serial: str) -> str:
    """Address of the engine's page under the workshop's own name, else under the name it was asked by."""
    page = reverse("engines:engine", args=[serial])
    named = [origin for origin in settings.CSRF_TRUSTED_ORIGINS if not origin.startswith("https://.")]
    return f"{named[0]}{page}" if named else request.build_absolute_uri(page)
