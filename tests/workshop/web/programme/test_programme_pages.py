"""The programme's own pages: for whom each opens, by which method, and that strangers write nothing."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from django.test import Client

from tickover.workshop.kernel.models import Entry
from tickover.workshop.programme import actions
from tickover.workshop.programme.bulletin_actions import BulletinWords, add_bulletin
from tickover.workshop.web.programme import urls

pytestmark = pytest.mark.usefixtures("verified")

ELSEWHERE = {"today", "engines", "task", "agree"}
"""Looked at in test_pages and test_agreed_days; `calendar` is read without signing in, see test_feed."""
LOOKS = {
    "engines-csv": "/engines.csv",
    "engines-json": "/engines.json",
    "weeks": "/weeks/",
    "bulletins": "/bulletins/",
    "new-bulletin": "/bulletins/new/",
    "bulletin": "/bulletins/{bulletin}/",
    "edit-bulletin": "/bulletins/{bulletin}/edit/",
    "engine-bulletins": "/engines/1200/bulletins/",
    "settings": "/programme/",
    "hours-known": "/engines/1200/hours-known/",
    "feed": "/engines/1200/feed/",
    "reminders": "/reminders/",
    "reminder": "/reminders/{owner}/",
}
WRITES = {
    "add-bulletin": "/bulletins/add/",
    "revise-bulletin": "/bulletins/{bulletin}/revise/",
    "record-bulletin": "/engines/1200/bulletins/{bulletin}/record/",
    "set-anchor": "/programme/{sheet}/anchor/",
    "note-hours": "/engines/1200/hours-known/note/",
    "record-baseline": "/engines/1200/hours-known/baseline/",
    "make-feed": "/engines/1200/feed/make/",
    "withdraw-feed": "/engines/1200/feed/{feed}/withdraw/",
    "send-reminder": "/reminders/{owner}/send/",
}
GIVEN = {"reason": "x", "words": "x", "outcome": "done", "done_on": "2025-05-01", "anchor": "actual"}
Place = Callable[[str], str]


@pytest.fixture
def place(outer: Any, crew: Any, now: Any) -> Place:
    words = BulletinWords(
        identifier="AO-1",
        issued_by="An office",
        title="Lever",
        sheet_id=outer.sheet_id,
        issued_on=date(2025, 3, 1),
        method="Measure it.",
    )
    bulletin = add_bulletin(words, who=crew.manager, at=now).entry_sequence
    feed = actions.make_feed(engine=outer, who=crew.technician, at=now)[0].entry_sequence
    there = {"bulletin": bulletin, "feed": feed, "owner": outer.owner_id, "sheet": outer.sheet_id}
    return lambda address: address.format(**there)


@pytest.fixture
def technician(signed_in: Callable[..., Client], crew: Any) -> Client:
    return signed_in(crew.technician)


def test_these_tests_know_every_address_of_the_programme() -> None:
    names = {pattern.name for pattern in urls.urlpatterns}
    assert names == ELSEWHERE | {"calendar"} | set(LOOKS) | set(WRITES)


@pytest.mark.parametrize("name", LOOKS)
def test_a_page_opens_for_a_technician(place: Place, technician: Client, name: str) -> None:
    answer = technician.get(place(LOOKS[name]))
    assert answer.status_code == 200
    if not name.startswith("engines-"):
        page = answer.content.decode()
        assert page.count("<h1") == 1 and "style=" not in page and "{{" not in page


@pytest.mark.parametrize("name", LOOKS)
def test_a_page_leads_a_stranger_to_sign_in(place: Place, client: Client, name: str) -> None:
    answer = client.get(place(LOOKS[name]))
    assert answer.status_code == 302 and answer["Location"].startswith("/sign-in/?next=%2F")


@pytest.mark.parametrize("name", WRITES)
def test_a_form_from_a_stranger_writes_nothing(place: Place, client: Client, name: str) -> None:
    address, before = place(WRITES[name]), Entry.objects.count()
    answer = client.post(address, GIVEN)
    assert (answer.status_code, answer["Location"]) == (302, "/sign-in/?next=%2F")
    assert Entry.objects.count() == before


@pytest.mark.parametrize("name", [*LOOKS, *WRITES])
def test_the_wrong_method_is_refused(place: Place, technician: Client, name: str) -> None:
    if name in LOOKS:
        assert technician.post(place(LOOKS[name])).status_code == 405
    else:
        assert technician.get(place(WRITES[name])).status_code == 405


@pytest.mark.parametrize("name", ["add-bulletin", "revise-bulletin", "set-anchor"])
def test_what_a_manager_decides_is_not_for_a_technician(place: Place, technician: Client, name: str) -> None:
    answer = technician.post(place(WRITES[name]), GIVEN)
    assert answer.status_code == 403
    assert "Tilda Reeve, technician, may not manage the workshop." in answer.content.decode()


@pytest.mark.parametrize(
    "address",
    [
        "/engines/9999/bulletins/",
        "/engines/9999/feed/",
        "/engines/9999/hours-known/",
        "/bulletins/999999/",
        "/bulletins/99999999999999999999999/",
        "/reminders/99999999999999999999999/",
    ],
)
def test_what_is_not_there_is_told_so(place: Place, technician: Client, address: str) -> None:
    assert technician.get(address).status_code == 404


@pytest.mark.parametrize("text", ["\u202e", "<script>alert(1)</script>", "'; DROP TABLE journal_entry; --"])
def test_odd_text_breaks_nothing(place: Place, technician: Client, text: str) -> None:
    odd = {**GIVEN, "reason": text, "words": text, "to": text, "title": text, "text": text}
    for address in WRITES.values():
        assert technician.post(place(address), odd).status_code in (200, 302, 403, 422)
    for address in LOOKS.values():
        page = technician.get(place(address), {"q": text, "hours": text}).content.decode()
        assert "<script>alert" not in page or address.startswith("/engines.")


def test_the_list_of_a_fleet_costs_few_questions_to_the_database(
    place: Place, technician: Client, inner: Any, django_assert_max_num_queries: Callable[..., Any]
) -> None:
    for address in ("/weeks/", "/reminders/", "/bulletins/", "/engines.csv"):
        with django_assert_max_num_queries(22):
            technician.get(address)
