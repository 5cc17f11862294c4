"""Forms for one row of a sheet: change it, add one, take one out, move a step."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from tickover.sheets import sheet_data
from tickover.workshop.knowledge import actions, queries, tables
from tickover.workshop.knowledge.tables import NoRowError, Place, Table
from tickover.workshop.knowledge.words import TABLES
from tickover.workshop.people.models import Person
from tickover.workshop.people.permission import Right, require
from tickover.workshop.web.type_sheets.forms import MovedRowForm
from tickover.workshop.web.type_sheets.row_form import RowForm

MEANWHILE = (
    "This row was changed in another window. Nothing was saved. Below is what you typed: "
    "reload to see the row now, or save yours over it."
)


@require_http_methods(["GET", "POST"])
def change_row(request: HttpRequest, sheet_id: str, table: str, row_id: str, card: str = "") -> HttpResponse:
    """The form of one row; what is typed goes into the draft."""
    who = require(request, Right.EDIT_TYPE_SHEETS)
    place, data = _asked(sheet_id, table, card, who)
    row = _row(data, place, row_id)
    mark = tables.mark_of(row)
    form = RowForm(place, data, request.POST or None, row)
    if request.method == "POST" and MovedRowForm(request.POST).sent()["mark"] != mark:
        form.add_error(None, MEANWHILE)
    if request.method == "POST" and form.is_valid() and _stored(form, sheet_id, place, row_id, who):
        return redirect(_back(sheet_id, place))
    return _page(request, form, sheet_id, place, data, {"row_id": row_id, "mark": mark, "row": row})


@require_http_methods(["GET", "POST"])
def add_row(request: HttpRequest, sheet_id: str, table: str, card: str = "") -> HttpResponse:
    """The form of a new row."""
    who = require(request, Right.EDIT_TYPE_SHEETS)
    place, data = _asked(sheet_id, table, card, who)
    if place.table in tables.SINGLE:
        raise Http404("There is one of these only.")
    form = RowForm(place, data, request.POST or None)
    if request.method == "POST" and form.is_valid():
        words = form.cleaned_data.get("title") or form.cleaned_data["act"]
        row_id = tables.new_id(_rows(data, place), words)
        form.old = {"id": row_id}
        if _stored(form, sheet_id, place, row_id, who):
            return redirect(_back(sheet_id, place))
    return _page(request, form, sheet_id, place, data, {})


@require_POST
def remove_row(request: HttpRequest, sheet_id: str, table: str, row_id: str, card: str = "") -> HttpResponse:
    """Take a row out of the draft."""
    who = require(request, Right.EDIT_TYPE_SHEETS)
    place, data = _asked(sheet_id, table, card, who)
    _row(data, place, row_id)
    if place.table in tables.SINGLE or (place.table in ("steps", "builds") and len(_rows(data, place)) == 1):
        messages.error(request, f"There is one {TABLES[table][0]} only: it can be changed, not taken out.")
        return redirect(_back(sheet_id, place))
    actions.change(sheet_id, place, "", lambda d: tables.remove(d, place, row_id), who=who, at=timezone.now())
    return redirect(_back(sheet_id, place))


@require_POST
def move_step(request: HttpRequest, sheet_id: str, card: str, row_id: str) -> HttpResponse:
    """Move a step up or down."""
    who = require(request, Right.EDIT_TYPE_SHEETS)
    place, data = _asked(sheet_id, "steps", card, who)
    _row(data, place, row_id)
    by = -1 if MovedRowForm(request.POST).sent()["way"] == "up" else 1
    actions.change(
        sheet_id, place, "", lambda d: tables.move(d, place, row_id, by), who=who, at=timezone.now()
    )
    return redirect(f"{reverse('type_sheets:card', args=[sheet_id, card])}#{row_id}")


def _asked(sheet_id: str, table: str, card: str, who: Person) -> tuple[Place, Table]:
    """The table that is asked for, and the data of the draft or of the newest version."""
    draft, kept = queries.draft_of(sheet_id, who), queries.newest(sheet_id)
    if draft is None and kept is None:
        raise Http404("There is no type sheet of this name.")
    data = sheet_data(draft.text if draft else kept.text if kept else "")
    place = Place(table, card)
    _rows(data, place)
    return place, data


def _rows(data: Table, place: Place) -> list[Table]:
    try:
        return tables.rows_of(data, place)
    except NoRowError as error:
        raise Http404("This sheet has no such table.") from error


def _row(data: Table, place: Place, row_id: str) -> Table:
    try:
        return tables.row_of(data, place, row_id)
    except NoRowError as error:
        raise Http404("This sheet has no such row.") from error


def _stored(form: RowForm, sheet_id: str, place: Place, row_id: str, who: Person) -> bool:
    row = form.row()
    try:
        actions.change(
            sheet_id, place, row_id, lambda d: tables.put(d, place, row_id, row), who=who, at=timezone.now()
        )
    except actions.RowRefusedError as refused:
        form.refuse(refused.wrong)
        return False
    return True


def _back(sheet_id: str, place: Place) -> str:
    if place.table == "steps":
        return reverse("type_sheets:card", args=[sheet_id, place.card])
    return reverse("type_sheets:draft", args=[sheet_id])


def _page(
    request: HttpRequest, form: RowForm, sheet_id: str, place: Place, data: Table, more: dict[str, Any]
) -> HttpResponse:
    card = next((c["title"] for c in data.get("cards", ()) if c["id"] == place.card), "")
    context = {
        "form": form,
        "sheet_id": sheet_id,
        "title": data["title"],
        "place": place,
        "card_title": card,
        "noun": TABLES[place.table][0],
        "single": place.table in tables.SINGLE,
        **more,
    }
    return render(request, "type_sheets/row.html", context, status=422 if form.errors else 200)
