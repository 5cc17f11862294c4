"""Pages of the sums."""

from __future__ import annotations

import shlex
from collections.abc import Iterator
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_GET

from tickover.workshop.calculations import queries
from tickover.workshop.calculations.calculation import TAKE, Calculation, Field
from tickover.workshop.calculations.catalogue import SUMS, by_room
from tickover.workshop.calculations.data import as_data
from tickover.workshop.calculations.typed_fields import UNIT, Typed
from tickover.workshop.calculations.working_out import WorkedOut, in_every_unit, work_out
from tickover.workshop.people.permission import Right, require
from tickover.workshop.web.calculations.forms import OfEngineForm


@require_GET
def sums(request: HttpRequest) -> HttpResponse:
    """Every sum, by the part of the engine it is about."""
    require(request, Right.VIEW)
    context = {"rooms": by_room(), "count": len(SUMS), "engine": OfEngineForm(request.GET).sent()["engine"]}
    return render(request, "calculations/sums.html", context)


@require_GET
def one_sum(request: HttpRequest, sum_id: str) -> HttpResponse:
    """A question, its answer first; the values stand in the address."""
    require(request, Right.VIEW)
    asked, known = _found(sum_id), _known(request, sum_id)
    done = work_out(asked, request.GET.dict(), known.typed, draw=True)
    context: dict[str, Any] = {
        "done": done,
        "sum": asked,
        "fields": _fields(done, known),
        "results": [(r, *_first_and_others(in_every_unit(r))) for r in done.answer.results]
        if done.answer
        else (),
        "intervals": done.answer and any(r.lower is not None for r in done.answer.results),
        # The drawing is made of numbers and of words that its own maker has escaped.
        "picture": mark_safe(done.picture),
        "engines": queries.engines() if _asks_engine(asked) else (),
        "engine": OfEngineForm(request.GET).sent()["engine"],
        "command": _command(done),
        "query": request.GET.urlencode(),
    }
    return render(request, "calculations/sum.html", context, status=422 if done.refused else 200)


@require_GET
def one_sum_json(request: HttpRequest, sum_id: str) -> HttpResponse:
    """The same as data."""
    require(request, Right.VIEW)
    done = work_out(_found(sum_id), request.GET.dict(), _known(request, sum_id).typed)
    return JsonResponse(
        as_data(done), status=422 if done.refused else 200, json_dumps_params={"ensure_ascii": False}
    )


def _found(sum_id: str) -> Calculation:
    if sum_id not in SUMS:
        raise Http404("There is no such sum.")
    return SUMS[sum_id]


def _known(request: HttpRequest, sum_id: str) -> queries.Known:
    serial = OfEngineForm(request.GET).sent()["engine"]
    if not serial:
        return queries.Known({}, {})
    engine = queries.engine(serial)
    if engine is None:
        raise Http404("There is no engine with this serial.")
    return queries.known_of(engine, SUMS[sum_id])


def _asks_engine(asked: Calculation) -> bool:
    return any(field.engine or field.reading for field in asked.fields) or asked.known is not None


def _fields(done: WorkedOut, known: queries.Known) -> list[dict[str, Any]]:
    """Each field with what was typed, what was wrong with it, and where it was known from."""
    return [
        {
            "field": field,
            "typed": done.typed[field.name],
            "refused": done.refused.get(field.name, ""),
            "source": known.source.get(field.name, ""),
            "unit_name": field.name + UNIT,
            "take_name": field.name + TAKE,
            "choice_of": done.typed[field.name].choice_of,
        }
        for field in done.sum.fields
    ]


def _first_and_others(sentences: tuple[str, ...]) -> tuple[str, str]:
    return sentences[0], " or ".join(sentences[1:])


def _command(done: WorkedOut) -> str:
    """The same question as a command."""
    given = (part for field in done.sum.fields for part in _as_typed(field, done.typed[field.name]))
    return " ".join(("tickover calculate", done.sum.id, *(shlex.quote(part) for part in given)))


def _as_typed(field: Field, one: Typed) -> Iterator[str]:
    """A field as the command takes it; what would be supposed anyway is left out where it is blank."""
    if one.text or field.default:
        yield f"{field.name}={one.text} {one.unit}".rstrip() if one.text else f"{field.name}="
    if one.text and one.take != (field.give_or_take or ""):
        yield f"{field.name}{TAKE}={one.take}"
