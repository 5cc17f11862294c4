"""The engines as a page and as files."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from tickover.workshop.people.permission import Right, may, require
from tickover.workshop.programme import export, queries
from tickover.workshop.programme.queries import EngineLine
from tickover.workshop.register import queries as register
from tickover.workshop.web.engines import forms

SORTS: dict[str, Callable[[EngineLine], Any] | None] = {
    "due": None,
    "name": lambda e: e.engine.name.casefold(),
    "hours": lambda e: -e.now_h,
}


SORT_WORDS = {"due": "the most urgent first", "name": "by name", "hours": "the most hours first"}


@require_GET
def engines(request: HttpRequest) -> HttpResponse:
    person = require(request, Right.VIEW)
    found, every = _asked_for(request)
    wanted, sort = _wanted(request)
    context = {
        "lines": found,
        "all": every,
        "wanted": wanted,
        "sort": sort,
        "order": SORT_WORDS[sort],
        "sorts": {name: urlencode({"q": wanted, "sort": name}) for name in SORTS},
        "may_work": may(person, Right.WORK),
        "same": urlencode({"q": wanted, "sort": sort}),
    }
    return render(request, "engines/engines.html", context)


@require_GET
def engines_csv(request: HttpRequest) -> HttpResponse:
    """The same engines in the same order, for a spreadsheet."""
    require(request, Right.VIEW)
    return _file(export.as_csv(_asked_for(request)[0]), "text/csv", "engines.csv")


@require_GET
def engines_json(request: HttpRequest) -> HttpResponse:
    require(request, Right.VIEW)
    return _file(export.as_json(_asked_for(request)[0]), "application/json", "engines.json")


def _wanted(request: HttpRequest) -> tuple[str, str]:
    """What is searched for, and the order, "due" unless another one is known."""
    asked = forms.EngineListForm(request.GET).sent()
    return asked["q"], asked["sort"] if asked["sort"] in SORTS else "due"


def _asked_for(request: HttpRequest) -> tuple[list[EngineLine], int]:
    """The engines that match, in the order asked for, and how many there are in all."""
    wanted, sort = _wanted(request)
    lines = queries.engine_lines(register.engines(), timezone.localdate())
    text = wanted.lower()
    found = [e for e in lines if text in f"{e.engine.name} {e.engine.serial} {e.engine.owner.name}".lower()]
    key = SORTS[sort]
    return (sorted(found, key=key) if key else found), len(lines)


def _file(text: str, kind: str, name: str) -> HttpResponse:
    answer = HttpResponse(text, content_type=f"{kind}; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer
