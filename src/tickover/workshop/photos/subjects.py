"""What a photo can be of, and the page where that is found. Subjects are words: this imports no other place."""

from __future__ import annotations

import re

from django.urls import NoReverseMatch, reverse

PAGES: tuple[tuple[re.Pattern[str], str], ...] = (
    (re.compile(r"job/([^/]+)/step/([^/]+)"), "visits:step"),
    (re.compile(r"job/([^/]+)"), "visits:job"),
    (re.compile(r"engine/([^/]+)"), "engines:engine"),
    (re.compile(r"defect/([^/]+)"), "defects:defect"),
    (re.compile(r"trouble/([^/]+)"), "fault_finding:session"),
)


def page_of(subject: str) -> str | None:
    """Address of the page of a subject; None for what no photo can be of."""
    for pattern, name in PAGES:
        if found := pattern.fullmatch(subject):
            try:
                return reverse(name, args=found.groups())
            except NoReverseMatch:
                return None
    return None


def in_words(subject: str) -> str:
    """ "Visit 2026-0001, step lever-height" """
    pairs = ["visit" if word == "job" else word for word in subject.split("/")]
    return ", ".join(f"{k} {v}" for k, v in zip(pairs[::2], pairs[1::2], strict=False)).capitalize()
