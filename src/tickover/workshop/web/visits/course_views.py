"""Forms about the course of a job: remarks, pause, hand-over, and the tasks it takes or loses."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from tickover.formats.text.number import NumberError, read_number
from tickover.workshop.people import queries as people
from tickover.workshop.people.permission import Right, require
from tickover.workshop.scope import offers
from tickover.workshop.visits import actions
from tickover.workshop.visits.minutes import clock_actions
from tickover.workshop.visits.models import AddedTask, Job
from tickover.workshop.web.visits import forms
from tickover.workshop.web.visits.doing import do, sheet_of


@require_POST
def remark(request: HttpRequest, number: str) -> HttpResponse:
    """A remark on the job, or on the step that the form names."""
    who = require(request, Right.WORK)
    sent = forms.RemarkOnForm(request.POST).sent()
    step, text = sent["step"], sent["text"]
    return do(
        request,
        number,
        step,
        lambda j: actions.remark(j, text, step_id=step, who=who, at=timezone.now()),
    )


@require_POST
def pause(request: HttpRequest, number: str) -> HttpResponse:
    who = require(request, Right.WORK)
    sent = forms.PauseForm(request.POST).sent()
    where, why = sent["where"], sent["why"]
    return do(request, number, None, lambda j: actions.pause(j, where, why, who=who, at=timezone.now()))


@require_POST
def resume(request: HttpRequest, number: str) -> HttpResponse:
    who = require(request, Right.WORK)
    return do(request, number, None, lambda j: actions.resume(j, who=who, at=timezone.now()))


@require_POST
def hand_over(request: HttpRequest, number: str) -> HttpResponse:
    who = require(request, Right.WORK)
    sent = forms.HandOverForm(request.POST).sent()
    name, still, note = sent["to"], sent["still_open"], sent["note"]

    def give(job: Job) -> object:
        to = next((p for p in people.everyone() if p.username == name), None)
        if to is None:
            raise actions.VisitError("Choose who takes the visit. Nothing was changed.")
        return actions.hand_over(job, to, still, note, who=who, at=timezone.now())

    return do(request, number, None, give)


@require_POST
def clock(request: HttpRequest, number: str) -> HttpResponse:
    """The clock of whoever is signed in: started, stopped, or minutes typed."""
    who = require(request, Right.WORK)
    sent = forms.MinutesForm(request.POST).sent()

    def do_it(j: Job) -> object:
        if sent["what"] == "start":
            return clock_actions.start_clock(j, who=who, at=timezone.now())
        if sent["what"] == "stop":
            return clock_actions.stop_clock(j, who=who, at=timezone.now())
        try:
            minutes = read_number(sent["minutes"], unit="min", name="Minutes")
        except NumberError as error:
            raise actions.VisitError(f"{error} Nothing was saved.") from error
        return clock_actions.type_minutes(j, minutes, who=who, at=timezone.now())

    return do(request, number, None, do_it)


@require_POST
def hand_back(request: HttpRequest, number: str) -> HttpResponse:
    """The engine leaves."""
    who = require(request, Right.WORK)
    sent = forms.HandBackForm(request.POST).sent()
    return do(
        request,
        number,
        None,
        lambda j: actions.hand_back(
            j, sent["to"], sent["went_with"], sent["words"], who=who, at=timezone.now()
        ),
    )


@require_GET
def more_work(request: HttpRequest, number: str) -> HttpResponse:
    """Tasks the job could take: asked for by a finding, due and as good as open, or any other."""
    sheet = sheet_of(number, require(request, Right.WORK))
    offered = offers.due_while_open(sheet, timezone.localdate()) if sheet.open else []
    context = {
        "sheet": sheet,
        "asked_for": [(line, sheet.sheet.task(sheet.asks_for(line))) for line in sheet.asked_for],
        "offered": offered,
        "others": offers.others(sheet),
        "while_open": AddedTask.Occasion.WHILE_OPEN,
    }
    return render(request, "visits/more_work.html", context)


@require_POST
def add_task(request: HttpRequest, number: str) -> HttpResponse:
    who = require(request, Right.WORK)
    sent = forms.TaskForm(request.POST).sent()
    task, why, occasion = sent["task"], sent["why"], sent["occasion"] or AddedTask.Occasion.FOUND
    return do(
        request,
        number,
        None,
        lambda j: actions.add_task(j, task, why, occasion=occasion, who=who, at=timezone.now()),
    )


@require_POST
def drop_task(request: HttpRequest, number: str) -> HttpResponse:
    """One task dropped, for a reason of the list or one that was typed."""
    who = require(request, Right.WORK)
    sent = forms.TaskForm(request.POST).sent()
    task, reason = sent["task"], sent["why"] or sent["reason"]
    return do(request, number, None, lambda j: actions.drop_task(j, task, reason, who=who, at=timezone.now()))


@require_POST
def drop_not_begun(request: HttpRequest, number: str) -> HttpResponse:
    """Every task dropped that has not begun: the engine leaves earlier."""
    who = require(request, Right.WORK)
    sent = forms.TaskForm(request.POST).sent()
    reason = sent["why"] or sent["reason"]
    return do(request, number, None, lambda j: actions.drop_not_begun(j, reason, who=who, at=timezone.now()))
