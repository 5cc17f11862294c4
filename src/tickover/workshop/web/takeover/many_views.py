"""Many engines from one table: first what would become of each line, then one press."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from tickover.formats.errors import FormatError
from tickover.formats.typed_table.reading import SIZE_LIMIT_BYTES
from tickover.workshop.people.permission import Right, require
from tickover.workshop.programme import decisions
from tickover.workshop.serving.request_limits import takes_files
from tickover.workshop.takeover import many
from tickover.workshop.takeover.actions import SOURCE_MAX
from tickover.workshop.takeover.sorting_in import MOST_ROWS
from tickover.workshop.web.takeover.reading_table import file_name, pasted, table_read
from tickover.workshop.web.typed_fields import SentForm, Words

COLUMNS = (
    ("serial", "Serial number"),
    ("name", "Name"),
    ("type", "Type"),
    ("build", "Build"),
    ("owner", "Owner"),
    ("hours_now", "Hours now"),
    ("read_on", "Read on"),
    ("source", "Where it is written"),
    ("service", "Task"),
    ("at_h", "Last done at, h"),
    ("on_day", "Last done on"),
)


class ManyForm(SentForm):
    """The book that is named for lines without one, and which button was pressed."""

    source, do = Words(SOURCE_MAX), Words()


@takes_files(SIZE_LIMIT_BYTES)
@require_http_methods(["GET", "POST"])
def many_engines(request: HttpRequest) -> HttpResponse:
    """A dry run of every line that was sent; entered at the press of the button below it."""
    who = require(request, Right.WORK)
    if request.method == "GET":
        return _page(request)
    sent = ManyForm(request.POST).sent()
    try:
        read = table_read(request, many.WORDS, COLUMNS, most_rows=MOST_ROWS)
    except FormatError as error:
        return _page(request, 422, unread=str(error), pasted=pasted(request), source=sent["source"])
    source = sent["source"] or file_name(request) or "pasted table"
    in_earnest = sent["do"] == "enter" and not request.FILES
    lines = many.lines_of_table(read.table, read.columns)
    report = many.enter_engines(
        lines, decisions.sheets_kept(), source, in_earnest=in_earnest, who=who, at=timezone.now()
    )
    if in_earnest and report.engines:
        added = f"{report.engines} engine{'' if report.engines == 1 else 's'} added"
        refused = (
            f", {report.refused} line{'' if report.refused == 1 else 's'} refused" if report.refused else ""
        )
        messages.success(request, f"{added}{refused}.")
        return redirect("programme:engines")
    counts = f"{read.rows_read} row{'' if read.rows_read == 1 else 's'} read."
    return _page(request, read=read, report=report, pasted=read.table.as_text, source=source, counts=counts)


def _page(request: HttpRequest, status: int = 200, **context: Any) -> HttpResponse:
    hint = "One line an engine, or one line a service. The first row names the columns."
    return render(request, "takeover/many_engines.html", {"pasted_hint": hint, **context}, status=status)
