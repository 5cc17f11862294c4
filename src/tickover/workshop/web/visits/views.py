"""Pages of a job: overview, one step, release; and the forms that write to it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.contrib.auth import authenticate
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from tickover.formats.text.number import ImplausibleNumber, NumberError
from tickover.sheets import UnknownRowError
from tickover.workshop.defects import queries as defects
from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.logbook.step_drawings import step_drawings
from tickover.workshop.people import queries as people
from tickover.workshop.people.models import Person
from tickover.workshop.people.permission import Right, may, require
from tickover.workshop.register import queries as register
from tickover.workshop.run_ups import of_visit
from tickover.workshop.visits import actions, hold_points, queries, second_checks
from tickover.workshop.visits.listing import visits_page
from tickover.workshop.visits.minutes.worked import bench_time
from tickover.workshop.visits.models import Job
from tickover.workshop.visits.releasing import leaving
from tickover.workshop.visits.steps.cautions import cautions_at
from tickover.workshop.web.rejection import show_rejection
from tickover.workshop.web.visits import forms, reading_form
from tickover.workshop.web.visits.doing import do, job_of, sheet_of

NO_CONTENT = 204
FOUND = 302
"""The answer to what was recorded: look at the step."""


@require_GET
def jobs(request: HttpRequest) -> HttpResponse:
    """Open visits, then all of them: searched, a page at a time."""
    require(request, Right.VIEW)
    form = forms.VisitsForm(request.GET)
    wanted = form.wanted()
    after = form.cleaned_data.get("after", "")
    context = {
        "open": [] if wanted.any or after else queries.open_jobs(),
        "form": form,
        "wanted": wanted,
        "after": after,
        "page": visits_page(wanted, after),
        "asked": form.asked(),
    }
    return render(request, "visits/jobs.html", context)


@require_POST
def open_job(request: HttpRequest, serial: str, task_id: str) -> HttpResponse:
    who = require(request, Right.WORK)
    engine = register.engine_by_serial(serial)
    if engine is None:
        raise Http404("There is no engine with this serial.")
    try:
        opened = actions.open_job(engine, task_id, who=who, at=timezone.now())
    except UnknownRowError as error:
        raise Http404(str(error)) from error
    except actions.VisitError as error:
        messages.error(request, str(error))
        running = queries.open_job_for(engine, task_id)
        return redirect("visits:job", running.number) if running else redirect("programme:today")
    return redirect("visits:job", opened.number)


@require_GET
def job(request: HttpRequest, number: str) -> HttpResponse:
    person = require(request, Right.VIEW)
    sheet = sheet_of(number, person)
    context = {
        "sheet": sheet,
        "exceedances": () if sheet.release else sheet.exceedances,
        "may_release": may(person, Right.RELEASE),
        "may_work": may(person, Right.WORK),
        "since": queries.last_change(sheet.job),
        "bench": bench_time(sheet.job, person),
        "handed_back": leaving.handed_back(sheet.job) if sheet.release else None,
        "reasons": actions.DROP_REASONS,
        "not_begun": actions.not_begun(sheet) if sheet.open else [],
        "dropped": leaving.dropped_of(sheet),
        "colleagues": [p for p in people.everyone() if p != person and may(p, Right.WORK)],
    }
    return render(request, "visits/job.html", context)


@require_GET
def changes(request: HttpRequest, number: str) -> HttpResponse:
    """What others did since a page was made, to be put into it; 204 while they did nothing."""
    person = require(request, Right.VIEW)
    sent = forms.ChangesForm(request.GET).sent()
    since = int(sent["since"]) if sent["since"].isdecimal() else 0
    now = queries.last_change(job_of(number))
    if now <= since:
        return HttpResponse(status=NO_CONTENT)
    sheet = sheet_of(number, person)
    line = _step(sheet, sent["step"]) if sent["step"] else None
    context = {
        "sheet": sheet,
        "since": now,
        "line": line,
        "changed": line is not None and line.changed_since(since),
        "may_work": may(person, Right.WORK),
    }
    return render(request, "visits/_changes.html", context)


@require_POST
def note_kit(request: HttpRequest, number: str) -> HttpResponse:
    who = require(request, Right.WORK)
    sent = forms.KitForm(request.POST).sent()
    lot, card_id = sent["lot"], sent["card"]
    return do(
        request,
        number,
        None,
        lambda j: actions.note_kit(j, lot, card_id=card_id, who=who, at=timezone.now()),
    )


@require_GET
def step(request: HttpRequest, number: str, step_id: str) -> HttpResponse:
    person = require(request, Right.VIEW)
    return _step_page(request, number, step_id, person)


@require_POST
def reading(request: HttpRequest, number: str, step_id: str) -> HttpResponse:
    who = require(request, Right.WORK)
    entry = reading_form.entry_of(request.POST)
    answer = _judged(
        request,
        number,
        step_id,
        who,
        lambda j: actions.take_reading(j, step_id, entry, who=who, at=timezone.now()),
    )
    if answer.status_code != FOUND or forms.NextForm(request.POST).sent()["then"] != "next":
        return answer
    return _go_on(request, number, step_id, who)


def _go_on(request: HttpRequest, number: str, step_id: str, who: Person) -> HttpResponse:
    """The step done and the next one shown, where its reading is inside and nothing more is asked."""
    line = queries.job_sheet(job_of(number)).step(step_id)
    if not line.inside or line.done or line.step.findings or queries.photo_missing(job_of(number), line):
        return redirect("visits:step", number, step_id)
    return _mark_done(request, number, step_id, who, {})


@require_POST
def unmeasured(request: HttpRequest, number: str, step_id: str) -> HttpResponse:
    """The reading of a step is not taken, and why."""
    who = require(request, Right.WORK)
    reason = forms.NotMeasuredForm(request.POST).sent()["reason"]
    return do(
        request,
        number,
        step_id,
        lambda j: actions.leave_unmeasured(j, step_id, reason, who=who, at=timezone.now()),
    )


@require_POST
def done(request: HttpRequest, number: str, step_id: str) -> HttpResponse:
    who = require(request, Right.WORK)
    form = forms.DoneForm(request.POST)
    if not form.is_valid():
        show_rejection(request, "The remark or the reason is too long. Nothing was changed.")
        return redirect("visits:step", number, step_id)
    return _mark_done(request, number, step_id, who, form.cleaned_data)


def _mark_done(
    request: HttpRequest, number: str, step_id: str, who: Person, said: dict[str, str]
) -> HttpResponse:
    """Mark it and show the next; the step itself where its second check is open, or it was the last."""
    try:
        found = job_of(number)
        actions.mark_done(found, step_id, **said, who=who, at=timezone.now())
    except LookupError as error:
        raise Http404(str(error)) from error
    except actions.VisitError as error:
        show_rejection(request, str(error))
        return redirect("visits:step", number, step_id)
    sheet = queries.job_sheet(found)
    if sheet.step(step_id).awaits_second_check or sheet.current is None:
        return redirect("visits:step", number, step_id)
    return redirect("visits:step", number, sheet.current.step.id)


@require_POST
def caution(request: HttpRequest, number: str, step_id: str) -> HttpResponse:
    """The cautions of a step were read by whoever is signed in."""
    who = require(request, Right.WORK)
    return do(
        request, number, step_id, lambda j: actions.confirm_cautions(j, step_id, who=who, at=timezone.now())
    )


@require_POST
def reopen(request: HttpRequest, number: str, step_id: str) -> HttpResponse:
    who = require(request, Right.WORK)
    form = forms.ReasonForm(request.POST)
    reason = form.data.get("reason", "")[:500]
    return do(
        request, number, step_id, lambda j: actions.reopen(j, step_id, reason, who=who, at=timezone.now())
    )


@require_POST
def second_check(request: HttpRequest, number: str, step_id: str) -> HttpResponse:
    """Confirm as the one signed in, or as a second person who types name and password on this tablet."""
    signed_in = require(request, Right.VIEW)
    data = forms.SecondCheckForm(request.POST).data
    who: Person | None = signed_in
    if data.get("username"):
        who = authenticate(request, username=data["username"], password=data.get("password", ""))
    if who is None:
        messages.error(request, "This name and password do not belong together. Nothing was confirmed.")
        return redirect("visits:step", number, step_id)
    entry, checker = reading_form.entry_of(request.POST), who

    def confirm(j: Job) -> object:
        check = actions.second_check(j, step_id, who=checker, at=timezone.now(), typed=entry)
        if check is None:
            messages.error(request, "The second reading is not inside the limit, so the step is open again.")
        return check

    return _judged(request, number, step_id, signed_in, confirm)


@require_http_methods(["GET", "POST"])
def release(request: HttpRequest, number: str) -> HttpResponse:
    who = require(request, Right.RELEASE)
    form, refused = forms.ReleaseForm(request.POST or None), ""
    if form.is_valid():
        words = actions.ReleaseWords(**form.cleaned_data)
        try:
            actions.release(job_of(number), words, who=who, at=timezone.now())
            return redirect("visits:job", number)
        except actions.VisitError as error:
            refused = str(error)
    elif form.is_bound:
        refused = "A text is longer than 2,000 characters. Nothing was released."
    sheet = sheet_of(number, who)
    judged = of_visit.judged_run_ups(sheet.job)
    exceeded = (*sheet.exceedances, *of_visit.exceedances(judged, sheet.answers)) if sheet.open else ()
    context = {
        "sheet": sheet,
        "form": form,
        "exceedances": exceeded,
        "unanswered": [e for e in exceeded if e.answer is None],
        "held": sheet.release.exceedances if sheet.release else (),
        "refused": refused,
        "total": engine_time.total_time(sheet.job.engine),
        "who": who,
        "over_limit": defects.over_limit(sheet.job, timezone.localdate()) if sheet.open else (),
        "deferred": defects.open_defects(timezone.localdate(), sheet.job.engine) if sheet.open else (),
        "runs": of_visit.before_and_after(judged, (t.task for t in sheet.tasks), sheet.sheet),
    }
    return render(request, "visits/release.html", context, status=422 if refused else 200)


@require_POST
def close(request: HttpRequest, number: str) -> HttpResponse:
    who = require(request, Right.WORK)
    reason = forms.ReasonForm(request.POST).data.get("reason", "")[:500]
    return do(
        request, number, None, lambda j: actions.close_without_release(j, reason, who=who, at=timezone.now())
    )


def _step(sheet: queries.JobSheet, step_id: str) -> queries.StepLine:
    try:
        return sheet.step(step_id)
    except LookupError as error:
        raise Http404(str(error)) from error


def _holds(sheet: queries.JobSheet, line: queries.StepLine, *, cautions_open: bool) -> dict[str, Any]:
    """What a step waits for, what closes it over, and what waits for it; whether anything can be recorded."""
    at_work = sheet.open and not sheet.course.paused
    waits = hold_points.holds_on(sheet, line) if at_work and not line.settled else ()
    covered = hold_points.covered_by(sheet, line) if at_work else ()
    return {
        "at_work": at_work,
        "waits_for": waits,
        "covered_by": covered,
        "may_record": at_work and not waits and not covered and not cautions_open,
        "to_confirm": at_work and not waits and not covered and cautions_open,
        "hold": hold_points.hold_in_words(sheet, line) if sheet.open else "",
    }


def _judged(
    request: HttpRequest, number: str, step_id: str, person: Person, action: Callable[[Job], object]
) -> HttpResponse:
    """Run an action that takes a number; show the step again with what was typed where it is refused."""
    found = job_of(number)
    try:
        action(found)
    except LookupError as error:
        raise Http404(str(error)) from error
    except (NumberError, actions.VisitError) as error:
        return _step_page(request, number, step_id, person, refused=error)
    return redirect("visits:step", number, step_id)


def _step_page(
    request: HttpRequest, number: str, step_id: str, person: Person, *, refused: Exception | None = None
) -> HttpResponse:
    sheet = sheet_of(number, person)
    line = _step(sheet, step_id)
    around = {n.number: n for n in sheet.steps}
    found = cautions_at(sheet.steps, line, queries.cautions_confirmed(sheet.job, person))
    context: dict[str, Any] = {
        "sheet": sheet,
        "line": line,
        "before": around.get(line.number - 1),
        "after": around.get(line.number + 1),
        "drawings": step_drawings(sheet, line),
        "refused": "" if refused is None else str(refused),
        "choices": refused.choices if isinstance(refused, NumberError) else (),
        "choice_of": refused.field if isinstance(refused, NumberError) else "",
        "may_insist": isinstance(refused, ImplausibleNumber),
        "may_acknowledge": isinstance(refused, actions.DoubtfulInstrumentError),
        "form": reading_form.form_for(line, person, request.POST) if sheet.open else None,
        "can_confirm": second_checks.may_confirm(line, person) and may(person, Right.CONFIRM),
        "confirmers": people.who_may_confirm(other_than=line.workers),
        "confirmer": forms.SecondCheckForm(request.POST).data.get("username", ""),
        "photo_missing": not line.done and queries.photo_missing(sheet.job, line),
        "second_look_from": second_checks.second_look_from(line),
        "exceedances": [e for e in sheet.exceedances if e.spot.place == line.step.id] if sheet.open else (),
        "subject": f"job/{number}/step/{line.step.id}",
        "remarks": [r for r in sheet.remarks if r.step_id == line.step.id],
        "asks_for": sheet.sheet.task(wanted) if (wanted := sheet.asks_for(line)) else None,
        "may_work": may(person, Right.WORK),
        "since": queries.last_change(sheet.job),
        "cautions": found,
        "goes_on": line.limit is not None and not line.step.findings,
        **_holds(sheet, line, cautions_open=not line.done and any(c.to_confirm for c in found)),
    }
    return render(request, "visits/step.html", context, status=422 if refused else 200)
