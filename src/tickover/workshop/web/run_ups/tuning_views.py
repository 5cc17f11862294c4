"""The tuning card: one needle, one eighth, one run-up at a time."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_GET, require_POST

from tickover.formats.errors import FormatError
from tickover.workshop.people.permission import Right, require
from tickover.workshop.register.models import Engine
from tickover.workshop.run_ups import actions, picture, queries, tuning_card
from tickover.workshop.web.engines.engine_page import engine_of
from tickover.workshop.web.run_ups import forms


@require_GET
def card(request: HttpRequest, serial: str) -> HttpResponse:
    """What to turn next, beside the last run-up."""
    require(request, Right.VIEW)
    engine = engine_of(serial)
    return _card(request, engine, forms.NeedlesForm(initial=_as_noted(engine)))


@require_POST
def needles(request: HttpRequest, serial: str) -> HttpResponse:
    """Note where the needles stand now."""
    who = require(request, Right.WORK)
    engine, form = engine_of(serial), forms.NeedlesForm(request.POST)
    if form.is_valid():
        try:
            actions.note_needles(engine, form.new(), queries.newest(engine), who=who, at=timezone.now())
            return redirect("run_ups:tuning", serial)
        except actions.RunUpError as error:
            form.add_error(None, str(error))
    return _card(request, engine, form)


def _card(request: HttpRequest, engine: Engine, form: forms.NeedlesForm) -> HttpResponse:
    run = queries.newest(engine)
    opened = None
    if run is not None:
        try:
            opened = queries.opened(run)
        except (OSError, FormatError):
            opened = None
    coldest = forms.ColdestForm(request.GET).sent()["coldest"]
    context: dict[str, Any] = {
        "engine": engine,
        "run": run,
        "opened": opened,
        "card": tuning_card.card_of(engine, opened, coldest),
        "strip": mark_safe(picture.picture(opened)) if opened else "",
        "notes": queries.needle_notes(engine),
        "form": form,
        "coldest": coldest,
    }
    return render(request, "run_ups/tuning.html", context, status=422 if form.errors else 200)


def _as_noted(engine: Engine) -> dict[str, Any]:
    notes = queries.needle_notes(engine)
    if not notes:
        return {}
    names = ("turns_low", "turns_high", "fuel", "petrol_to_oil")
    values = {name: getattr(notes[0], name) for name in names}
    return {name: f"{v:g}" if isinstance(v, float) else v for name, v in values.items() if v is not None}
