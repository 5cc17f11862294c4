"""Pages of bulletins: all of them, one of them, and those of an engine; the forms that write them."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from tickover.workshop.people.models import Person
from tickover.workshop.people.permission import Right, may, require
from tickover.workshop.programme import bulletin_actions, bulletins, decisions
from tickover.workshop.programme.actions import ProgrammeError
from tickover.workshop.programme.bulletin_actions import BulletinWords, Compliance
from tickover.workshop.programme.models import Bulletin, BulletinDone
from tickover.workshop.register import queries as register
from tickover.workshop.web.programme.forms import BulletinForm, ComplianceForm
from tickover.workshop.web.programme.views import engine_or_404
from tickover.workshop.web.rejection import refusals_shown, show_rejection


@require_GET
def all_bulletins(request: HttpRequest) -> HttpResponse:
    """Every bulletin, and on how many engines it is still open."""
    person = require(request, Right.VIEW)
    lines = bulletins.lines(register.engines(), timezone.localdate())
    titles = {sheet.id: sheet.title for sheet in decisions.sheets_kept()}
    rows = [
        (b, titles.get(b.sheet_id, b.sheet_id), [x for x in lines if x.bulletin.pk == b.pk])
        for b in bulletins.bulletins_in_force()
    ]
    context = {
        "rows": [(b, title, sum(x.open for x in on), len(on)) for b, title, on in rows],
        "open": sum(x.open for x in lines),
        "cancelled": bulletins.cancelled(),
        "may_manage": may(person, Right.MANAGE),
    }
    return render(request, "programme/bulletins.html", context)


@require_GET
def new_bulletin(request: HttpRequest) -> HttpResponse:
    person = require(request, Right.VIEW)
    return _form_page(request, BulletinForm(), None, person)


@require_POST
def add_bulletin(request: HttpRequest) -> HttpResponse:
    who = require(request, Right.MANAGE)
    form = BulletinForm(request.POST)
    if form.is_valid():
        try:
            kept = bulletin_actions.add_bulletin(_words(form), who=who, at=timezone.now())
        except ProgrammeError as error:
            form.add_error(error.field, str(error))
        else:
            messages.info(request, f"{kept.identifier} saved.")
            return redirect("programme:bulletin", kept.entry_sequence)
    return _form_page(request, form, None, who)


@require_GET
def bulletin(request: HttpRequest, sequence: int) -> HttpResponse:
    """One bulletin: what it asks, and how it stands on each engine of its type."""
    person = require(request, Right.VIEW)
    found = _bulletin_or_404(sequence)
    lines = bulletins.lines(register.engines(), timezone.localdate())
    context = {
        "bulletin": found,
        "lines": [line for line in lines if line.bulletin.pk == found.pk],
        "newer": getattr(found, "replaced_by", None),
        "sheet": register.newest_sheet(found.sheet_id),
        "may_manage": may(person, Right.MANAGE),
    }
    return render(request, "programme/bulletin.html", context)


@require_GET
def edit_bulletin(request: HttpRequest, sequence: int) -> HttpResponse:
    person = require(request, Right.VIEW)
    found = _bulletin_or_404(sequence)
    return _form_page(request, BulletinForm(initial=vars(found)), found, person)


@require_POST
def revise_bulletin(request: HttpRequest, sequence: int) -> HttpResponse:
    who = require(request, Right.MANAGE)
    old = _bulletin_or_404(sequence)
    form = BulletinForm(request.POST)
    if form.is_valid():
        try:
            kept = bulletin_actions.revise_bulletin(old, _words(form), who=who, at=timezone.now())
        except ProgrammeError as error:
            form.add_error(error.field, str(error))
        else:
            return redirect("programme:bulletin", kept.entry_sequence)
    return _form_page(request, form, old, who)


@require_GET
def engine_bulletins(request: HttpRequest, serial: str) -> HttpResponse:
    """The bulletins of one engine: open, done, not applicable and why."""
    person = require(request, Right.VIEW)
    engine = engine_or_404(serial)
    lines = bulletins.lines([engine], timezone.localdate())
    context = {
        "engine": engine,
        "open": [line for line in lines if line.open],
        "closed": [line for line in lines if not line.open],
        "history": bulletins.history(engine),
        "outcomes": BulletinDone.Outcome.choices,
        "today": timezone.localdate(),
        "may_work": may(person, Right.WORK),
    }
    return render(request, "programme/engine_bulletins.html", context)


@require_POST
def record_bulletin(request: HttpRequest, serial: str, sequence: int) -> HttpResponse:
    who = require(request, Right.WORK)
    engine, found = engine_or_404(serial), _bulletin_or_404(sequence)
    form = ComplianceForm(request.POST)
    if not form.is_valid():
        show_rejection(request, "Choose the outcome and its day, and type how or why. Nothing was saved.")
        return redirect("programme:engine-bulletins", serial)
    with refusals_shown(request):
        given = Compliance(**form.cleaned_data)
        bulletin_actions.record_bulletin(found, engine, given, who=who, at=timezone.now())
    return redirect("programme:engine-bulletins", serial)


def _words(form: BulletinForm) -> BulletinWords:
    return BulletinWords(**{**form.cleaned_data, "builds": tuple(form.cleaned_data["builds"])})


def _bulletin_or_404(sequence: int) -> Bulletin:
    found = bulletins.by_sequence(sequence)
    if found is None:
        raise Http404("No bulletin is kept under this journal entry.")
    return found


def _form_page(
    request: HttpRequest, form: BulletinForm, old: Bulletin | None, person: Person
) -> HttpResponse:
    context: dict[str, Any] = {"form": form, "old": old, "may_manage": may(person, Right.MANAGE)}
    return render(request, "programme/bulletin_form.html", context, status=422 if form.errors else 200)
