"""Start visit: one screen with everything that may be done to an engine, and one press that begins it."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.people.permission import Right, require
from tickover.workshop.register import queries as register
from tickover.workshop.register.models import Engine
from tickover.workshop.scope import scope
from tickover.workshop.visits import actions
from tickover.workshop.web.visits import forms


@require_http_methods(["GET", "POST"])
def start_visit(request: HttpRequest, serial: str) -> HttpResponse:
    """The scope; started, where it was sent, unless only its minutes were asked for."""
    who = require(request, Right.WORK)
    engine = _engine(serial)
    found = scope.scope_of(engine, timezone.localdate())
    if request.method == "GET":
        asked = _each(forms.ScopeForm(request.GET).sent()["task"])
        return _page(request, found, asked or found.ticked, forms.ArrivalForm())
    sent = forms.ScopeForm(request.POST).sent()
    chosen = _each(sent["task"])
    form = forms.ArrivalForm(request.POST)
    if sent["again"] or not form.is_valid():
        return _page(request, found, chosen, form, status=200 if sent["again"] else 422)
    arrival = actions.ArrivalWords(**form.cleaned_data)
    try:
        job = actions.start_visit(
            engine, {name: found.why(name) for name in chosen}, arrival, who=who, at=timezone.now()
        )
    except actions.VisitRunningError as error:
        messages.error(request, str(error))
        return redirect("visits:job", error.number)
    except LookupError as error:
        raise Http404(str(error)) from error
    except actions.VisitError as error:
        return _page(request, found, chosen, form, refused=str(error), status=422)
    return redirect("visits:job", job.number)


@require_GET
def estimate(request: HttpRequest, serial: str) -> HttpResponse:
    """The minutes of what is ticked, as the page shows them."""
    require(request, Right.WORK)
    sheet = register.build_of(_engine(serial))
    found = scope.estimate(sheet, _each(forms.ScopeForm(request.GET).sent()["task"]), timezone.localdate())
    return render(request, "visits/_estimate.html", {"estimate": found})


def _each(names: list[str]) -> tuple[str, ...]:
    """Those that are named, each once."""
    return tuple(dict.fromkeys(name for name in names if name))


def _engine(serial: str) -> Engine:
    found = register.engine_by_serial(serial)
    if found is None:
        raise Http404("There is no engine with this serial.")
    return found


def _page(
    request: HttpRequest,
    found: scope.Scope,
    chosen: tuple[str, ...],
    form: Any,
    *,
    refused: str = "",
    status: int = 200,
) -> HttpResponse:
    listed = {line.task.id for group in found.groups for line in group.lines}
    context = {
        "scope": found,
        "chosen": chosen,
        "added": [task for task in found.others if task.id in chosen],
        "others": [task for task in found.others if task.id not in chosen and task.id not in listed],
        "estimate": found.estimate(chosen),
        "total": engine_time.total_time(found.engine),
        "form": form,
        "refused": refused,
    }
    return render(request, "visits/start_visit.html", context, status=status)
