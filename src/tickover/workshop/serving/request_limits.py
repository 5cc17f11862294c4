"""What a request may send, decided by its head alone: before its body is read, and by whatever server.

A form sends 1 MB at most. Only a view marked with `takes_files` takes more, up to what it names, from somebody who
is signed in and from a page of this workshop. That page is told by the headers with which browsers mark a form's
origin; its token lies in the body, and is checked once that has come.
"""

from __future__ import annotations

import io
import shutil
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from typing import Any, TypeVar
from urllib.parse import urlencode, urlsplit

from django.conf import settings
from django.contrib.auth import get_user
from django.core.exceptions import SuspiciousOperation
from django.core.handlers.wsgi import WSGIRequest
from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string
from django.urls import Resolver404, resolve, reverse

MB = 2**20
FORM_BYTES = MB
COPIES = 2
"""How often an upload lies on the disk while it is read: as it came, and as a file of its form."""
View = TypeVar("View", bound=Callable[..., HttpResponse])


@dataclass(frozen=True)
class Refusal:
    """Why a request is not read. `location` leads on to another page."""

    status: int
    answer: str
    advice: str
    location: str = ""

    def page(self) -> str:
        """The page that says so; it asks nothing of the database."""
        return render_to_string("bare.html", {"refusal": self})


def takes_files(most_bytes: int) -> Callable[[View], View]:
    """Mark a view whose form sends files, `most_bytes` at most, and words beside them. [bytes]"""

    def mark(view: View) -> View:
        view.most_bytes = most_bytes + FORM_BYTES  # type: ignore[attr-defined]
        return view

    return mark


def most_bytes(path: str) -> int:
    """The largest body that this address takes. [bytes]"""
    try:
        return int(getattr(resolve(path).func, "most_bytes", FORM_BYTES))
    except Resolver404:
        return FORM_BYTES


def refusal_of(environ: dict[str, Any], *, check_origin: bool = True) -> Refusal | None:
    """Why the body of this request (a WSGI environment) shall not be read; None where it may be.

    A body of unknown length (chunked) is taken for one that is larger than a form, if its address takes files.
    """
    head = WSGIRequest({**environ, "wsgi.input": io.BytesIO()})
    sent, most = _announced_bytes(environ), most_bytes(head.path_info)
    if sent is not None and sent > most:
        return _too_large(sent, most)
    if most == FORM_BYTES or (sent is not None and sent <= FORM_BYTES):
        return None
    try:
        if check_origin and not _from_our_page(head):
            return NOT_OURS
    except SuspiciousOperation:
        return NOT_OURS
    if not _signed_in(head):
        there = f"{reverse('people:sign-in')}?{urlencode({'next': '/'})}"
        return Refusal(302, "You are not signed in.", "Sign in, then send the file again.", there)
    if COPIES * (sent or 0) > shutil.disk_usage(tempfile.gettempdir()).free:
        return NO_ROOM
    return None


NOT_OURS = Refusal(
    403,
    "This file was not sent from a page of this workshop.",
    "Open the page in this browser and send the file from there. Nothing was saved.",
)
NO_ROOM = Refusal(
    507,
    "The disk has no room for this file.",
    "Make room on the disk, then send it again. Nothing was saved.",
)


def _announced_bytes(environ: dict[str, Any]) -> int | None:
    """Length of the body; None where the head does not tell. [bytes]"""
    if environ.get("HTTP_TRANSFER_ENCODING"):
        return None
    text = str(environ.get("CONTENT_LENGTH") or "0")
    return int(text) if text.isdecimal() else 0


def _too_large(sent: int, most: int) -> Refusal:
    shown = f"{sent / MB:,.1f} MB"
    if most == FORM_BYTES:
        answer = f"Too much was sent: {shown}. A form takes {FORM_BYTES // MB} MB."
        return Refusal(413, answer, "Send less, or add files on a page that takes them. Nothing was saved.")
    answer = f"The file is too large: {shown}. This form takes {(most - FORM_BYTES) // MB:,} MB."
    return Refusal(413, answer, "Choose a smaller file. Nothing was saved.")


def too_large_in_passing(most: int) -> Refusal:
    """As a body of unknown length grows beyond what its address takes. [bytes]"""
    return Refusal(413, f"More than {most // MB:,} MB was sent.", "Send less. Nothing was saved.")


def _from_our_page(head: HttpRequest) -> bool:
    """Whether the browser says so. Source: Fetch Metadata (W3C) and RFC 6454, section 7 (Origin)."""
    ours = f"{head.scheme}://{head.get_host()}"
    if origin := head.headers.get("Origin"):
        return origin == ours or origin in settings.CSRF_TRUSTED_ORIGINS
    if site := head.headers.get("Sec-Fetch-Site"):
        return site == "same-origin"
    referrer = urlsplit(head.headers.get("Referer", ""))
    return f"{referrer.scheme}://{referrer.netloc}" == ours


def _signed_in(head: HttpRequest) -> bool:
    store = import_module(settings.SESSION_ENGINE).SessionStore
    head.session = store(head.COOKIES.get(settings.SESSION_COOKIE_NAME))
    return get_user(head).is_authenticated
