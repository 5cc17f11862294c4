"""Handing in a run-up: its file, what is noted beside it, and which column is which where the headers do not tell."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.contrib import messages
from django.core.files.uploadedfile import TemporaryUploadedFile, UploadedFile
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from tickover.formats.errors import FormatError
from tickover.formats.logger.choice import LoggerPreview, look_at
from tickover.formats.text.delimited import lines_of
from tickover.workshop.fault_finding.recording import record_actions
from tickover.workshop.people.models import Person
from tickover.workshop.people.permission import Right, require
from tickover.workshop.register.models import Engine
from tickover.workshop.run_ups import actions, queries
from tickover.workshop.run_ups.uploads import evidence, waiting
from tickover.workshop.serving.request_limits import takes_files
from tickover.workshop.web.engines.engine_page import engine_of
from tickover.workshop.web.run_ups import forms

TOO_LARGE = "The file is larger than 2 GB. Nothing was read. Cut it to the run itself."
WAITS_NO_MORE = "The file is no longer here. Add it again. Nothing was saved."


@takes_files(evidence.MOST_SOUND_BYTES)
@require_http_methods(["GET", "POST"])
def new(request: HttpRequest, serial: str) -> HttpResponse:
    """The cautions, then the form."""
    who = require(request, Right.WORK)
    engine = engine_of(serial)
    if request.method == "GET":
        asked = {name: text for name, text in forms.OfJobForm(request.GET).sent().items() if text}
        return _form(request, engine, forms.RunForm(engine, initial=_as_last(engine) | asked))
    form = forms.RunForm(engine, request.POST, request.FILES)
    if not form.is_valid():
        return _form(request, engine, form)
    given = form.cleaned_data["run_file"]
    if given.size > evidence.MOST_SOUND_BYTES:
        form.add_error("run_file", TOO_LARGE)
        return _form(request, engine, form)
    return _take(request, engine, form, (_source(given), given.name or "run-up"), who)


@require_POST
def columns(request: HttpRequest, serial: str) -> HttpResponse:
    """Which column is which was told: take in the file that waits, and know the logger from now on."""
    who = require(request, Right.WORK)
    engine = engine_of(serial)
    circumstances = forms.RunForm(engine, request.POST, waiting=True)
    sent = forms.WaitingFileForm(request.POST).sent()
    sha256 = sent["waiting"]
    data = waiting.get(sha256)
    if data is None or not circumstances.is_valid():
        again = forms.RunForm(engine, request.POST)
        again.add_error(None, WAITS_NO_MORE)
        return _form(request, engine, again)
    name = sent["file_name"] or "run-up"
    look = look_at(lines_of(data, most_bytes=evidence.MOST_BYTES))
    form = forms.ColumnsForm(look, request.POST)
    if form.is_valid():
        try:
            file = actions.Upload(data, name, evidence.columns_of(form.choice()))
            row = actions.add_run_with_columns(
                engine, file, look.fingerprint, circumstances.circumstances(), who=who, at=timezone.now()
            )
        except (FormatError, actions.RunUpError) as error:
            form.add_error(None, str(error))
        else:
            waiting.drop(sha256)
            _tell_trouble(request, engine, who)
            return redirect("run_ups:run", serial, row.entry_sequence)
    return _ask(request, engine, look, form, sha256, name)


def _source(given: UploadedFile[Any]) -> bytes | Path:
    """A large file stays on disk, where it was written as it came."""
    return Path(given.temporary_file_path()) if isinstance(given, TemporaryUploadedFile) else given.read()


def _take(
    request: HttpRequest, engine: Engine, form: forms.RunForm, file: tuple[bytes | Path, str], who: Person
) -> HttpResponse:
    """Keep the run; where its headers tell nothing, take the logger's known columns, or ask for them."""
    source, name = file
    known: dict[str, Any] = {}
    try:
        look = evidence.untold(source)
        known = queries.known_columns(look.fingerprint) if look else {}
        if look and not known:
            return _ask(
                request,
                engine,
                look,
                forms.ColumnsForm(look, initial=_first_guess()),
                waiting.put(evidence.whole(source)),
                name,
            )
        upload = actions.Upload(source, name, known)
        row = actions.add_run(engine, upload, form.circumstances(), who=who, at=timezone.now())
    except FormatError as error:
        form.add_error("run_file", f"{name}: {error} Nothing was saved.")
    except OSError as error:
        form.add_error(
            "run_file", f"{name} could not be written to the disk ({error.strerror}). Nothing was saved."
        )
    except actions.RunUpError as error:
        form.add_error(None, str(error))
    else:
        _tell_trouble(request, engine, who)
        return _kept(request, reverse("run_ups:run", args=[engine.serial, row.entry_sequence]))
    return _form(request, engine, form)


def _kept(request: HttpRequest, address: str) -> HttpResponse:
    """On to the run. A script is told where it is: one that followed by itself would use up what the page says once."""
    if request.headers.get("X-Sent-By") == "script":
        return HttpResponse(status=201, headers={"Location": address})
    return redirect(address)


def _tell_trouble(request: HttpRequest, engine: Engine, who: Person) -> None:
    """A run-up of an engine in trouble counts there at once."""
    for session in record_actions.count_new_records(engine, who=who, at=timezone.now()):
        messages.info(request, f"Its findings were used in fault {session.number}.")


def _first_guess() -> dict[str, Any]:
    return {"time": "0", "rpm": "1", "rpm_per_count": "1", "time_unit": "s", "degrees": "deg C"}


def _ask(
    request: HttpRequest, engine: Engine, look: LoggerPreview, form: forms.ColumnsForm, sha256: str, name: str
) -> HttpResponse:
    kept = forms.RunForm.as_sent(request.POST)
    context = {
        "engine": engine,
        "look": look,
        "form": form,
        "waiting": sha256,
        "file_name": name,
        "kept": kept,
    }
    return render(request, "run_ups/columns.html", context, status=422 if form.errors else 200)


def _form(request: HttpRequest, engine: Engine, form: forms.RunForm) -> HttpResponse:
    context = {"engine": engine, "form": form}
    return render(request, "run_ups/new.html", context, status=422 if form.errors else 200)


def _as_last(engine: Engine) -> dict[str, Any]:
    """Fuel and needles as they were last; the air of the day is asked afresh."""
    notes, run = queries.needle_notes(engine), queries.newest(engine)
    last = next((row for row in (notes[0] if notes else None, run) if row), None)
    if last is None:
        return {}
    names = ("fuel", "petrol_to_oil", "turns_low", "turns_high")
    values = {name: getattr(last, name) for name in names}
    return {name: f"{v:g}" if isinstance(v, float) else v for name, v in values.items() if v is not None}
