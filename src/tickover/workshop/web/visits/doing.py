"""From a request to a job and an action on it: what is not there is 404, what is refused is said."""

from __future__ import annotations

from collections.abc import Callable

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect

from tickover.workshop.people.models import Person
from tickover.workshop.visits import actions, queries
from tickover.workshop.visits.models import Job
from tickover.workshop.web.rejection import show_rejection


def job_of(number: str) -> Job:
    """The job with this number, or page 404."""
    found = queries.job_by_number(number)
    if found is None:
        raise Http404("There is no visit with this number.")
    return found


def sheet_of(number: str, person: Person) -> queries.JobSheet:
    """The same as it stands now, as this person may see it."""
    return queries.job_sheet(job_of(number), person)


def do(
    request: HttpRequest, number: str, step_id: str | None, action: Callable[[Job], object]
) -> HttpResponse:
    """Run an action; say what refused it; go back to where the person was."""
    try:
        action(job_of(number))
    except LookupError as error:
        raise Http404(str(error)) from error
    except actions.VisitError as error:
        show_rejection(request, str(error))
    return redirect("visits:step", number, step_id) if step_id else redirect("visits:job", number)
