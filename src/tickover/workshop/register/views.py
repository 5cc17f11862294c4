"""One engine, its time line, one entry of engine time with its evidence."""

from __future__ import annotations

from datetime import datetime

from django.conf import settings
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_GET, require_POST

from tickover.formats.errors import FormatError
from tickover.workshop.bench import queries as bench
from tickover.workshop.journal import queries as journal
from tickover.workshop.people.permission import Right, require
from tickover.workshop.programme import queries as programme
from tickover.workshop.register import actions, files, queries, trace
from tickover.workshop.register.models import Engine, EngineTimeEntry

EVIDENCE_GONE = "The evidence file is missing or damaged. Keep the folder as it is, and run tickover verify."


@require_GET
def engine(request: HttpRequest, serial: str) -> HttpResponse:
    require(request, Right.LOOK)
    return _engine_page(request, _engine(serial))


@require_POST
def add_track_log(request: HttpRequest, serial: str) -> HttpResponse:
    who = require(request, Right.WORK)
    found = _engine(serial)
    upload = request.FILES.get("track_log")
    if upload is None:
        return _engine_page(request, found, refused="Choose a track log first (a file that ends in .igc).")
    if upload.size is not None and upload.size > settings.TRACK_LOG_MAX_BYTES:
        return _engine_page(
            request, found, refused=trace.too_large(upload.size, settings.TRACK_LOG_MAX_BYTES)
        )
    try:
        entry = actions.add_track_log(
            found, upload.read(), upload.name or "track log", who=who, at=timezone.now()
        )
    except (FormatError, actions.RegisterError) as error:
        return _engine_page(request, found, refused=f"{upload.name}: {error}")
    return redirect("register:entry", found.serial, entry.entry_sequence)


@require_GET
def entry(request: HttpRequest, serial: str, sequence: int) -> HttpResponse:
    """One entry: the time it adds and why, derived again from its evidence."""
    require(request, Right.LOOK)
    row = _entry(serial, sequence)
    try:
        read = queries.derived_again(row)
    except (OSError, FormatError):
        messages.error(request, EVIDENCE_GONE)
        read = None
    context = {
        "engine": row.engine,
        "entry": row,
        "line": queries.line_of(row),
        "read": read,
        "runs": [[datetime.fromisoformat(t) for t in run] for run in row.runs],
        "doubtful": [read.span(run) for run in read.found.doubtful] if read else [],
        "trace": mark_safe(trace.of(read)) if read else "",
        "total": queries.total_time(row.engine),
    }
    return render(request, "register/entry.html", context)


@require_POST
def withdraw(request: HttpRequest, serial: str, sequence: int) -> HttpResponse:
    who = require(request, Right.WORK)
    row = _entry(serial, sequence)
    try:
        actions.withdraw(row, request.POST.get("reason", "")[:500], who=who, at=timezone.now())
    except actions.RegisterError as error:
        messages.error(request, str(error))
        return redirect("register:entry", serial, sequence)
    messages.info(request, f"Journal entry {sequence} is withdrawn. It stays visible, and counts no more.")
    return redirect("register:engine", serial)


@require_GET
def evidence(request: HttpRequest, sha256: str) -> HttpResponse:
    """The evidence file itself, byte for byte."""
    require(request, Right.LOOK)
    kept = queries.evidence_file(sha256)
    if kept is None:
        raise Http404("No evidence file has this hash.")
    try:
        data = files.read(sha256)
    except OSError as error:
        raise Http404(EVIDENCE_GONE) from error
    response = HttpResponse(data, content_type="application/octet-stream")
    response.headers["Content-Disposition"] = f'attachment; filename="{sha256[:12]}.igc"'
    return response


@require_GET
def track_log_to_try(request: HttpRequest) -> HttpResponse:
    """The demo's own track log, for a visitor who has none at hand."""
    require(request, Right.LOOK)
    data = files.track_log_to_try()
    if data is None:
        raise Http404("This workshop has no track log to try; that is only in the demo.")
    response = HttpResponse(data, content_type="application/octet-stream")
    response.headers["Content-Disposition"] = f'attachment; filename="{settings.TRACK_LOG_TO_TRY}"'
    return response


def _engine_page(request: HttpRequest, found: Engine, *, refused: str = "") -> HttpResponse:
    lines = programme.due_lines(found, timezone.localdate())
    sheet = queries.build_of(found)
    context = {
        "engine": found,
        "sheet": sheet,
        "build": sheet.build(found.build_id),
        "total": queries.total_time(found),
        "lines": lines,
        "times": queries.time_lines(found),
        "jobs": bench.jobs_of(found),
        "journal": journal.about(f"engine/{found.serial}", limit=12),
        "refused": refused,
        "has_track_log_to_try": files.track_log_to_try() is not None,
    }
    return render(request, "register/engine.html", context, status=422 if refused else 200)


def _engine(serial: str) -> Engine:
    found = queries.engine_by_serial(serial)
    if found is None:
        raise Http404("There is no engine with this serial.")
    return found


def _entry(serial: str, sequence: int) -> EngineTimeEntry:
    row = queries.one_entry(_engine(serial), sequence)
    if row is None:
        raise Http404("This engine has no entry with this number.")
    return row
