"""Leads visitors to the sign-in page, and tells the browser to run and load nothing from elsewhere."""

from collections.abc import Callable
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from tickover.workshop.people.permission import NotSignedInError

POLICY = (
    "default-src 'self'; img-src 'self' data: blob:; object-src 'none'; "
    "base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
)
Handler = Callable[[HttpRequest], HttpResponse]


def content_security_policy(get_response: Handler) -> Handler:
    def handle(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        response.headers.setdefault("Content-Security-Policy", POLICY)
        return response

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
