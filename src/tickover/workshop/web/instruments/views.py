"""Pages of the instrument register."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from tickover.workshop.instruments import actions, export, queries
from tickover.workshop.instruments.models import KINDS, Instrument
from tickover.workshop.kernel import queries as journal
from tickover.workshop.people.permission import Right, may, require
from tickover.workshop.visits import queries as visits
from tickover.workshop.web.instruments import forms
from tickover.workshop.web.rejection import refusals_shown


@require_GET
def instruments(request: HttpRequest) -> HttpResponse:
    """Every instrument; the one whose calibration is due first on top."""
    person = require(request, Right.VIEW)
    today = timezone.localdate()
    sort, kind, found = _asked(request)
    context = {
        "rows": [(line, line.calibration_state(today), line.calibration_overdue(today)) for line in found],
        "wanting": sum(line.wants_a_hand(today) for line in found),
        "sort": sort,
        "sorts": queries.SORTS,
        "kind": kind,
        "kinds": [(k, k.replace("-", " ")) for k in KINDS],
        "may_work": may(person, Right.WORK),
    }
    return render(request, "instruments/instruments.html", context)


@require_GET
def instruments_csv(request: HttpRequest) -> HttpResponse:
    """The same list as a table."""
    require(request, Right.VIEW)
    text = export.as_csv(_asked(request)[2], timezone.localdate())
    answer = HttpResponse(text, content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = 'attachment; filename="instruments.csv"'
    return answer


@require_http_methods(["GET", "POST"])
def add(request: HttpRequest) -> HttpResponse:
    """A new instrument."""
    who = require(request, Right.WORK)
    kind = forms.InstrumentListForm(request.GET).sent()["kind"]
    form = forms.InstrumentForm(request.POST or None, initial={"kind": kind})
    if form.is_valid():
        try:
            added = actions.add_instrument(form.new(), who=who, at=timezone.now())
            return redirect("instruments:instrument", added.number)
        except actions.InstrumentError as error:
            form.add_error(None, str(error))
    return render(request, "instruments/add.html", {"form": form}, status=422 if form.errors else 200)


@require_GET
def instrument(request: HttpRequest, number: str) -> HttpResponse:
    require(request, Right.VIEW)
    return _page(request, _found(number), forms.CalibrationForm(initial={"on_day": timezone.localdate()}))


@require_POST
def calibrate(request: HttpRequest, number: str) -> HttpResponse:
    who = require(request, Right.WORK)
    found, form = _found(number), forms.CalibrationForm(request.POST)
    if form.is_valid():
        try:
            actions.calibrate(found, form.new(), who=who, at=timezone.now())
            return redirect("instruments:instrument", number)
        except actions.InstrumentError as error:
            form.add_error(None, str(error))
    return _page(request, found, form, status=422)


@require_POST
def withdraw(request: HttpRequest, number: str) -> HttpResponse:
    who = require(request, Right.WORK)
    reason = forms.MoveForm(request.POST).sent()["reason"]
    return _do(request, number, lambda i: actions.withdraw(i, reason, who=who, at=timezone.now()))


@require_POST
def take_back(request: HttpRequest, number: str) -> HttpResponse:
    who = require(request, Right.WORK)
    reason = forms.MoveForm(request.POST).sent()["reason"]
    return _do(request, number, lambda i: actions.take_back(i, reason, who=who, at=timezone.now()))


@require_POST
def move(request: HttpRequest, number: str) -> HttpResponse:
    who = require(request, Right.WORK)
    location = forms.MoveForm(request.POST).sent()["location"]
    return _do(request, number, lambda i: actions.move(i, location, who=who, at=timezone.now()))


def _asked(request: HttpRequest) -> tuple[str, str, list[queries.InstrumentLine]]:
    """The order and the kind that were asked for, and the instruments so."""
    asked = forms.InstrumentListForm(request.GET).sent()
    sort, kind = asked["sort"], asked["kind"]
    sort, kind = sort if sort in queries.SORTS else "due", kind if kind in KINDS else ""
    return sort, kind, queries.lines(sort=sort, kind=kind)


def _page(
    request: HttpRequest, found: Instrument, form: forms.CalibrationForm, status: int = 200
) -> HttpResponse:
    today = timezone.localdate()
    line = queries.line_of(found)
    context: dict[str, Any] = {
        "line": line,
        "state": line.calibration_state(today),
        "deviation": 100.0 * (line.gauge.deviation() or 0.0),
        "overdue": line.calibration_overdue(today),
        "form": form,
        "history": queries.history(found),
        "readings": visits.readings_with(found),
        "journal": journal.about(f"instrument/{found.number}"),
    }
    return render(request, "instruments/instrument.html", context, status=status)


def _do(request: HttpRequest, number: str, action: Callable[[Instrument], object]) -> HttpResponse:
    with refusals_shown(request):
        action(_found(number))
    return redirect("instruments:instrument", number)


def _found(number: str) -> Instrument:
    row = queries.instrument_by_number(number)
    if row is None:
        raise Http404("There is no instrument with this number.")
    return row
