"""The engine's page: what it shows, and each of its forms, blank or as it was refused."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from django import forms as django_forms
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from tickover.workshop.components import queries as components
from tickover.workshop.engine_time import meter_actions
from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.kernel import evidence_files
from tickover.workshop.kernel import queries as journal
from tickover.workshop.programme import queries as programme
from tickover.workshop.register import queries
from tickover.workshop.register.actions import RegisterError
from tickover.workshop.register.models import Engine
from tickover.workshop.visits import queries as visits
from tickover.workshop.web.engines import forms

Forms = Mapping[str, django_forms.Form]


def engine_of(serial: str) -> Engine:
    """The engine with this serial, or page 404."""
    found = queries.engine_by_serial(serial)
    if found is None:
        raise Http404("There is no engine with this serial.")
    return found


def show(
    request: HttpRequest, engine: Engine, *, refused: str = "", tried: Forms | None = None, **more: Any
) -> HttpResponse:
    """The page; with 422 where something was refused, and the form that was tried as it was typed."""
    now = timezone.now()
    sheet = queries.build_of(engine)
    last = meter_actions.last_reading(engine)
    job_of = visits.numbers_by_task(engine)
    lines = programme.due_lines(engine, timezone.localdate())
    context = {
        "engine": engine,
        "sheet": sheet,
        "build": sheet.build(engine.build_id),
        "total": engine_time.total_time(engine),
        "lines": lines,
        "not_known": sum(line.not_known for line in lines),
        "times": engine_time.time_lines(engine),
        "jobs": visits.jobs_of(engine),
        "job_of": job_of,
        "running": sorted(set(job_of.values())),
        "journal": journal.about(f"engine/{engine.serial}", limit=12),
        "components": components.components_on(engine, now),
        "since_overhaul": components.time_since_overhaul(engine, now),
        "meter": last,
        "refused": refused,
        "has_track_log_to_try": evidence_files.track_log_to_try() is not None,
        "forms": {**_blank(last.meter if last else "engine meter"), **(tried or {})},
        **more,
    }
    return render(request, "engines/engine.html", context, status=422 if refused or tried else 200)


def do(
    request: HttpRequest, engine: Engine, name: str, form: django_forms.Form, act: Callable[[], Any]
) -> HttpResponse:
    """Act on a form that is filled in well, and go back to the page; else show it as it was typed."""
    if form.is_valid():
        try:
            act()
        except meter_actions.LowerReadingError as error:
            form.add_error(None, str(error))
            return show(request, engine, tried={name: form}, may_insist=name)
        except RegisterError as error:
            form.add_error(None, str(error))
        else:
            return redirect("engines:engine", engine.serial)
    return show(request, engine, tried={name: form})


def _blank(meter: str) -> dict[str, django_forms.Form]:
    return {
        "hours": forms.HoursForm(auto_id="hours_%s"),
        "fuel": forms.FuelForm(auto_id="fuel_%s"),
        "meter": forms.MeterForm(auto_id="meter_%s", initial={"meter": meter}),
        "new_meter": forms.ReplaceMeterForm(auto_id="new_meter_%s"),
        "new_component": forms.NewComponentForm(auto_id="new_component_%s"),
        "fit": forms.FitForm(auto_id="fit_%s"),
        "swap": forms.SwapForm(auto_id="swap_%s"),
        "overhaul": forms.OverhaulForm(auto_id="overhaul_%s"),
    }
