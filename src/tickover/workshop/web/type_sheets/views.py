"""Pages to read type sheets by."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET

from tickover.sheets import sheet_data
from tickover.workshop.knowledge import queries
from tickover.workshop.knowledge.differences import differences
from tickover.workshop.knowledge.tables import NoRowError, index_of
from tickover.workshop.people.permission import Right, may, require
from tickover.workshop.register import queries as register
from tickover.workshop.register.models import SheetVersion
from tickover.workshop.web.type_sheets import shown
from tickover.workshop.web.type_sheets.forms import SheetPartForm, SheetVersionForm, two_versions


@require_GET
def types(request: HttpRequest) -> HttpResponse:
    """Every type that this workshop knows."""
    person = require(request, Right.VIEW)
    lines = [(line, [(b, shown.serials(b)) for b in line.sheet.builds]) for line in queries.types()]
    kept = {line.sheet.id for line, _ in lines}
    context = {
        "lines": lines,
        "new_drafts": [d for d in queries.drafts_of(person) if d.sheet_id not in kept],
        "may_know": may(person, Right.EDIT_TYPE_SHEETS),
    }
    return render(request, "type_sheets/types.html", context)


@require_GET
def type_page(request: HttpRequest, sheet_id: str) -> HttpResponse:
    """One type: one of its tables by system, searched and filtered."""
    person = require(request, Right.VIEW)
    kept = queries.newest(sheet_id)
    if kept is None:
        if queries.draft_of(sheet_id, person):
            return redirect("type_sheets:draft", sheet_id)
        raise Http404("There is no type sheet of this name.")
    sheet = register.sheet_of(kept)
    what, q, system = SheetPartForm(request.GET).sent().values()
    what = what if what in shown.WHAT else "limits"
    every = shown.lines(sheet, what)
    context: dict[str, Any] = {
        "sheet": sheet,
        "builds": [(b, shown.serials(b), shown.traits_in_words(b)) for b in sheet.builds],
        "engines": queries.engines_of(sheet_id),
        "what": what,
        "q": q,
        "system": system,
        "systems": sorted({line.system for line in every}),
        "tables": shown.tables(sheet, q),
        "groups": shown.grouped(shown.found(every, q, system)),
        "can_be_changed": what in ("limits", "programme", "parts"),
        "draft": queries.draft_of(sheet_id, person),
        "others": queries.others_drafting(sheet_id, person),
        "newer_shipped": bool(queries.newer_shipped(sheet_id)),
        "may_know": may(person, Right.EDIT_TYPE_SHEETS),
        "may_work": may(person, Right.WORK),
    }
    return render(request, "type_sheets/type.html", context)


@require_GET
def card_page(request: HttpRequest, sheet_id: str, card: str) -> HttpResponse:
    """One work card with its steps: as this person's draft has it, else as it is kept."""
    person = require(request, Right.VIEW)
    kept, draft = queries.newest(sheet_id), queries.draft_of(sheet_id, person)
    text = draft.text if draft else kept.text if kept else ""
    try:
        data = sheet_data(text)
        found = data["cards"][index_of(data.get("cards", []), card)]
    except (NoRowError, KeyError) as error:
        raise Http404("There is no such work card.") from error
    titles = {row["id"]: row["title"] for table in ("limits", "parts") for row in data.get(table, ())}
    context = {
        "sheet_id": sheet_id,
        "title": data["title"],
        "card": found,
        "titles": titles,
        "draft": draft,
        "may_know": may(person, Right.EDIT_TYPE_SHEETS),
    }
    return render(request, "type_sheets/card.html", context)


@require_GET
def export(request: HttpRequest, sheet_id: str) -> HttpResponse:
    """The sheet as the file it can be imported from again; the newest version, or one by its fingerprint."""
    require(request, Right.VIEW)
    row = _version(sheet_id, SheetVersionForm(request.GET).sent()["version"]) or queries.newest(sheet_id)
    if row is None:
        raise Http404("There is no type sheet of this name.")
    return as_file(row.text, sheet_id)


def as_file(text: str, sheet_id: str) -> HttpResponse:
    """A TOML text to be saved."""
    answer = HttpResponse(text, content_type="application/toml; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{sheet_id}.toml"'
    return answer


@require_GET
def versions(request: HttpRequest, sheet_id: str) -> HttpResponse:
    """Every version with who kept it, when and why, and the difference of two of them."""
    require(request, Right.VIEW)
    lines = queries.version_lines(sheet_id)
    if not lines:
        raise Http404("There is no type sheet of this name.")
    first, last = two_versions(request.GET)
    newer = _version(sheet_id, last) or lines[0].row
    older = _version(sheet_id, first) or lines[min(1, len(lines) - 1)].row
    context = {
        "title": register.sheet_of(lines[0].row).title,
        "sheet_id": sheet_id,
        "lines": lines,
        "older": older,
        "newer": newer,
        "differences": differences(sheet_data(older.text), sheet_data(newer.text)),
    }
    return render(request, "type_sheets/versions.html", context)


def _version(sheet_id: str, fingerprint: str) -> SheetVersion | None:
    return queries.version_by(sheet_id, fingerprint) if fingerprint else None
