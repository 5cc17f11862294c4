"""The table of last times of one engine: copied from its old logbook, saved whole or not at all."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from tickover.formats.errors import FormatError
from tickover.formats.typed_table.reading import SIZE_LIMIT_BYTES
from tickover.workshop.people.models import Person
from tickover.workshop.people.permission import Right, require
from tickover.workshop.photos import queries as photos
from tickover.workshop.register.models import Engine
from tickover.workshop.serving.request_limits import takes_files
from tickover.workshop.takeover import last_done as takeover
from tickover.workshop.takeover.actions import SOURCE_MAX
from tickover.workshop.takeover.refusal import RowsRefusedError, TakeOverError
from tickover.workshop.takeover.sorting_in import MOST_ROWS, WORDS, SortedIn, sort_in
from tickover.workshop.web.engines.engine_page import engine_of
from tickover.workshop.web.takeover.last_done_form import LastDoneTable
from tickover.workshop.web.takeover.reading_table import (
    TableRead,
    pasted,
    table_read,
    tasks_chosen,
    wants_reading,
)
from tickover.workshop.web.typed_fields import SentForm, Words

COLUMNS = (("task", "Task"), ("hours", "Hours"), ("day", "Day"))


class LastDoneForm(SentForm):
    """What is asked for the whole table."""

    source = Words(SOURCE_MAX)


@dataclass(frozen=True)
class TablePage:
    """The page of one engine's table: what was typed into it, and the book it is copied from."""

    request: HttpRequest
    engine: Engine
    table: LastDoneTable
    source: str

    def show(self, refused: str = "", **more: Any) -> HttpResponse:
        """The page; with 422 where something was refused."""
        context = {
            "engine": self.engine,
            "table": self.table,
            "source": self.source,
            "refused": refused,
            "pages": photos.photos_of(f"engine/{self.engine.serial}"),
            **more,
        }
        wrong = refused or more.get("source_wrong") or more.get("unread")
        return render(self.request, "takeover/last_done.html", context, status=422 if wrong else 200)


@takes_files(SIZE_LIMIT_BYTES)
@require_http_methods(["GET", "POST"])
def last_done(request: HttpRequest, serial: str) -> HttpResponse:
    """A row for each task: hours and day of the last time, or nothing, which is not known."""
    who = require(request, Right.WORK)
    engine = engine_of(serial)
    rows = takeover.programme_rows(engine, timezone.localdate())
    if request.method == "GET":
        return TablePage(request, engine, LastDoneTable(rows), takeover.source_of(engine)).show()
    source = LastDoneForm(request.POST).sent()["source"]
    page = TablePage(request, engine, LastDoneTable(rows, request.POST), source)
    return _read(page) if wants_reading(request) else _saved(page, who)


def _saved(page: TablePage, who: Person) -> HttpResponse:
    """Save the table, or show it again with an error beside each row that is wrong."""
    table, engine = page.table, page.engine
    table.refuse(takeover.refusals(engine, table.typed, timezone.localdate()))
    if table.wrong:
        return page.show(str(RowsRefusedError(table.wrong)))
    try:
        changed = takeover.bring_forward(engine, table.typed, page.source, who=who, at=timezone.now())
    except RowsRefusedError as error:
        table.refuse(error.rows)
        return page.show(str(error))
    except TakeOverError as error:
        return page.show(source_wrong=str(error))
    messages.success(page.request, f"{changed} task{'' if changed == 1 else 's'} saved.")
    return redirect("engines:engine", engine.serial)


def _read(page: TablePage) -> HttpResponse:
    """Fill the rows from a pasted table or a file; nothing is saved yet."""
    try:
        read = table_read(page.request, WORDS, COLUMNS, most_rows=MOST_ROWS)
    except FormatError as error:
        return page.show(unread=str(error), pasted=pasted(page.request))
    tasks = [row.task for row in page.table.rows if not row.fixed]
    found = sort_in(read.table, read.columns, tasks, tasks_chosen(page.request))
    page.table.fill({name: (last.hours, last.on) for name, last in found.found.items()})
    page.table.refuse(takeover.refusals(page.engine, page.table.typed, timezone.localdate()))
    return page.show(
        read=read, found=found, counts=_in_words(read, found), pasted=read.table.as_text, tasks=tasks
    )


def _in_words(read: TableRead, found: SortedIn) -> str:
    """What became of the rows: "31 rows read: 28 tasks filled in, 2 older times left out, 1 fits no task." """
    parts = [f"{len(found.found)} task{'' if len(found.found) == 1 else 's'} filled in"]
    parts += [f"{found.older} older time{'' if found.older == 1 else 's'} left out"] if found.older else []
    parts += [f"{len(found.unknown)} fit no task"] if found.unknown else []
    return f"{read.rows_read} row{'' if read.rows_read == 1 else 's'} read: {', '.join(parts)}."
