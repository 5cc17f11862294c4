"""Forms about what rests on records: a reading or a run-up as an answer, its weight, the photograph before a look."""

from __future__ import annotations

from datetime import datetime

from django.core.files.uploadedfile import UploadedFile
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_POST

from tickover.workshop.fault_finding.locking import FaultFindingError
from tickover.workshop.fault_finding.models import Answer, Session
from tickover.workshop.fault_finding.recording import photo_actions, record_actions
from tickover.workshop.people.models import Person
from tickover.workshop.people.permission import Right, require
from tickover.workshop.photos import opening
from tickover.workshop.photos import queries as photos
from tickover.workshop.serving.request_limits import takes_files
from tickover.workshop.web.fault_finding import forms, pages


@require_POST
def use_record(request: HttpRequest, number: str) -> HttpResponse:
    who = require(request, Right.WORK)
    sent = forms.RecordForm(request.POST).sent()
    rests_on, items, counts = sent["rests_on"], sent["item"], sent["counts"] == "yes"
    return pages.do(
        request,
        number,
        lambda s: record_actions.use_record(s, rests_on, items, counts=counts, who=who, at=timezone.now()),
    )


@require_POST
def weigh(request: HttpRequest, number: str) -> HttpResponse:
    """How many times as likely a record makes what it touches."""
    who = require(request, Right.WORK)
    sent = forms.WeighForm(request.POST).sent()
    ground, why = sent["ground"], sent["why"]
    try:
        factor = float(sent["factor"])
    except ValueError as error:
        raise Http404("A record counts a number of times.") from error
    return pages.do(
        request,
        number,
        lambda s: record_actions.weigh_again(s, ground, factor, why, who=who, at=timezone.now()),
    )


@takes_files(opening.MOST_BYTES)
@require_POST
def photographed(request: HttpRequest, number: str) -> HttpResponse:
    """The photograph before a look, or what stands for it; then back to the look that it is for."""
    who = require(request, Right.WORK)
    item = forms.PhotographForm(request.POST).sent()["item"]
    back = pages.do(request, number, lambda s: _photograph(request, s, item, who, timezone.now()))
    return redirect(f"{back['Location']}?look={item}") if item.replace("-", "").isalnum() else back


def _photograph(request: HttpRequest, session: Session, item: str, who: Person, at: datetime) -> Answer:
    sent = forms.PhotographForm(request.POST).sent()
    words, how = sent["words"], sent["how"]
    if how == "elsewhere":
        return photo_actions.photographed_elsewhere(session, item, words, who=who, at=at)
    if how == "without":
        return photo_actions.without_photograph(session, item, words, who=who, at=at)
    if how == "one-of-these":
        typed = sent["photo"]
        found = photos.photo_by_number(int(typed)) if typed.isdecimal() and len(typed) < 18 else None
        if found is None:
            raise LookupError("there is no photo with this number")
        return photo_actions.note_photograph(session, item, found, who=who, at=at)
    return photo_actions.photograph(session, item, _sent(request), who=who, at=at)


def _sent(request: HttpRequest) -> bytes:
    sent = request.FILES.get("photo")
    if not isinstance(sent, UploadedFile):
        raise FaultFindingError("No photo came with the form. Take or choose one. Nothing was saved.")
    if (sent.size or 0) > opening.MOST_BYTES:
        raise FaultFindingError(opening.too_large(sent.size or 0))
    return bytes(sent.read())
