"""Photos of the old logbook's pages, kept with the engine as evidence of what is copied from them."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_POST

from tickover.workshop.people.permission import Right, require
from tickover.workshop.photos import actions, opening
from tickover.workshop.serving.request_limits import takes_files
from tickover.workshop.takeover import last_done
from tickover.workshop.web.engines.engine_page import engine_of
from tickover.workshop.web.rejection import refusals_shown

MOST_PAGES = 12
MOST_BYTES = 4 * opening.MOST_BYTES
"""Of all pages sent at once: a telephone's photo has a few megabytes. [bytes]"""


@takes_files(MOST_BYTES)
@require_POST
def add_pages(request: HttpRequest, serial: str) -> HttpResponse:
    """Keep each page that was photographed; one that cannot be kept is named, and the others are."""
    who = require(request, Right.WORK)
    engine = engine_of(serial)
    kept = 0
    with refusals_shown(request):
        note = f"Logbook page. {last_done.source_of(engine)}".strip()
        for page in _sent(request):
            with refusals_shown(request):
                if (page.size or 0) > opening.MOST_BYTES:
                    raise actions.PhotoError(f"{page.name}: {opening.too_large(page.size or 0)}")
                subject = f"engine/{engine.serial}"
                actions.add_photo(subject, page.read(), note, who=who, at=timezone.now())
                kept += 1
    if kept:
        messages.success(request, f"{kept} photo{'' if kept == 1 else 's'} saved.")
    return redirect(f"{request.path.removesuffix('pages/')}#pages")


def _sent(request: HttpRequest) -> list[Any]:
    pages = request.FILES.getlist("pages")
    if not pages:
        raise actions.PhotoError("Choose or take a photo first. Nothing was saved.")
    if len(pages) > MOST_PAGES:
        raise actions.PhotoError(f"{len(pages)} photos; {MOST_PAGES} at once is the most. Nothing was saved.")
    return pages
