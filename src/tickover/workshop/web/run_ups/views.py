"""Pages of run-ups."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase, JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_GET, require_POST

from tickover.formats.errors import FormatError
from tickover.science.run_up import Severity
from tickover.workshop.kernel import evidence_files
from tickover.workshop.logbook import run_up_papers
from tickover.workshop.people.permission import Right, may, require
from tickover.workshop.register.models import Engine
from tickover.workshop.run_ups import actions, comparing, export, picture, queries
from tickover.workshop.run_ups.models import RunUp
from tickover.workshop.run_ups.uploads import evidence, listening
from tickover.workshop.web.engines.engine_page import engine_of
from tickover.workshop.web.rejection import refusals_shown
from tickover.workshop.web.run_ups import forms, playing

GONE = "The file of this run is missing or damaged. Keep the folder as it is, and run tickover verify."


@require_GET
def runs(request: HttpRequest) -> HttpResponse:
    """The newest runs of every engine."""
    require(request, Right.VIEW)
    return render(request, "run_ups/runs.html", {"lines": queries.lines()})


@require_GET
def how_to(request: HttpRequest) -> HttpResponse:
    """How a run-up is done and recorded."""
    require(request, Right.VIEW)
    return render(request, "run_ups/how_to.html")


@require_GET
def engine_runs(request: HttpRequest, serial: str) -> HttpResponse:
    """The runs of one engine."""
    person = require(request, Right.VIEW)
    engine = engine_of(serial)
    lines = queries.lines(engine)
    context = {
        "engine": engine,
        "lines": lines,
        "accepted": sum(line.accepted for line in lines),
        "pairs": queries.pairs(lines).items(),
        "may_work": may(person, Right.WORK),
    }
    return render(request, "run_ups/engine_runs.html", context)


@require_GET
def baseline(request: HttpRequest, serial: str) -> HttpResponse:
    """What is usual for this engine, and which runs say so."""
    require(request, Right.VIEW)
    engine = engine_of(serial)
    own = queries.baseline(engine)
    lines = queries.lines(engine)
    newest = _opened(request, lines[0].run) if lines else None
    judged = bool(lines) and not lines[0].accepted
    rows = comparing.usual(newest.read.run, own, judged=judged) if newest else []
    accepted = [line for line in lines if line.accepted]
    context = {
        "engine": engine,
        "rows": rows,
        "lines": lines,
        "accepted": accepted,
        "outside": [row for row in rows if row.outside],
    }
    return render(request, "run_ups/baseline.html", context)


@require_GET
def run(request: HttpRequest, serial: str, sequence: int) -> HttpResponse:
    """One run: the answer, the strip, what was found."""
    require(request, Right.VIEW)
    return _page(request, _found(serial, sequence))


@require_GET
def on_paper(request: HttpRequest, serial: str, sequence: int) -> HttpResponse:
    """The same as PDF."""
    require(request, Right.VIEW)
    data = run_up_papers.run_up(_opened_or_404(_found(serial, sequence)))
    headers = {"Content-Disposition": f'inline; filename="run-up-{sequence}.pdf"'}
    return HttpResponse(data, content_type="application/pdf", headers=headers)


@require_GET
def strip_svg(request: HttpRequest, serial: str, sequence: int) -> HttpResponse:
    """The strip alone, of the window asked for by from and to."""
    require(request, Right.VIEW)
    opened = _opened_or_404(_found(serial, sequence))
    window = _window(request, opened)
    return HttpResponse(picture.picture(opened, window), content_type="image/svg+xml; charset=utf-8")


@require_GET
def trace_csv(request: HttpRequest, serial: str, sequence: int) -> HttpResponse:
    require(request, Right.VIEW)
    text = export.as_csv(_opened_or_404(_found(serial, sequence)))
    answer = HttpResponse(text, content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="run-up-{sequence}.csv"'
    return answer


@require_GET
def trace_json(request: HttpRequest, serial: str, sequence: int) -> HttpResponse:
    require(request, Right.VIEW)
    return JsonResponse(export.as_json(_opened_or_404(_found(serial, sequence))))


@require_GET
def sound(request: HttpRequest, serial: str, sequence: int) -> HttpResponseBase:
    """The recording itself, to listen to, also from one place on."""
    require(request, Right.VIEW)
    row = _found(serial, sequence)
    if row.kind != "sound":
        raise Http404("This run has no recording.")
    try:
        place = evidence_files.place_of(row.evidence.sha256)
        with place.open("rb") as file:
            media_type = listening.media_type(file.read(evidence.HEAD))
        return playing.recording(request, place, media_type)
    except OSError as error:
        raise Http404(GONE) from error


@require_GET
def overlay(request: HttpRequest, serial: str) -> HttpResponse:
    """Two runs over one another."""
    require(request, Right.VIEW)
    engine = engine_of(serial)
    lines = queries.lines(engine)
    pair = [_asked(engine, text) for text in forms.TwoRunsForm(request.GET).sent().values()]
    if pair == [None, None]:
        pair = [line.run for line in reversed(lines[:2])]
    context: dict[str, Any] = {"engine": engine, "lines": lines}
    if len(pair) == 2 and pair[0] and pair[1]:
        first, second = (_opened_or_404(row) for row in pair if row)
        found = comparing.changes(first.read.run, second.read.run)
        context |= {
            "first": first,
            "second": second,
            "strip": mark_safe(picture.overlaid(first, second)),
            "changes": found,
            "answer": comparing.in_words(found),
        }
    return render(request, "run_ups/overlay.html", context)


@require_POST
def accept(request: HttpRequest, serial: str, sequence: int) -> HttpResponse:
    """Take a run into the baseline, or keep it out."""
    who = require(request, Right.WORK)
    row = _found(serial, sequence)
    sent = forms.AcceptForm(request.POST).sent()
    accepted, why = sent["accepted"] == "yes", sent["why"]
    with refusals_shown(request):
        actions.accept(row, accepted=accepted, why=why, who=who, at=timezone.now())
    return redirect("run_ups:run", serial, sequence)


def _page(request: HttpRequest, row: RunUp) -> HttpResponse:
    opened = _opened(request, row)
    context: dict[str, Any] = {
        "engine": row.engine,
        "run": row,
        "line": queries.RunLine(row, queries.newest_acceptance(row)),
    }
    if opened:
        window = _window(request, opened)
        length = opened.read.run.trace.length_s
        context |= {
            "opened": opened,
            "numbered": picture.numbered_findings(opened.findings),
            "good": [finding for finding in opened.findings if finding.weight is Severity.GOOD],
            "strip": mark_safe(picture.picture(opened, window)),
            "window": window,
            "shown": window or (0.0, length),
            "length": length,
            "moves": picture.moves(window, length),
            "measured": [(m, m.working()) for m in opened.read.run.measures if m.value is not None],
            "unmeasured": [m for m in opened.read.run.measures if m.value is None],
        }
    return render(request, "run_ups/run.html", context)


def _window(request: HttpRequest, opened: queries.Opened) -> tuple[float, float] | None:
    asked = forms.window_sent(request.GET)
    return picture.window_of(asked, opened.read.run.trace.length_s)


def _opened(request: HttpRequest, row: RunUp) -> queries.Opened | None:
    try:
        return queries.opened(row)
    except (OSError, FormatError):
        messages.error(request, GONE)
        return None


def _opened_or_404(row: RunUp) -> queries.Opened:
    try:
        return queries.opened(row)
    except (OSError, FormatError) as error:
        raise Http404(GONE) from error


def _found(serial: str, sequence: int) -> RunUp:
    row = queries.run_of(engine_of(serial), sequence)
    if row is None:
        raise Http404("This engine has no run-up of that number.")
    return row


def _asked(engine: Engine, text: str) -> RunUp | None:
    return queries.run_of(engine, int(text)) if text.isdecimal() and len(text) < 12 else None
