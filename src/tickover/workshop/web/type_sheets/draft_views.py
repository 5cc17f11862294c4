"""A person's draft: what it changes, and keeping or discarding it."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from tickover.sheets import TypeSheet, sheet_data
from tickover.workshop.knowledge import actions, queries
from tickover.workshop.knowledge.differences import differences
from tickover.workshop.knowledge.effects import effects
from tickover.workshop.knowledge.models import SheetDraft
from tickover.workshop.people.models import Person
from tickover.workshop.people.permission import Right, require
from tickover.workshop.register import queries as register
from tickover.workshop.web.type_sheets import shown
from tickover.workshop.web.type_sheets.forms import KeepReasonForm
from tickover.workshop.web.type_sheets.views import as_file


@require_GET
def draft(request: HttpRequest, sheet_id: str) -> HttpResponse:
    """What the draft changes, row by row, and what that does to the engines."""
    who = require(request, Right.EDIT_TYPE_SHEETS)
    return _page(request, _found(sheet_id, who), KeepReasonForm())


@require_GET
def draft_export(request: HttpRequest, sheet_id: str) -> HttpResponse:
    """The draft as a file."""
    who = require(request, Right.EDIT_TYPE_SHEETS)
    return as_file(_found(sheet_id, who).text, sheet_id)


@require_POST
def keep(request: HttpRequest, sheet_id: str) -> HttpResponse:
    who = require(request, Right.EDIT_TYPE_SHEETS)
    found, form = _found(sheet_id, who), KeepReasonForm(request.POST)
    if form.is_valid():
        try:
            row = actions.keep(found, form.cleaned_data["reason"], who=who, at=timezone.now())
        except actions.KnowledgeError as error:
            form.add_error(None, str(error))
        else:
            messages.success(
                request, f"Saved as version {row.version}. Open visits keep the version they have."
            )
            return redirect("type_sheets:type", sheet_id)
    return _page(request, found, form, status=422)


@require_POST
def discard(request: HttpRequest, sheet_id: str) -> HttpResponse:
    who = require(request, Right.EDIT_TYPE_SHEETS)
    actions.discard(_found(sheet_id, who))
    messages.success(request, "The draft is discarded. Nothing else was changed.")
    kept = queries.newest(sheet_id)
    return redirect("type_sheets:type", sheet_id) if kept else redirect("type_sheets:types")


@require_POST
def over_newest(request: HttpRequest, sheet_id: str) -> HttpResponse:
    who = require(request, Right.EDIT_TYPE_SHEETS)
    found = _found(sheet_id, who)
    try:
        actions.lay_over_newest(found, at=timezone.now())
    except actions.KnowledgeError as error:
        messages.error(request, str(error))
    return redirect("type_sheets:draft", sheet_id)


@require_POST
def take_shipped(request: HttpRequest, sheet_id: str) -> HttpResponse:
    who = require(request, Right.EDIT_TYPE_SHEETS)
    if queries.newest(sheet_id) is None:
        raise Http404("There is no type sheet of this name.")
    try:
        actions.take_shipped(sheet_id, who=who, at=timezone.now())
    except actions.KnowledgeError as error:
        messages.error(request, str(error))
        return redirect("type_sheets:type", sheet_id)
    return redirect("type_sheets:draft", sheet_id)


def _found(sheet_id: str, who: Person) -> SheetDraft:
    found = queries.draft_of(sheet_id, who)
    if found is None:
        raise Http404("You have no draft of this type.")
    return found


def _page(request: HttpRequest, found: SheetDraft, form: KeepReasonForm, status: int = 200) -> HttpResponse:
    kept = queries.newest(found.sheet_id)
    data = sheet_data(found.text)
    after = TypeSheet.model_validate(data)
    before = sheet_data(found.base.text) if found.base else None
    context: dict[str, Any] = {
        "draft": found,
        "sheet": after,
        "builds": [(b, shown.serials(b), shown.traits_in_words(b)) for b in after.builds],
        "differences": differences(before, data) if before else [],
        "is_new": before is None,
        "outdated": kept is not None and kept.pk != found.base_id,
        "newest": kept,
        "problems": actions.problems_of(found),
        "effects": effects(
            register.sheet_of(kept) if kept else None, after, queries.engines_of(found.sheet_id)
        ),
        "others": queries.others_drafting(found.sheet_id, found.by),
        "form": form,
    }
    return render(request, "type_sheets/draft.html", context, status=status)
