"""Forms that end a session, or take it up again."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_POST

from tickover.workshop.fault_finding.recording import ending_actions
from tickover.workshop.people.permission import Right, require
from tickover.workshop.web.fault_finding import forms, pages


@require_POST
def confirm(request: HttpRequest, number: str) -> HttpResponse:
    """The cause is found: the job of its cure is opened."""
    who = require(request, Right.WORK)
    sent = forms.EndForm(request.POST).sent()
    cause, seen = sent["cause"], sent["how"] == "seen"
    return pages.do(
        request,
        number,
        lambda s: ending_actions.confirm(
            s, cause, seen_at_the_part=seen, words=_words(request), who=who, at=timezone.now()
        ),
    )


@require_POST
def end(request: HttpRequest, number: str) -> HttpResponse:
    who = require(request, Right.WORK)
    kind = forms.EndForm(request.POST).sent()["kind"]
    return pages.do(
        request,
        number,
        lambda s: ending_actions.end_with(s, kind, _words(request), who=who, at=timezone.now()),
    )


@require_POST
def cured(request: HttpRequest, number: str) -> HttpResponse:
    """Whether putting it right took the complaint away."""
    who = require(request, Right.WORK)
    said = forms.EndForm(request.POST).sent()["cured"]
    if said not in ("yes", "no"):
        raise Http404("Choose: fixed or not.")
    return pages.do(
        request,
        number,
        lambda s: ending_actions.say_whether_cured(
            s, _words(request), cured=said == "yes", who=who, at=timezone.now()
        ),
    )


@require_POST
def take_up(request: HttpRequest, number: str) -> HttpResponse:
    who = require(request, Right.WORK)
    return pages.do(
        request, number, lambda s: ending_actions.take_up(s, _words(request), who=who, at=timezone.now())
    )


def _words(request: HttpRequest) -> str:
    return str(forms.EndForm(request.POST).sent()["words"])
