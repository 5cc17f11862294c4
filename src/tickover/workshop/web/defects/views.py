"""Pages of deferred defects: all of them, one, and the forms that defer and put right."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from django.contrib.auth import authenticate
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from tickover.workshop.defects import actions, queries
from tickover.workshop.defects.models import DeferredDefect
from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.people.models import Person
from tickover.workshop.people.permission import Right, may, require
from tickover.workshop.register import queries as register
from tickover.workshop.register.models import Engine
from tickover.workshop.visits import queries as visits
from tickover.workshop.visits.models import Job
from tickover.workshop.web.defects import forms
from tickover.workshop.web.rejection import refusals_shown, show_rejection

R = TypeVar("R")


@require_GET
def defects(request: HttpRequest) -> HttpResponse:
    """Every defect that waits, the nearest to its limit first; below, those put right."""
    require(request, Right.VIEW)
    lines = queries.open_defects(timezone.localdate())
    wanting = sum(line.wants_a_hand for line in lines)
    context = {"lines": lines, "wanting": wanting, "history": queries.history()}
    return render(request, "defects/defects.html", context)


@require_GET
def defect(request: HttpRequest, number: str) -> HttpResponse:
    person = require(request, Right.VIEW)
    line = queries.line_of(_found(number), timezone.localdate())
    jobs = [j for j in visits.jobs_of(line.defect.engine) if not hasattr(j, "release")]
    context = {
        "line": line,
        "jobs": [j for j in jobs if not hasattr(j, "closure")],
        "may_work": may(person, Right.WORK),
    }
    return render(request, "defects/defect.html", context)


@require_http_methods(["GET", "POST"])
def defer(request: HttpRequest, serial: str) -> HttpResponse:
    """Defer a defect of an engine, from a step of a job (`?job=…&step=…`) or on its own."""
    who = require(request, Right.WORK)
    engine = register.engine_by_serial(serial)
    if engine is None:
        raise Http404("There is no engine with this serial.")
    asked = forms.SeenAtForm(request.POST if request.method == "POST" else request.GET).sent()
    job, line = _seen_at(asked["job"], asked["step"])
    form = forms.DeferForm(
        who,
        request.POST or None,
        initial={
            "what": _what(line) or _not_done(engine, asked["task"]),
            "job": job.number if job else "",
            "step": line.step.id if line else "",
            "task": asked["task"],
        },
    )
    done = _accepted(
        request,
        who,
        form,
        lambda by: actions.defer(engine, form.new(), accepted_by=by, job=job, who=who, at=timezone.now()),
    )
    if done:
        return redirect("visits:job", job.number) if job else redirect("defects:defect", done.number)
    return _defer_page(request, engine, job, line, form)


@require_http_methods(["GET", "POST"])
def extend(request: HttpRequest, number: str) -> HttpResponse:
    """Another limit for a defect that waits."""
    who = require(request, Right.WORK)
    found = _found(number)
    until = queries.line_of(found, timezone.localdate()).until
    form = forms.ExtendForm(
        who,
        request.POST or None,
        initial={
            "until_h": f"{until.until_h:.1f}" if until.until_h is not None else "",
            "until_on": until.until_on,
        },
    )
    done = _accepted(
        request,
        who,
        form,
        lambda by: actions.extend(
            found, form.until(), form.cleaned_data["reason"], accepted_by=by, who=who, at=timezone.now()
        ),
    )
    return redirect("defects:defect", number) if done else _again(request, found, form, "defects/extend.html")


@require_http_methods(["GET", "POST"])
def withdraw(request: HttpRequest, number: str) -> HttpResponse:
    """Take a deferral back."""
    who = require(request, Right.WORK)
    found = _found(number)
    form = forms.WithdrawForm(who, request.POST or None)
    done = _accepted(
        request,
        who,
        form,
        lambda by: actions.withdraw(
            found, form.cleaned_data["reason"], accepted_by=by, who=who, at=timezone.now()
        ),
    )
    return (
        redirect("defects:defect", number) if done else _again(request, found, form, "defects/withdraw.html")
    )


@require_POST
def rectify(request: HttpRequest, number: str) -> HttpResponse:
    who = require(request, Right.WORK)
    sent = forms.RectifyForm(request.POST).sent()
    found, job = _found(number), visits.job_by_number(sent["job"])
    if job is None:
        show_rejection(request, "Choose the visit. Nothing was saved.")
        return redirect("defects:defect", number)
    with refusals_shown(request):
        actions.rectify(found, job, sent["how"], who=who, at=timezone.now())
    return redirect("defects:defect", number)


def _accepted(
    request: HttpRequest, who: Person, form: forms.AcceptedForm, action: Callable[[Person], R]
) -> R | None:
    """What the action wrote; None where the form, the password or the action refuses, which the form says."""
    if not form.is_valid():
        return None
    accepting = _accepting(request, who, form)
    if accepting is None:
        form.add_error("password", "This name and password do not belong together. Nothing was changed.")
        return None
    try:
        return action(accepting)
    except actions.DefectError as error:
        form.add_error(None, str(error))
        return None


def _accepting(request: HttpRequest, who: Person, form: forms.AcceptedForm) -> Person | None:
    """Who accepts, by name and password; one who works alone is signed in already."""
    data = form.cleaned_data
    if data["accepted_by"] == who.username:
        return who
    found = authenticate(request, username=data["accepted_by"], password=data.get("password", ""))
    return found if isinstance(found, Person) else None


def _seen_at(number: str, step_id: str) -> tuple[Job | None, visits.StepLine | None]:
    if not number:
        return None, None
    sheet = visits.job_sheet_by_number(number)
    if sheet is None:
        raise Http404("There is no visit with this number.")
    try:
        return sheet.job, sheet.step(step_id) if step_id else None
    except LookupError as error:
        raise Http404(str(error)) from error


def _what(line: visits.StepLine | None) -> str:
    if line is None or line.finding is None:
        return ""
    return f"{line.finding.title} ({line.step.act.rstrip('.')})"


def _not_done(engine: Engine, task_id: str) -> str:
    """A task that is to wait, in words; "" for none."""
    if not task_id:
        return ""
    try:
        return f"Not done: {register.build_of(engine).task(task_id).title}"
    except LookupError as error:
        raise Http404(str(error)) from error


def _defer_page(
    request: HttpRequest,
    engine: Engine,
    job: Job | None,
    line: visits.StepLine | None,
    form: forms.DeferForm,
) -> HttpResponse:
    context = {
        "engine": engine,
        "job": job,
        "line": line,
        "form": form,
        "total": engine_time.total_time(engine),
    }
    return render(request, "defects/defer.html", context, status=422 if form.errors else 200)


def _again(
    request: HttpRequest, found: DeferredDefect, form: forms.AcceptedForm, template: str
) -> HttpResponse:
    line = queries.line_of(found, timezone.localdate())
    context = {"line": line, "form": form, "total": engine_time.total_time(found.engine)}
    return render(request, template, context, status=422 if form.errors else 200)


def _found(number: str) -> DeferredDefect:
    row = queries.defect_by_number(number)
    if row is None:
        raise Http404("There is no deferred defect with this number.")
    return row
