"""Sign in by name and password or by a link good once; in the demo, change to another person."""

from django.contrib import messages
from django.contrib.auth import authenticate, login, logout
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from tickover.workshop.people import actions, queries
from tickover.workshop.people.models import Person
from tickover.workshop.people.permission import Right, require
from tickover.workshop.web.people.forms import ChangePersonForm, SignInForm

BACKEND = "django.contrib.auth.backends.ModelBackend"


@require_http_methods(["GET", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    form = SignInForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        person = authenticate(request, **form.cleaned_data)
        if person is not None:
            login(request, person)
            return redirect(_next(request))
        form.add_error(None, "This name and password do not belong together. Nothing was signed.")
    return render(request, "people/sign_in.html", {"form": form, "next": _next(request)})


@require_GET
def sign_in_by_link(request: HttpRequest, token: str) -> HttpResponse:
    person = actions.use_sign_in_link(token, at=timezone.now())
    if person is None:
        messages.error(
            request, "That link was used already, or is too old. Start tickover again for a new one."
        )
        return redirect("people:sign-in")
    login(request, person, backend=BACKEND)
    return redirect("programme:today")


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    logout(request)
    return redirect("people:sign-in")


@require_POST
def change_person(request: HttpRequest) -> HttpResponse:
    """Only in the demo: go on as another person, to see a second check from both sides."""
    require(request, Right.VIEW)
    if not queries.the_workshop().is_demo:
        messages.error(request, "Changing person without a password is only for the demo workshop.")
        return redirect("programme:today")
    person = get_object_or_404(Person, username=ChangePersonForm(request.POST).sent()["username"])
    login(request, person, backend=BACKEND)
    messages.info(request, f"You are now {person}, {person.role}.")
    return redirect(_next(request))


def _next(request: HttpRequest) -> str:
    wanted = next((w for d in (request.POST, request.GET) if (w := ChangePersonForm(d).sent()["next"])), "/")
    return wanted if url_has_allowed_host_and_scheme(wanted, {request.get_host()}) else "/"
