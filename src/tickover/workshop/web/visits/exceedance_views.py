"""The page of a job's exceedances, and the forms that answer them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from tickover.workshop.people import queries as people
from tickover.workshop.people.models import Person
from tickover.workshop.people.permission import Right, may, require
from tickover.workshop.run_ups import of_visit
from tickover.workshop.visits import actions, queries
from tickover.workshop.visits.steps.exceedances import Exceedance, Spot
from tickover.workshop.web.rejection import refusals_shown
from tickover.workshop.web.visits import forms
from tickover.workshop.web.visits.doing import job_of, sheet_of


@dataclass(frozen=True)
class Offered:
    """An exceedance, and what this person may do about it; `alone_from` says when a second look may be taken."""

    exceedance: Exceedance
    may_decide: bool
    alone_from: str = ""


@require_GET
def exceedances(request: HttpRequest, number: str) -> HttpResponse:
    """What went beyond a limit that is never passed, in the steps and on the run-ups of a job."""
    person = require(request, Right.VIEW)
    sheet = sheet_of(number, person)
    context = {
        "sheet": sheet,
        "offered": [_offered(e, person) for e in _all(sheet)] if sheet.open else [],
        "held": sheet.release.exceedances if sheet.release else [],
        "may_work": may(person, Right.WORK),
    }
    return render(request, "visits/exceedances.html", context)


@require_POST
def renew(request: HttpRequest, number: str) -> HttpResponse:
    who = require(request, Right.WORK)
    sent = forms.RenewForm(request.POST).sent()
    job, spot, part, lot = job_of(number), Spot(sent["place"], sent["what"]), sent["part"], sent["lot"]
    with refusals_shown(request):
        actions.renew_part(job, spot, part, lot=lot, who=who, at=timezone.now())
    return redirect("visits:exceedances", number)


@require_POST
def decide(request: HttpRequest, number: str) -> HttpResponse:
    who = require(request, Right.WORK)
    sent = forms.DecideForm(request.POST).sent()
    job, spot, words = job_of(number), Spot(sent["place"], sent["what"]), sent["words"]
    with refusals_shown(request):
        actions.decide_exceedance(job, spot, words, who=who, at=timezone.now())
    return redirect("visits:exceedances", number)


def _all(sheet: queries.JobSheet) -> tuple[Exceedance, ...]:
    return (*sheet.exceedances, *of_visit.exceedances(of_visit.judged_run_ups(sheet.job), sheet.answers))


def _offered(exceedance: Exceedance, person: Person) -> Offered:
    if may(person, Right.DECIDE) and person.pk not in exceedance.doers:
        return Offered(exceedance, may_decide=True)
    shop = people.the_workshop()
    if not shop.works_alone or not may(person, Right.CONFIRM):
        return Offered(exceedance, may_decide=False)
    ready = exceedance.last_at + timedelta(minutes=shop.second_look_minutes)
    return Offered(exceedance, may_decide=True, alone_from=f"{timezone.localtime(ready):%H:%M}")
