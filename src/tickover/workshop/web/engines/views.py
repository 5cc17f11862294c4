"""One engine, its time line, one entry of engine time with its evidence."""

from __future__ import annotations

from collections import Counter
from datetime import datetime

from django.conf import settings
from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_GET, require_POST

from tickover.formats import hours_csv
from tickover.formats.errors import FormatError
from tickover.workshop.engine_time import actions as time_actions
from tickover.workshop.engine_time import at_a_time, edge_actions, table_of_hours
from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.kernel import evidence_files
from tickover.workshop.people.permission import Right, require
from tickover.workshop.photos import queries as photos
from tickover.workshop.register import actions, queries
from tickover.workshop.register.models import EngineTimeEntry
from tickover.workshop.serving.request_limits import takes_files
from tickover.workshop.web.engines import engine_page, forms, trace
from tickover.workshop.web.engines.engine_page import engine_of
from tickover.workshop.web.photos import present as photos_present
from tickover.workshop.web.rejection import show_rejection

BYTES = "application/octet-stream"
ENDINGS = (".igc", ".gpx", ".csv", ".tsv", ".txt")
SOUNDS = (".wav", ".flac", ".ogg", ".opus", ".mp3", ".m4a")
NO_TRACK_LOG = f"Choose a track log first (a file that ends in {', '.join(ENDINGS[:3])})."
EVIDENCE_GONE = "The evidence file is missing or damaged. Keep the folder as it is, and run tickover verify."


@require_GET
def engine(request: HttpRequest, serial: str) -> HttpResponse:
    require(request, Right.VIEW)
    return engine_page.show(request, engine_of(serial))


@takes_files(settings.TRACK_LOG_MAX_BYTES)
@require_POST
def add_track_log(request: HttpRequest, serial: str) -> HttpResponse:
    who = require(request, Right.WORK)
    found = engine_of(serial)
    upload = request.FILES.get("track_log")
    if upload is None:
        return engine_page.show(request, found, refused=NO_TRACK_LOG)
    if upload.size is not None and upload.size > settings.TRACK_LOG_MAX_BYTES:
        return engine_page.show(
            request, found, refused=trace.too_large(upload.size, settings.TRACK_LOG_MAX_BYTES)
        )
    try:
        entry = time_actions.add_track_log(
            found, upload.read(), upload.name or "track log", who=who, at=timezone.now()
        )
    except (FormatError, actions.RegisterError) as error:
        return engine_page.show(request, found, refused=f"{upload.name}: {error}")
    return redirect("engines:entry", found.serial, entry.entry_sequence)


@require_GET
def entry(request: HttpRequest, serial: str, sequence: int) -> HttpResponse:
    """One entry: the time it adds and why, derived again from its evidence."""
    require(request, Right.VIEW)
    return entry_page(request, _entry(serial, sequence))


def entry_page(
    request: HttpRequest, row: EngineTimeEntry, tried: forms.EdgesForm | None = None
) -> HttpResponse:
    """The page; with 422 where edges were refused, and as they were typed."""
    try:
        read = engine_time.derived_again(row)
    except (OSError, FormatError):
        messages.error(request, EVIDENCE_GONE)
        read = None
    context = {
        "engine": row.engine,
        "entry": row,
        "line": engine_time.line_of(row),
        "read": read,
        "runs": [[datetime.fromisoformat(t) for t in run] for run in row.runs],
        "doubtful": [read.span(run) for run in read.found.doubtful] if read else [],
        "trace": mark_safe(trace.of(read)) if read else "",
        "total": engine_time.total_time(row.engine),
        "edges": tried
        or (forms.EdgesForm(at_a_time.original(row)) if edge_actions.may_be_moved(row) else None),
    }
    return render(request, "engines/entry.html", context, status=422 if tried else 200)


@require_POST
def withdraw(request: HttpRequest, serial: str, sequence: int) -> HttpResponse:
    who = require(request, Right.WORK)
    row = _entry(serial, sequence)
    try:
        time_actions.withdraw(
            row, forms.TakeBackReasonForm(request.POST).sent()["reason"], who=who, at=timezone.now()
        )
    except actions.RegisterError as error:
        show_rejection(request, str(error))
        return redirect("engines:entry", serial, sequence)
    messages.info(request, f"Journal entry {sequence} is withdrawn. It stays visible but no longer counts.")
    return redirect("engines:engine", serial)


@require_GET
def evidence(request: HttpRequest, sha256: str) -> HttpResponseBase:
    """The evidence file itself, byte for byte; that of a photo only to whom the photo may be shown."""
    person = require(request, Right.VIEW)
    kept = queries.evidence_file(sha256)
    if kept is None:
        raise Http404("No evidence file has this hash.")
    of_photos = photos.photos_with(kept)
    if of_photos and not any(photos_present.may_be_shown(photo, person) for photo in of_photos):
        raise Http404("This photo is shown after the second check of its step.")
    try:
        file = evidence_files.place_of(sha256).open("rb")
    except OSError as error:
        raise Http404(EVIDENCE_GONE) from error
    ending = next((e for e in (*ENDINGS, *SOUNDS) if kept.name.lower().endswith(e)), ENDINGS[0])
    return FileResponse(file, as_attachment=True, filename=f"{sha256[:12]}{ending}", content_type=BYTES)


@require_GET
def track_log_to_try(request: HttpRequest) -> HttpResponse:
    """The demo's own track log, for a visitor who has none at hand."""
    require(request, Right.VIEW)
    data = evidence_files.track_log_to_try()
    if data is None:
        raise Http404("This workshop has no track log to try; that is only in the demo.")
    response = HttpResponse(data, content_type="application/octet-stream")
    response.headers["Content-Disposition"] = f'attachment; filename="{settings.TRACK_LOG_TO_TRY}"'
    return response


def _entry(serial: str, sequence: int) -> EngineTimeEntry:
    row = engine_time.one_entry(engine_of(serial), sequence)
    if row is None:
        raise Http404("This engine has no entry with this number.")
    return row


@require_GET
def hours_table(request: HttpRequest) -> HttpResponse:
    """Where a table of typed hours is handed in."""
    require(request, Right.WORK)
    return render(request, "engines/bulk.html")


@takes_files(hours_csv.SIZE_LIMIT_BYTES)
@require_POST
def import_hours(request: HttpRequest) -> HttpResponse:
    """Enter a table of typed hours, and say what became of each line."""
    who = require(request, Right.WORK)
    upload = request.FILES.get("table")
    if upload is None:
        return render(request, "engines/bulk.html", {"refused": "Choose a table first."}, status=422)
    try:
        data = upload.read(hours_csv.SIZE_LIMIT_BYTES + 1)
        rows, problems = hours_csv.read_hours_csv(data, today=timezone.localdate())
    except FormatError as error:
        return render(request, "engines/bulk.html", {"refused": f"{upload.name}: {error}"}, status=422)
    report = table_of_hours.import_hours(rows, problems, who=who, at=timezone.now())
    counts = Counter(line.outcome for line in report)
    context = {
        "report": report,
        "file_name": upload.name,
        "entered": counts[table_of_hours.RowOutcome.ENTERED],
        "already": counts[table_of_hours.RowOutcome.THERE_ALREADY],
        "refused_lines": counts[table_of_hours.RowOutcome.REFUSED],
    }
    return render(request, "engines/bulk.html", context)
