"""Forms of engine time: hours typed, fuel burnt, meters, and the edges of a log's runs."""

from __future__ import annotations

from django import forms as django_forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_POST

from tickover.workshop.engine_time import actions as time_actions
from tickover.workshop.engine_time import at_a_time, edge_actions, meter_actions
from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.people.permission import Right, require
from tickover.workshop.register import actions
from tickover.workshop.web.engines import engine_page, forms
from tickover.workshop.web.engines.engine_page import engine_of
from tickover.workshop.web.engines.views import entry_page


@require_POST
def enter_hours(request: HttpRequest, serial: str) -> HttpResponse:
    who = require(request, Right.WORK)
    engine, form = engine_of(serial), forms.HoursForm(request.POST, auto_id="hours_%s")
    now = timezone.now()
    return engine_page.do(
        request,
        engine,
        "hours",
        form,
        lambda: time_actions.enter_hours(engine, form.typed(), who=who, at=now),
    )


@require_POST
def enter_fuel(request: HttpRequest, serial: str) -> HttpResponse:
    who = require(request, Right.WORK)
    engine, form = engine_of(serial), forms.FuelForm(request.POST, auto_id="fuel_%s")
    now = timezone.now()
    return engine_page.do(
        request, engine, "fuel", form, lambda: time_actions.enter_hours(engine, form.typed(), who=who, at=now)
    )


@require_POST
def read_meter(request: HttpRequest, serial: str) -> HttpResponse:
    who = require(request, Right.WORK)
    engine, form = engine_of(serial), forms.MeterForm(request.POST, auto_id="meter_%s")
    now, sure = timezone.now(), form.confirmed
    return engine_page.do(
        request,
        engine,
        "meter",
        form,
        lambda: meter_actions.read_meter(engine, form.reading(), who=who, at=now, confirmed=sure),
    )


@require_POST
def replace_meter(request: HttpRequest, serial: str) -> HttpResponse:
    who = require(request, Right.WORK)
    engine, form = engine_of(serial), forms.ReplaceMeterForm(request.POST, auto_id="new_meter_%s")
    now, sure = timezone.now(), form.confirmed
    return engine_page.do(
        request,
        engine,
        "new_meter",
        form,
        lambda: meter_actions.replace_meter(
            engine, form.cleaned_data["old_last_h"], form.reading(), who=who, at=now, confirmed=sure
        ),
    )


@require_POST
def move_edges(request: HttpRequest, serial: str, sequence: int) -> HttpResponse:
    """Let a log count the runs that a person gives; goes to the entry that counts then."""
    who = require(request, Right.WORK)
    entry = engine_time.one_entry(engine_of(serial), sequence)
    if entry is None or not edge_actions.may_be_moved(entry):
        messages.error(
            request, "Only a log that counts has runs whose edges can be moved. Nothing was changed."
        )
        return redirect("engines:engine", serial)
    form = forms.EdgesForm(at_a_time.original(entry), request.POST)
    if form.is_valid():
        reason = form.cleaned_data["reason"]
        try:
            moved = edge_actions.move_edges(entry, form.runs(), reason, who=who, at=timezone.now())
        except (actions.RegisterError, django_forms.ValidationError) as error:
            form.add_error(None, error if isinstance(error, django_forms.ValidationError) else str(error))
        else:
            messages.info(request, f"Journal entry {sequence} is replaced by this one. Both stay visible.")
            return redirect("engines:entry", serial, moved.entry_sequence)
    return entry_page(request, entry, form)
