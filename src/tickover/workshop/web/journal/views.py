"""The journal, newest first, and one entry in full."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from tickover.workshop.kernel import queries
from tickover.workshop.people.permission import Right, require
from tickover.workshop.visits import queries as visits
from tickover.workshop.web.journal.forms import EntriesForm

PAGE = 100


@require_GET
def journal(request: HttpRequest) -> HttpResponse:
    require(request, Right.VIEW)
    asked = EntriesForm(request.GET).sent()
    before = asked["before"]
    number = int(before) if before.isdecimal() and len(before) < 19 else None
    lines = queries.newest(PAGE, number, asked["subject"])
    older = lines[-1].sequence if len(lines) == PAGE else None
    context = {
        "lines": lines,
        "head": queries.head(),
        "older": older,
        "subject": asked["subject"],
    }
    return render(request, "journal/journal.html", context)


@require_GET
def entry(request: HttpRequest, sequence: int) -> HttpResponse:
    require(request, Right.VIEW)
    line = queries.one(sequence)
    if line is None:
        raise Http404("There is no entry with this number.")
    kept_back = line.subject.startswith("job/") and sequence in visits.kept_back()
    return render(request, "journal/entry.html", {"line": line, "kept_back": kept_back})
