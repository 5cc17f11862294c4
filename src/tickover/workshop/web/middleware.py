"""Leads visitors to sign in, lets the browser load nothing from elsewhere, refuses what no text can hold."""

import threading
from collections.abc import Callable
from urllib.parse import urlencode

from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseBadRequest
from django.shortcuts import redirect
from django.urls import reverse

from tickover.workshop.people.permission import NotSignedInError
from tickover.workshop.serving.outages import BUSY, page_of
from tickover.workshop.serving.request_limits import refusal_of

POLICY = (
    "default-src 'self'; img-src 'self' data: blob:; media-src 'self' blob:; object-src 'none'; "
    "base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
)
Handler = Callable[[HttpRequest], HttpResponse]


def weigh_before_reading(get_response: Handler) -> Handler:
    """Refuse by its head what shall not be read, whatever server took it in."""

    def handle(request: HttpRequest) -> HttpResponse:
        # As the token of a form is not asked for in tests, neither is where it came from.
        check_origin = not getattr(request, "_dont_enforce_csrf_checks", False)
        refused = refusal_of(request.META, check_origin=check_origin)
        if refused is None:
            return get_response(request)
        headers = {"Location": refused.location} if refused.location else {}
        return HttpResponse(refused.page(), status=refused.status, headers=headers)

    return handle


def leave_room_for_readers(get_response: Handler) -> Handler:
    """Who writes may have to wait for another; never so many of them that nobody can read."""
    room = threading.BoundedSemaphore(settings.WRITERS_AT_ONCE)

    def handle(request: HttpRequest) -> HttpResponse:
        if request.method in ("GET", "HEAD", "OPTIONS"):
            return get_response(request)
        if not room.acquire(blocking=False):
            return page_of(BUSY)
        try:
            return get_response(request)
        finally:
            room.release()

    return handle


def content_security_policy(get_response: Handler) -> Handler:
    def handle(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        response.headers.setdefault("Content-Security-Policy", POLICY)
        return response

    return handle


def refuse_nul(get_response: Handler) -> Handler:
    """PostgreSQL keeps no NUL in a text, and no person types one."""

    def handle(request: HttpRequest) -> HttpResponse:
        typed = (text for form in (request.GET, request.POST) for _, texts in form.lists() for text in texts)
        if "\0" in request.path or any("\0" in text for text in typed):
            return HttpResponseBadRequest(
                "A character that no text holds (NUL) was sent. Nothing was changed."
            )
        return get_response(request)

    return handle


class ask_to_sign_in:  # noqa: N801 - middleware is named like a function in settings
    def __init__(self, get_response: Handler) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        if not isinstance(error, NotSignedInError):
            return None
        here = request.get_full_path() if request.method == "GET" else "/"
        return redirect(f"{reverse('people:sign-in')}?{urlencode({'next': here})}")
