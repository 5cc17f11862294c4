"""Pages of photos: one photo, its file, and the forms that add and withdraw."""

from __future__ import annotations

from django.core.files.uploadedfile import UploadedFile
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from tickover.workshop.kernel import evidence_files
from tickover.workshop.people.models import Person
from tickover.workshop.people.permission import Right, may, require
from tickover.workshop.photos import actions, opening, queries, subjects
from tickover.workshop.photos.models import Photo
from tickover.workshop.register.models import EvidenceFile
from tickover.workshop.serving.request_limits import takes_files
from tickover.workshop.web.photos import present
from tickover.workshop.web.photos.forms import PhotoForm
from tickover.workshop.web.rejection import refusals_shown


@takes_files(opening.MOST_BYTES)
@require_POST
def add(request: HttpRequest) -> HttpResponse:
    """Keep a photo of a subject, and go back to where it was taken."""
    who = require(request, Right.WORK)
    sent = PhotoForm(request.POST).sent()
    subject = sent["subject"]
    page = subjects.page_of(subject)
    if page is None or not present.is_there(subject):
        raise Http404("There is nothing here that a photo could be of.")
    with refusals_shown(request):
        data = _sent(request)
        actions.add_photo(subject, data, sent["note"], who=who, at=timezone.now())
    return redirect(f"{page}#photos")


@require_GET
def photo(request: HttpRequest, number: int) -> HttpResponse:
    person = require(request, Right.VIEW)
    found = _found(number, person)
    context = {
        "photo": found,
        "withdrawn": getattr(found, "withdrawn", None),
        "page": subjects.page_of(found.subject),
        "subject": subjects.in_words(found.subject),
        "may_work": may(person, Right.WORK),
    }
    return render(request, "photos/photo.html", context)


@require_GET
def image(request: HttpRequest, number: int) -> HttpResponse:
    return _jpeg(_found(number, require(request, Right.VIEW)).image)


@require_GET
def thumbnail(request: HttpRequest, number: int) -> HttpResponse:
    return _jpeg(_found(number, require(request, Right.VIEW)).thumbnail)


@require_POST
def withdraw(request: HttpRequest, number: int) -> HttpResponse:
    who = require(request, Right.WORK)
    found = _found(number, who)
    with refusals_shown(request):
        actions.withdraw(found, PhotoForm(request.POST).sent()["reason"], who=who, at=timezone.now())
    return redirect("photos:photo", number)


def _sent(request: HttpRequest) -> bytes:
    sent = request.FILES.get("photo")
    if not isinstance(sent, UploadedFile):
        raise actions.PhotoError("No photo came with the form. Take or choose one. Nothing was saved.")
    if (sent.size or 0) > opening.MOST_BYTES:
        raise actions.PhotoError(opening.too_large(sent.size or 0))
    return bytes(sent.read())


def _jpeg(kept: EvidenceFile) -> HttpResponse:
    try:
        data = evidence_files.read(kept.sha256)
    except OSError as error:
        raise Http404("The file of this photo cannot be read. Run tickover verify.") from error
    # A file under a hash never changes, but who may see it can.
    return HttpResponse(data, content_type="image/jpeg", headers={"Cache-Control": "private, max-age=86400"})


def _found(number: int, person: Person) -> Photo:
    row = queries.photo_by_number(number)
    if row is None:
        raise Http404("There is no photo with this number.")
    if not present.may_be_shown(row, person):
        raise Http404("This photo is shown after the second check of its step.")
    return row
