"""Pages of deferred defects: all of them, one, and the forms that defer and put right."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth import authenticate
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from tickover.workshop.bench import queries as bench
from tickover.workshop.bench.models import Job
from tickover.workshop.defects import actions, forms, queries
from tickover.workshop.defects.models import DeferredDefect
from tickover.workshop.people.models import Person
from tickover.workshop.people.permission import Right, may, require
from tickover.workshop.register import queries as register
from tickover.workshop.register.models import Engine


@require_GET
def defects(request: HttpRequest) -> HttpResponse:
    """Every defect that waits, the nearest to its limit first; below, those put right."""
    require(request, Right.LOOK)
    lines = queries.standing(timezone.localdate())
    wanting = sum(line.wants_a_hand for line in lines)
    context = {"lines": lines, "wanting": wanting, "history": queries.history()}
    return render(request, "defects/defects.html", context)


@require_GET
def defect(request: HttpRequest, number: str) -> HttpResponse:
    person = require(request, Right.LOOK)
    line = queries.line_of(_found(number), timezone.localdate())
    jobs = [j for j in bench.jobs_of(line.defect.engine) if not hasattr(j, "release")]
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
    asked = request.POST if request.method == "POST" else request.GET
    job, line = _seen_at(asked.get("job", ""), asked.get("step", ""))
    form = forms.DeferForm(
        actions.who_may_accept(other_than=who),
        request.POST or None,
        initial={"what": _what(line), "job": job.number if job else "", "step": line.step.id if line else ""},
    )
    if form.is_valid():
        accepting = _accepting(request, who, form)
        if accepting is None:
            form.add_error("password", "This name and password do not belong together. Nothing was deferred.")
        else:
            try:
                row = actions.defer(
                    engine, form.new(), accepted_by=accepting, job=job, who=who, at=timezone.now()
                )
                return redirect("bench:job", job.number) if job else redirect("defects:defect", row.number)
            except actions.DefectError as error:
                form.add_error(None, str(error))
    return _defer_page(request, engine, job, line, form)


@require_POST
def rectify(request: HttpRequest, number: str) -> HttpResponse:
    who = require(request, Right.WORK)
    found, job = _found(number), bench.job_by_number(request.POST.get("job", ""))
    if job is None:
        messages.error(request, "Choose the job that puts it right. Nothing was noted.")
        return redirect("defects:defect", number)
    try:
        actions.rectify(found, job, request.POST.get("how", ""), who=who, at=timezone.now())
    except actions.DefectError as error:
        messages.error(request, str(error))
    return redirect("defects:defect", number)


def _accepting(request: HttpRequest, who: Person, form: forms.DeferForm) -> Person | None:
    """Who accepts, by name and password; one who works alone is signed in already."""
    data = form.cleaned_data
    if data["accepted_by"] == who.username:
        return who
    found = authenticate(request, username=data["accepted_by"], password=data["password"])
    return found if isinstance(found, Person) else None


def _seen_at(number: str, step_id: str) -> tuple[Job | None, bench.StepLine | None]:
    if not number:
        return None, None
    sheet = bench.job_sheet_by_number(number)
    if sheet is None:
        raise Http404("There is no job with this number.")
    try:
        return sheet.job, sheet.step(step_id) if step_id else None
    except LookupError as error:
        raise Http404(str(error)) from error


def _what(line: bench.StepLine | None) -> str:
    if line is None or line.finding is None:
        return ""
    return f"{line.finding.title} ({line.step.act.rstrip('.')})"


def _defer_page(
    request: HttpRequest,
    engine: Engine,
    job: Job | None,
    line: bench.StepLine | None,
    form: forms.DeferForm,
) -> HttpResponse:
    context = {"engine": engine, "job": job, "line": line, "form": form, "total": register.total_time(engine)}
    return render(request, "defects/defer.html", context, status=422 if form.errors else 200)


def _found(number: str) -> DeferredDefect:
    row = queries.defect_by_number(number)
    if row is None:
        raise Http404("There is no deferred defect with this number.")
    return row
