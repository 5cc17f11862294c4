"""What the workshop decides over its sheets: from what to count on, and whose hours are not known."""

from __future__ import annotations

from collections.abc import Callable

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.people.permission import Right, may, require
from tickover.workshop.programme import actions, decisions, queries
from tickover.workshop.programme.actions import ProgrammeError
from tickover.workshop.web.programme.forms import (
    AnchorForm,
    BaselineForm,
    HoursKnownForm,
)
from tickover.workshop.web.programme.views import engine_or_404
from tickover.workshop.web.rejection import refusals_shown, show_rejection


@require_GET
def settings(request: HttpRequest) -> HttpResponse:
    """The anchor of each type sheet."""
    person = require(request, Right.VIEW)
    anchors = decisions.anchors()
    rows = [
        (sheet, anchors.get(sheet.id, ""), decisions.anchor_history(sheet.id))
        for sheet in decisions.sheets_kept()
    ]
    context = {"rows": rows, "may_manage": may(person, Right.MANAGE)}
    return render(request, "programme/settings.html", context)


@require_POST
def set_anchor(request: HttpRequest, sheet_id: str) -> HttpResponse:
    who = require(request, Right.MANAGE)
    form = AnchorForm(request.POST)
    if not form.is_valid():
        show_rejection(request, "Choose the starting point and type the rule or reason. Nothing was changed.")
        return redirect("programme:settings")
    try:
        actions.set_anchor(sheet_id, **form.cleaned_data, who=who, at=timezone.now())
    except LookupError as error:
        raise Http404(str(error)) from error
    except ProgrammeError as error:
        show_rejection(request, str(error))
    return redirect("programme:settings")


@require_GET
def hours_known(request: HttpRequest, serial: str) -> HttpResponse:
    """Whether an engine's hours are known, and what follows where they are not."""
    person = require(request, Right.VIEW)
    engine = engine_or_404(serial)
    line = queries.engine_lines([engine], timezone.localdate())[0]
    context = {
        "engine": engine,
        "line": line,
        "baselines": queries.history(engine, decisions.BASELINE.id),
        "notes": decisions.notes_of(engine),
        "total": engine_time.total_time(engine),
        "may_work": may(person, Right.WORK),
    }
    return render(request, "programme/hours_known.html", context)


@require_POST
def note_hours(request: HttpRequest, serial: str) -> HttpResponse:
    who = require(request, Right.WORK)
    engine, form = engine_or_404(serial), HoursKnownForm(request.POST)
    reason = form.cleaned_data["reason"] if form.is_valid() else ""
    known = form.cleaned_data.get("known") == "yes"
    return _noted(
        request, serial, lambda: actions.note_hours(engine, reason, known=known, who=who, at=timezone.now())
    )


@require_POST
def record_baseline(request: HttpRequest, serial: str) -> HttpResponse:
    who = require(request, Right.WORK)
    engine, form = engine_or_404(serial), BaselineForm(request.POST)
    words = form.cleaned_data["words"] if form.is_valid() else ""
    return _noted(request, serial, lambda: actions.record_baseline(engine, words, who=who, at=timezone.now()))


def _noted(request: HttpRequest, serial: str, write: Callable[[], object]) -> HttpResponse:
    with refusals_shown(request):
        write()
    return redirect("programme:hours-known", serial)
