"""Answers a form that arrives a second time with what its first arrival led to, and asks before an equal entry."""

from __future__ import annotations

import logging
import time
from collections.abc import Callable
from typing import Any
from urllib.parse import urlsplit

from django.contrib import messages
from django.db import DatabaseError, IntegrityError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme

from tickover.workshop.kernel import idempotency

LED_TO_MAX = 500
PASSWORD = "password"
WAIT_S = 2.0
"""How long a second arrival waits for the answer to the first."""

SAME_TIME = (
    "Someone else saved the same thing at the same time. Yours was not saved. "
    "Go back, check what is there, then try again."
)
_log = logging.getLogger(__name__)


class one_form_one_entry:  # noqa: N801 - middleware is named like a function in settings
    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        with idempotency.one_request():
            answer = self.get_response(request)
            if form := idempotency.being_answered():
                _remember(request, form, answer)
            return answer

    def process_view(self, request: HttpRequest, *_: Any) -> HttpResponse | None:
        # Not before the view: nobody's form is read who has not signed in, or whose page is not ours.
        if request.method != "POST" or not request.user.is_authenticated:
            return None
        form = idempotency.arrived(
            request.POST.get("form_key", ""), at=timezone.now(), again="again" in request.POST
        )
        return _already(request, form) if idempotency.first_arrival(form) else None

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        form = idempotency.being_answered()
        if isinstance(error, idempotency.AlreadySentError) and form:
            return _already(request, form)
        if isinstance(error, idempotency.EqualEntryError):
            return _ask(request, str(error))
        if isinstance(error, IntegrityError):
            _log.error("what two wrote at the same time was refused by the database alone", exc_info=error)
            return render(request, "not_saved.html", {"why": SAME_TIME}, status=409)
        return None


def _remember(request: HttpRequest, form: idempotency.Sent, answer: HttpResponse) -> None:
    try:
        if answer.status_code >= 400:
            idempotency.release(form)
        else:
            idempotency.note_where_it_led(
                form, answer.headers.get("Location", _page_of(request))[:LED_TO_MAX]
            )
    except DatabaseError as error:
        # The entry itself is saved; a second arrival is led to the page of the form then.
        _log.warning("where a form led to could not be noted: %s", error)


def _already(request: HttpRequest, form: idempotency.Sent) -> HttpResponse:
    """Back to what the first arrival led to."""
    until = time.monotonic() + WAIT_S
    first = idempotency.first_arrival(form)
    while first and not first.led_to and time.monotonic() < until:
        time.sleep(0.1)
        first = idempotency.first_arrival(form)
    when = f" at {timezone.localtime(first.at):%H:%M}" if first else ""
    messages.info(request, f"This form was saved{when} already. It was not saved again.")
    address = (first.led_to if first else "") or _page_of(request)
    if request.headers.get("X-Sent-By") == "script":
        return HttpResponse(status=201, headers={"Location": address})
    return redirect(address)


def _ask(request: HttpRequest, question: str) -> HttpResponse:
    """The question, with everything that was typed kept in its form; no page shows a password again."""
    left_out = {"csrfmiddlewaretoken", "form_key", "again", PASSWORD}
    typed = [(name, text) for name, texts in request.POST.lists() for text in texts if name not in left_out]
    context = {
        "question": question,
        "typed": typed,
        "back": _page_of(request),
        "password": PASSWORD if PASSWORD in request.POST else "",
    }
    return render(request, "ask_again.html", context, status=409)


def _page_of(request: HttpRequest) -> str:
    """The page that the form was on, as the browser says; else Today."""
    page = request.headers.get("Referer", "")
    if not url_has_allowed_host_and_scheme(page, {request.get_host()}):
        return "/"
    parts = urlsplit(page)
    return parts._replace(scheme="", netloc="", fragment="").geturl() or "/"
