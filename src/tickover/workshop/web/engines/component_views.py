"""Components on an engine: a new one, fit, remove, swap, take back; a component's history; an overhaul."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django import forms as django_forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from tickover.workshop.components import actions, queries
from tickover.workshop.kernel import queries as journal
from tickover.workshop.people.models import Person
from tickover.workshop.people.permission import Right, require
from tickover.workshop.register.actions import RegisterError
from tickover.workshop.register.models import Component
from tickover.workshop.web.engines import engine_page, forms
from tickover.workshop.web.engines.engine_page import engine_of
from tickover.workshop.web.rejection import refusals_shown, show_rejection


@require_GET
def component(request: HttpRequest, sequence: int) -> HttpResponse:
    """A component: its time since new, and every stay on an engine that makes it up."""
    require(request, Right.VIEW)
    row = _component(sequence)
    context = {
        "component": row,
        "line": queries.component_line(row, timezone.now()),
        "remove": forms.WhenForm(auto_id="remove_%s"),
        "journal": journal.about(f"component/{row.kind}/{row.serial}"),
    }
    return render(request, "engines/component.html", context)


@require_POST
def add_component(request: HttpRequest, serial: str) -> HttpResponse:
    """A component that is new to the register, fitted to this engine."""
    who = require(request, Right.WORK)
    engine, form = engine_of(serial), forms.NewComponentForm(request.POST, auto_id="new_component_%s")

    return engine_page.do(
        request,
        engine,
        "new_component",
        form,
        lambda: actions.add_fitted(
            form.new(), engine, actions.ComponentChange(form.cleaned_data["when"], who, timezone.now())
        ),
    )


@require_POST
def fit(request: HttpRequest, serial: str) -> HttpResponse:
    who = require(request, Right.WORK)
    engine, form = engine_of(serial), forms.FitForm(request.POST, auto_id="fit_%s")
    return engine_page.do(
        request,
        engine,
        "fit",
        form,
        lambda: actions.fit(form.cleaned_data["component"], engine, _done(form, who)),
    )


@require_POST
def swap(request: HttpRequest, serial: str) -> HttpResponse:
    who = require(request, Right.WORK)
    engine, form = engine_of(serial), forms.SwapForm(request.POST, auto_id="swap_%s")
    return engine_page.do(
        request,
        engine,
        "swap",
        form,
        lambda: actions.swap(engine, form.cleaned_data["other"], form.cleaned_data["kind"], _done(form, who)),
    )


@require_POST
def remove(request: HttpRequest, sequence: int) -> HttpResponse:
    who = require(request, Right.WORK)
    return _act(request, sequence, lambda row, form: actions.remove(row, _done(form, who)), "is removed")


@require_POST
def take_back(request: HttpRequest, sequence: int) -> HttpResponse:
    who = require(request, Right.WORK)
    return _act(
        request,
        sequence,
        lambda row, form: actions.take_back(row, _done(form, who)),
        "is withdrawn: it was never fitted",
    )


@require_POST
def overhaul(request: HttpRequest, serial: str) -> HttpResponse:
    who = require(request, Right.WORK)
    engine, form = engine_of(serial), forms.OverhaulForm(request.POST, auto_id="overhaul_%s")
    now = timezone.now()
    return engine_page.do(
        request,
        engine,
        "overhaul",
        form,
        lambda: actions.record_overhaul(engine, **form.cleaned_data, who=who, at=now),
    )


@require_POST
def take_back_overhaul(request: HttpRequest, serial: str) -> HttpResponse:
    who = require(request, Right.WORK)
    engine = engine_of(serial)
    last = queries.last_overhaul(engine)
    if last is None:
        raise Http404("This engine has no overhaul in its record.")
    with refusals_shown(request):
        reason = forms.TakeBackReasonForm(request.POST).sent()["reason"][:200]
        actions.take_back_overhaul(last, reason, who=who, at=timezone.now())
    return redirect("engines:engine", serial)


def _act(
    request: HttpRequest, sequence: int, act: Callable[[Component, django_forms.Form], Any], done: str
) -> HttpResponse:
    row, form = _component(sequence), forms.WhenForm(request.POST)
    if not form.is_valid():
        show_rejection(request, "Give a date and a time. Nothing was changed.")
        return redirect("engines:component", sequence)
    try:
        act(row, form)
    except RegisterError as error:
        show_rejection(request, str(error))
    else:
        messages.info(request, f"{row} {done}.")
    return redirect("engines:component", sequence)


def _component(sequence: int) -> Component:
    row = queries.component_by_sequence(sequence)
    if row is None:
        raise Http404("There is no component with this number.")
    return row


def _done(form: django_forms.Form, who: Person) -> actions.ComponentChange:
    given = form.cleaned_data
    return actions.ComponentChange(given["when"], who, timezone.now(), given["remark"])
