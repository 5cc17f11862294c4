"""Saying that nothing was done and why, on the page a form goes back to, without losing what was typed."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from django.contrib import messages
from django.http import HttpRequest

from tickover.workshop.kernel.refusal import RefusedError

TYPED = ("how", "location", "lot", "note", "reason", "remark", "still_open", "text", "where", "why", "words")
"""Fields of short forms that hold words of a person."""


def show_rejection(request: HttpRequest, why: str) -> None:
    """Say why nothing was done, and what was typed, so that no sentence has to be thought up twice."""
    messages.error(request, why)
    if typed := [text for name in TYPED if (text := request.POST.get(name, "").strip())]:
        messages.info(request, f"You had typed: “{'”, “'.join(typed)}”.")


@contextmanager
def refusals_shown(request: HttpRequest) -> Iterator[None]:
    """The one way a view runs an action of which only a refusal is to be said: what is refused is shown."""
    try:
        yield
    except RefusedError as error:
        show_rejection(request, str(error))
