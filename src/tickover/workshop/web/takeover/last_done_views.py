"""The table of last times of one engine: copied from its old logbook, saved whole or not at all."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from tickover.workshop.people.models import Person
from tickover.workshop.people.permission import Right, require
from tickover.workshop.register.models import Engine
from tickover.workshop.takeover import last_done as takeover
from tickover.workshop.takeover.actions import SOURCE_MAX
from tickover.workshop.takeover.refusal import RowsRefusedError, TakeOverError
from tickover.workshop.web.engines.engine_page import engine_of
from tickover.workshop.web.takeover.last_done_form import LastDoneTable
from tickover.workshop.web.typed_fields import SentForm, Words


class LastDoneForm(SentForm):
    """What is asked for the whole table."""

    source = Words(SOURCE_MAX)


@require_http_methods(["GET", "POST"])
def last_done(request: HttpRequest, serial: str) -> HttpResponse:
    """A row for each task: hours and day of the last time, or nothing, which is not known."""
    who = require(request, Right.WORK)
    engine = engine_of(serial)
    table = LastDoneTable(
        takeover.programme_rows(engine, timezone.localdate()), request.POST if request.POST else None
    )
    if request.method == "GET":
        return _page(request, engine, table, takeover.source_of(engine))
    source = LastDoneForm(request.POST).sent()["source"]
    return _saved(request, engine, table, source, who)


def _saved(
    request: HttpRequest, engine: Engine, table: LastDoneTable, source: str, who: Person
) -> HttpResponse:
    """Save the table, or show it again with an error beside each row that is wrong."""
    table.refuse(takeover.refusals(engine, table.typed, timezone.localdate()))
    if table.wrong:
        return _page(request, engine, table, source, str(RowsRefusedError(table.wrong)))
    try:
        changed = takeover.bring_forward(engine, table.typed, source, who=who, at=timezone.now())
    except RowsRefusedError as error:
        table.refuse(error.rows)
        return _page(request, engine, table, source, str(error))
    except TakeOverError as error:
        return _page(request, engine, table, source, "", str(error))
    messages.success(request, f"{changed} task{'' if changed == 1 else 's'} saved.")
    return redirect("engines:engine", engine.serial)


def _page(
    request: HttpRequest,
    engine: Engine,
    table: LastDoneTable,
    source: str,
    refused: str = "",
    source_wrong: str = "",
) -> HttpResponse:
    context = {
        "engine": engine,
        "table": table,
        "source": source,
        "refused": refused,
        "source_wrong": source_wrong,
    }
    return render(request, "takeover/last_done.html", context, status=422 if refused or source_wrong else 200)
