"""Add an engine: serial, type, owner, hours now, and what is known of overhaul and parts."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from tickover.workshop.people.permission import Right, require
from tickover.workshop.programme import decisions
from tickover.workshop.register.models import Owner
from tickover.workshop.takeover import actions
from tickover.workshop.takeover.refusal import TakeOverError
from tickover.workshop.web.takeover.forms import ComingEngineForm, KnownAlreadyForm

FIELD_OF = {"build": "type"}
"""Where an error is shown that is about no field of its own."""


@require_http_methods(["GET", "POST"])
def add_engine(request: HttpRequest) -> HttpResponse:
    """An engine comes into the workshop; one that has run goes on to the table of its services."""
    who = require(request, Right.WORK)
    given = request.POST if request.method == "POST" else None
    form = ComingEngineForm(decisions.sheets_kept(), given, initial=KnownAlreadyForm(request.GET).sent())
    build_in_doubt = False
    if request.method == "POST" and form.is_valid():
        coming = form.coming()
        try:
            engine = actions.take_over(coming, who=who, at=timezone.now())
        except TakeOverError as error:
            build_in_doubt = error.field == "build" and bool(coming.build_id)
            form.add_error(FIELD_OF.get(error.field, error.field) or None, str(error))
        else:
            ran = coming.hours.hours_h > 0.0
            return redirect("takeover:last-done" if ran else "engines:engine", engine.serial)
    context = {"form": form, "owners": Owner.objects.order_by("name"), "build_in_doubt": build_in_doubt}
    return render(request, "takeover/add_engine.html", context, status=422 if form.errors else 200)
