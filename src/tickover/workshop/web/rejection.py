"""Saying that nothing was done and why, on the page a form goes back to, without losing what was typed."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest

TYPED = ("how", "location", "lot", "note", "reason", "remark", "still_open", "text", "where", "why", "words")
"""Fields of short forms that hold words of a person."""


def show_rejection(request: HttpRequest, why: str) -> None:
    """Say why nothing was done, and what was typed, so that no sentence has to be thought up twice."""
    messages.error(request, why)
    if typed := [text for name in TYPED if (text := request.POST.get(name, "").strip())]:
        messages.info(request, f"You had typed: “{'”, “'.join(typed)}”.")
