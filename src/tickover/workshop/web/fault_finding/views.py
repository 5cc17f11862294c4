"""Pages of fault-finding: the list, a new session, one session, one suspect; and the forms that write to it."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from tickover.science.faults.explain import effects, share_working
from tickover.workshop.fault_finding import actions, queries, reasoning, wording
from tickover.workshop.fault_finding.complaint import rows_meant
from tickover.workshop.fault_finding.models import Answer
from tickover.workshop.people.permission import Right, may, require
from tickover.workshop.register import queries as register
from tickover.workshop.register.models import Engine
from tickover.workshop.visits import queries as visits
from tickover.workshop.web.fault_finding import forms, pages

EARLIER = 5
WORDS_MAX = 200


@require_GET
def sessions(request: HttpRequest) -> HttpResponse:
    """Sessions that are open, to go on with; those that wait for a word; and those that ended."""
    require(request, Right.VIEW)
    context = {
        "open": queries.open_sessions(),
        "asked": queries.awaiting_word_of_cure(),
        "ended": queries.ended_sessions(),
    }
    return render(request, "fault_finding/sessions.html", context)


@require_GET
def of_engine(request: HttpRequest, serial: str) -> HttpResponse:
    """What this engine was in trouble with."""
    person = require(request, Right.VIEW)
    engine = _engine(serial)
    context = {
        "engine": engine,
        "sessions": queries.sessions_of(engine),
        "has_table": register.build_of(engine).faults is not None,
        "may_work": may(person, Right.WORK),
    }
    return render(request, "fault_finding/of_engine.html", context)


@require_http_methods(["GET", "POST"])
def start(request: HttpRequest, serial: str) -> HttpResponse:
    """The complaint in the owner's words, and the findings it may mean, to be ticked."""
    who = require(request, Right.WORK)
    engine = _engine(serial)
    form = forms.StartForm(request.POST or None)
    if request.method == "POST" and not form.is_proposal and form.is_valid():
        try:
            new = _new(engine, form.cleaned_data, request)
            begun = actions.start(engine, new, who=who, at=timezone.now())
            return redirect("fault_finding:session", begun.number)
        except actions.FaultFindingError as error:
            form.add_error(None, str(error))
    return _start_page(request, engine, form)


@require_GET
def session(request: HttpRequest, number: str) -> HttpResponse:
    """What it is likely to be, and what to look at next."""
    person = require(request, Right.VIEW)
    sheet = queries.session_sheet(pages.session_of(number))
    asked = forms.ShownForm(request.GET).sent()
    context = pages.shown(sheet, asked["look"], person, asked["words"])
    return render(request, "fault_finding/session.html", context)


@require_GET
def suspect(request: HttpRequest, number: str, name: str) -> HttpResponse:
    """One suspect: what speaks for and against it, and how its chance comes about."""
    require(request, Right.VIEW)
    sheet = queries.session_sheet(pages.session_of(number))
    now = reasoning.diagnose(sheet).now
    if now is None or name not in now.network.groups:
        raise Http404("There is no such suspect here.")
    found = next(s for s in now.suspects() if s.name == name)
    context = {
        "sheet": sheet,
        "title": sheet.titles[name],
        "share": found.share,
        "likelihood": wording.likelihood(found.share),
        "causes": [
            (sheet.cause(c), s)
            for c, s in zip(found.causes, found.shares, strict=True)
            if c in _listed(sheet)
        ],
        "reasons": [effect.in_words(sheet.titles) for effect in effects(now, name)],
        "working": share_working(now, name, sheet.titles),
    }
    return render(request, "fault_finding/suspect.html", context)


@require_POST
def answer(request: HttpRequest, number: str) -> HttpResponse:
    """One look answered; or several at once with the same state."""
    who = require(request, Right.WORK)
    sent = forms.AnswerForm(request.POST).sent()
    given, words = dict.fromkeys(sent["item"], sent["state"]), sent["words"]
    return pages.do(
        request, number, lambda s: actions.answer(s, given, who=who, at=timezone.now(), words=words)
    )


@require_POST
def take_back(request: HttpRequest, number: str) -> HttpResponse:
    who = require(request, Right.WORK)
    typed = forms.TakeBackForm(request.POST).sent()["answer"]
    answer_id = int(typed) if typed.isdecimal() and len(typed) < 18 else 0
    return pages.do(request, number, lambda s: actions.take_back(s, answer_id, who=who, at=timezone.now()))


@require_POST
def note_open(request: HttpRequest, number: str) -> HttpResponse:
    who = require(request, Right.WORK)
    opened = forms.OpenedForm(request.POST).sent()["opened"]
    return pages.do(request, number, lambda s: actions.note_open(s, opened, who=who, at=timezone.now()))


@require_POST
def rule_out(request: HttpRequest, number: str) -> HttpResponse:
    who = require(request, Right.WORK)
    sent = forms.EndForm(request.POST).sent()
    cause, words = sent["cause"], sent["words"]
    return pages.do(
        request, number, lambda s: actions.rule_out(s, cause, who=who, at=timezone.now(), words=words)
    )


def _listed(sheet: queries.SessionSheet) -> set[str]:
    return {cause.id for cause in sheet.faults.causes}


def _engine(serial: str) -> Engine:
    found = register.engine_by_serial(serial)
    if found is None:
        raise Http404("There is no engine with this serial.")
    return found


def _new(engine: Engine, data: dict[str, Any], request: HttpRequest) -> actions.NewSession:
    table = register.build_of(engine).faults
    findings = table.findings if table else ()
    kind, _, number = data["after"].partition("/")
    after_session = queries.session_by_number(number) if kind == "session" else None
    after_job = visits.job_by_number(number) if kind == "job" else None
    return actions.NewSession(
        complaint=data["complaint"],
        seen=forms.ticked(request.POST, findings, Answer.State.SEEN),
        absent=forms.ticked(request.POST, findings, Answer.State.ABSENT),
        follows=after_session,
        follows_job=after_job,
    )


def _start_page(request: HttpRequest, engine: Engine, form: forms.StartForm) -> HttpResponse:
    table = register.build_of(engine).faults
    sent = forms.StartAgainForm(request.POST).sent()
    complaint = sent["complaint"]
    fits = rows_meant(table.findings, complaint) if table else []
    context = {
        "engine": engine,
        "form": form,
        "complaint": complaint,
        "after": sent["after"],
        "proposed": request.method == "POST",
        "fits": forms.states_of(request.POST, fits),
        "rest": forms.states_of(request.POST, [f for f in table.findings if f not in fits] if table else []),
        "has_table": table is not None,
        "sessions": queries.sessions_of(engine)[:EARLIER],
        "jobs": [job for job in visits.jobs_of(engine) if hasattr(job, "release")][:EARLIER],
    }
    refused = request.method == "POST" and bool(form.errors)
    return render(request, "fault_finding/start.html", context, status=422 if refused else 200)
