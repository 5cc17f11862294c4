"""A new type, and a sheet from a file."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from tickover.sheets import Problem, SheetError, load_sheet, sheet_data
from tickover.workshop.knowledge import actions, queries, tables
from tickover.workshop.knowledge.models import SheetDraft
from tickover.workshop.people.models import Person
from tickover.workshop.people.permission import Right, require
from tickover.workshop.register.models import SheetVersion
from tickover.workshop.serving.request_limits import takes_files
from tickover.workshop.web.type_sheets.forms import CopyForm, ImportForm
from tickover.workshop.web.type_sheets.starting import NewType

SHEET_BYTES = 2 * 2**20


@require_http_methods(["GET", "POST"])
def new_type(request: HttpRequest) -> HttpResponse:
    """A type of one's own, begun as a copy of another."""
    who = require(request, Right.EDIT_TYPE_SHEETS)
    sources = queries.to_copy()
    copy = CopyForm(request.GET).sent()["copy"]
    if copy not in sources:
        return render(request, "type_sheets/copy.html", {"sources": list(sources.values())})
    page = NewType(sheet_data(queries.text_to_copy(copy)), request.POST or None)
    if request.method == "POST" and page.is_valid() and (draft := _begun(page, who)):
        return redirect("type_sheets:draft", draft.sheet_id)
    context = {"page": page, "source": sources[copy]}
    return render(request, "type_sheets/new_type.html", context, status=422 if request.POST else 200)


def _begun(page: NewType, who: Person) -> SheetDraft | None:
    data = page.data(_names_taken())
    try:
        load_sheet(tables.text_of(data), data["id"])
    except SheetError as error:
        wrong = [
            (p.key, p.message) for p in error.problems if p.key.partition(".")[0] in ("geometry", "builds")
        ]
        if wrong:
            page.refuse(wrong)
            return None
    try:
        return actions.begin(data, who=who, at=timezone.now())
    except actions.KnowledgeError as error:
        page.name.add_error(None, str(error))
        return None


def _names_taken() -> list[tables.Table]:
    kept = SheetVersion.objects.values_list("sheet_id", flat=True)
    drafted = SheetDraft.objects.values_list("sheet_id", flat=True)
    return [{"id": name} for name in {*kept, *drafted, *queries.to_copy(), *actions.RESERVED}]


@takes_files(SHEET_BYTES)
@require_http_methods(["GET", "POST"])
def import_sheet(request: HttpRequest) -> HttpResponse:
    """A sheet from a TOML file or text, as a draft."""
    who = require(request, Right.EDIT_TYPE_SHEETS)
    form = ImportForm(request.POST or None, request.FILES or None)
    problems: tuple[Problem, ...] = ()
    if request.method == "POST" and form.is_valid():
        upload = form.cleaned_data["file"]
        name = upload.name if upload else "pasted text"
        try:
            draft = actions.import_text(form.cleaned_data["text"], name, who=who, at=timezone.now())
        except SheetError as error:
            problems = error.problems
        except actions.KnowledgeError as error:
            form.add_error(None, str(error))
        else:
            if draft:
                return redirect("type_sheets:draft", draft.sheet_id)
            messages.success(request, "No difference from the newest version. Nothing was saved.")
            return redirect("type_sheets:types")
    refused = bool(problems or form.errors)
    context = {"form": form, "problems": problems}
    return render(request, "type_sheets/import.html", context, status=422 if refused else 200)
