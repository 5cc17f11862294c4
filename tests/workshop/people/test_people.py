"""Who signs in, how, and who may do what."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.contrib.messages import get_messages
from django.test import Client
from django.utils import timezone

from tickover.workshop.people import actions, queries
from tickover.workshop.people.models import SignInLink
from tickover.workshop.people.permission import Right, may

PASSWORD = "a-long-enough-password"

pytestmark = pytest.mark.usefixtures("verified", "shop")


def said(response: Any) -> str:
    return " ".join(str(m) for m in get_messages(response.wsgi_request))


def signed_in_as(client: Client) -> str | None:
    from tickover.workshop.people.models import Person

    pk = client.session.get("_auth_user_id")
    return Person.objects.get(pk=pk).username if pk else None


def test_rights_go_by_role_and_releasing_by_authority(crew: Any, now: datetime) -> None:
    rights = {
        person.role: {r for r in Right if may(person, r)}
        for person in (crew.technician, crew.inspector, crew.manager)
    }
    bench = {Right.VIEW, Right.WORK, Right.CONFIRM, Right.RELEASE}
    assert rights == {
        "technician": bench,
        "inspector": bench | {Right.DECIDE, Right.EDIT_TYPE_SHEETS},
        "manager": {Right.VIEW, Right.WORK, Right.MANAGE, Right.EDIT_TYPE_SHEETS},
    }
    apprentice = actions.add_person(actions.NewPerson("pip", "Pip", "Arden", "technician"), at=now)
    assert not may(apprentice, Right.RELEASE) and may(apprentice, Right.CONFIRM)


def test_those_who_may_confirm_leave_out_the_doer_and_the_manager(crew: Any) -> None:
    assert queries.who_may_confirm(other_than={crew.technician.pk}) == [crew.inspector]


def test_a_person_without_a_password_cannot_sign_in_by_one(now: datetime) -> None:
    person = actions.add_person(actions.NewPerson("pip", "Pip", "Arden", "technician"), at=now)
    assert not person.has_usable_password()


def test_name_and_password_sign_in(client: Client) -> None:
    answer = client.post("/sign-in/", {"username": "tilda", "password": PASSWORD, "next": "/visits/"})
    assert (answer.status_code, answer["Location"]) == (302, "/visits/")
    assert signed_in_as(client) == "tilda"


def test_a_wrong_password_does_not(client: Client) -> None:
    answer = client.post("/sign-in/", {"username": "tilda", "password": "wrong"})
    assert answer.status_code == 200
    assert "do not belong together" in answer.content.decode()
    assert signed_in_as(client) is None


def test_after_many_wrong_passwords_the_right_one_waits_too(client: Client, settings: Any) -> None:
    for _ in range(settings.AXES_FAILURE_LIMIT):
        client.post("/sign-in/", {"username": "tilda", "password": "wrong"})
    client.post("/sign-in/", {"username": "tilda", "password": PASSWORD})
    assert signed_in_as(client) is None


@pytest.mark.parametrize(
    "elsewhere",
    ["https://elsewhere.example/", "//elsewhere.example", "javascript:alert(1)", "/\\elsewhere.example"],
)
def test_signing_in_leads_nowhere_else(client: Client, elsewhere: str) -> None:
    answer = client.post("/sign-in/", {"username": "tilda", "password": PASSWORD, "next": elsewhere})
    assert (answer.status_code, answer["Location"]) == (302, "/")


def test_a_link_signs_in_once(client: Client, crew: Any) -> None:
    token = actions.make_sign_in_link(crew.technician, at=timezone.now())
    assert client.get(f"/sign-in/{token}/")["Location"] == "/"
    assert signed_in_as(client) == "tilda"
    other = Client()
    again = other.get(f"/sign-in/{token}/")
    assert again["Location"] == "/sign-in/" and "used already" in said(again)
    assert signed_in_as(other) is None


def test_a_link_that_is_too_old_signs_nobody_in(client: Client, crew: Any) -> None:
    token = actions.make_sign_in_link(crew.technician, at=timezone.now() - timedelta(minutes=61))
    assert client.get(f"/sign-in/{token}/")["Location"] == "/sign-in/"
    assert signed_in_as(client) is None


def test_a_link_is_kept_as_its_hash_only(crew: Any) -> None:
    token = actions.make_sign_in_link(crew.technician, at=timezone.now())
    assert token not in str(list(SignInLink.objects.values()))


def test_a_person_who_left_is_not_signed_in_by_a_link(client: Client, crew: Any) -> None:
    token = actions.make_sign_in_link(crew.technician, at=timezone.now())
    actions.change_person(crew.technician, {"is_active": False}, "has left", actor="maud", at=timezone.now())
    answer = client.get(f"/sign-in/{token}/")
    assert answer["Location"] == "/sign-in/" and signed_in_as(client) is None
    assert client.get("/")["Location"].startswith("/sign-in/")


def test_signing_out_ends_it(signed_in: Callable[..., Client], crew: Any) -> None:
    client = signed_in(crew.technician)
    assert client.post("/sign-out/")["Location"] == "/sign-in/"
    assert signed_in_as(client) is None


def test_in_the_demo_one_may_go_on_as_another(signed_in: Callable[..., Client], crew: Any) -> None:
    actions.set_up_workshop("Test Bench", "", is_demo=True, works_alone=False, at=timezone.now())
    client = signed_in(crew.technician)
    answer = client.post("/change-person/", {"username": "ingo", "next": "/visits/"})
    assert (answer["Location"], signed_in_as(client)) == ("/visits/", "ingo")
    assert client.post("/change-person/", {"username": "nobody"}).status_code == 404


def test_outside_the_demo_one_may_not(signed_in: Callable[..., Client], crew: Any) -> None:
    client = signed_in(crew.technician)
    answer = client.post("/change-person/", {"username": "ingo"})
    assert "only for the demo" in said(answer)
    assert signed_in_as(client) == "tilda"


def test_nobody_changes_person_without_being_one(client: Client) -> None:
    actions.set_up_workshop("Test Bench", "", is_demo=True, works_alone=False, at=timezone.now())
    assert client.post("/change-person/", {"username": "ingo"})["Location"].startswith("/sign-in/")
    assert signed_in_as(client) is None
