"""What leaves the workshop for an owner: the calendar, its private addresses, and reminders."""

from __future__ import annotations

from smtplib import SMTPException

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST, require_safe

from tickover.workshop.people import queries as people
from tickover.workshop.people.permission import Right, may, require
from tickover.workshop.programme import actions, feed, reminders
from tickover.workshop.programme.actions import Letter, ProgrammeError
from tickover.workshop.programme.models import FeedAddress
from tickover.workshop.programme.reminders import OwnerLine
from tickover.workshop.register.models import Engine
from tickover.workshop.web.programme.forms import LetterForm, is_for_owner
from tickover.workshop.web.programme.views import engine_or_404


@require_safe
def calendar(request: HttpRequest, secret: str) -> HttpResponse:
    """The calendar itself. Calendars cannot sign in: who knows the address may read it."""
    address = feed.address_of(secret)
    if address is None:
        raise Http404("There is no calendar at this address.")
    now, planned = timezone.now(), feed.appointments(address, timezone.localdate())
    sent = actions.remember_dates(planned, at=now)
    text = feed.calendar(address, planned, sent, now)
    answer = HttpResponse(text, content_type="text/calendar; charset=utf-8")
    answer["Cache-Control"] = "private, max-age=3600"
    answer["X-Robots-Tag"] = "noindex"
    answer["Referrer-Policy"] = "no-referrer"
    return answer


@require_GET
def feeds(request: HttpRequest, serial: str) -> HttpResponse:
    """The calendar addresses in which an engine stands."""
    require(request, Right.VIEW)
    return _feeds_page(request, engine_or_404(serial))


@require_POST
def make_feed(request: HttpRequest, serial: str) -> HttpResponse:
    """Make an address and show it, this once."""
    who = require(request, Right.WORK)
    engine = engine_or_404(serial)
    if is_for_owner(request.POST):
        _, secret = actions.make_feed(owner=engine.owner, who=who, at=timezone.now())
    else:
        _, secret = actions.make_feed(engine=engine, who=who, at=timezone.now())
    shown = request.build_absolute_uri(reverse("programme:calendar", args=[secret]))
    return _feeds_page(request, engine, shown)


@require_POST
def withdraw_feed(request: HttpRequest, serial: str, sequence: int) -> HttpResponse:
    who = require(request, Right.WORK)
    engine = engine_or_404(serial)
    address = FeedAddress.objects.select_related("engine", "owner").filter(entry_sequence=sequence).first()
    if address is None or engine.pk not in {e.pk for e in feed.engines_of(address)}:
        raise Http404("This engine has no such calendar address.")
    try:
        actions.withdraw_feed(address, who=who, at=timezone.now())
        messages.info(request, "The address is withdrawn and no longer works.")
    except ProgrammeError as error:
        messages.error(request, str(error))
    return redirect("programme:feed", serial)


@require_GET
def all_reminders(request: HttpRequest) -> HttpResponse:
    """Every owner, with what comes up."""
    require(request, Right.VIEW)
    lines = reminders.owner_lines(timezone.localdate())
    context = {
        "lines": [o for o in lines if o.anything],
        "rest": [o for o in lines if not o.anything],
        "days": reminders.AHEAD.days,
    }
    return render(request, "programme/reminders.html", context)


@require_GET
def reminder(request: HttpRequest, owner_id: int) -> HttpResponse:
    """The letter to one owner, to copy or to mail."""
    require(request, Right.VIEW)
    return _reminder_page(request, _owner_or_404(owner_id), None)


@require_POST
def send_reminder(request: HttpRequest, owner_id: int) -> HttpResponse:
    who = require(request, Right.WORK)
    line = _owner_or_404(owner_id)
    form = LetterForm(request.POST)
    if not form.is_valid():
        return _reminder_page(request, line, form)
    try:
        actions.send_reminder(line.owner, Letter(**form.cleaned_data), who=who, at=timezone.now())
    except (OSError, SMTPException) as error:
        form.add_error(None, f"The mail server did not take it ({error}). Nothing was sent or recorded.")
        return _reminder_page(request, line, form)
    messages.info(request, f"Sent to {form.cleaned_data['to']}, and written into the journal.")
    return redirect("programme:reminder", owner_id)


def _owner_or_404(owner_id: int) -> OwnerLine:
    line = reminders.owner_line(owner_id, timezone.localdate())
    if line is None:
        raise Http404("There is no such owner with an engine here.")
    return line


def _reminder_page(request: HttpRequest, line: OwnerLine, form: LetterForm | None) -> HttpResponse:
    shop, person = people.the_workshop(), require(request, Right.VIEW)
    text = reminders.letter(line, shop, timezone.localdate())
    before = {"to": line.last.to if line.last else "", "title": reminders.title(line, shop), "text": text}
    context = {
        "line": line,
        "form": form or LetterForm(initial=before),
        "sent": reminders.sent_to(line.owner),
        "may_work": may(person, Right.WORK),
        "mails_for_real": reminders.mails_for_real(),
    }
    return render(request, "programme/reminder.html", context, status=422 if form else 200)


def _feeds_page(request: HttpRequest, engine: Engine, shown: str = "") -> HttpResponse:
    person = require(request, Right.VIEW)
    addresses = feed.addresses_for(engine)
    context = {
        "engine": engine,
        "shown": shown,
        "in_use": [a for a in addresses if not hasattr(a, "withdrawn")],
        "withdrawn": [a for a in addresses if hasattr(a, "withdrawn")],
        "may_work": may(person, Right.WORK),
    }
    answer = render(request, "programme/feed.html", context)
    answer["Cache-Control"] = "no-store"
    return answer
