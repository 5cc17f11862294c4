"""Pages of fault-finding: for whom each opens, by which method, what they say and what they write."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

import pytest
from django.contrib.messages import get_messages
from django.test import Client

from tickover.workshop.fault_finding import actions, queries
from tickover.workshop.fault_finding.models import Session
from tickover.workshop.kernel.models import Entry
from tickover.workshop.web.fault_finding import urls

pytestmark = pytest.mark.usefixtures("verified")

HERE = "/fault-finding/2025-0001/"
LOOKS = {
    "sessions": "/fault-finding/",
    "of-engine": "/fault-finding/on/1200/",
    "start": "/fault-finding/on/1200/new/",
    "session": HERE,
    "suspect": f"{HERE}suspects/intake-leak/",
    "paper": f"{HERE}fault-finding.pdf",
    "what-it-was": "/fault-finding/what-it-was/",
}
WRITES: dict[str, tuple[str, dict[str, str]]] = {
    "answer": (f"{HERE}answer/", {"item": "louder", "state": "seen", "words": "much"}),
    "take-back": (f"{HERE}take-back/", {"answer": "{last}"}),
    "note-open": (f"{HERE}open/", {"opened": "plug-out"}),
    "photographed": (
        f"{HERE}photographed/",
        {"item": "lever-height-test", "how": "elsewhere", "words": "in Ingo’s folder"},
    ),
    "weigh": (f"{HERE}weigh/", {"ground": "{ground}", "factor": "3.0"}),
    "cured": (f"{HERE}cured/", {"cured": "yes"}),
    "use-record": (f"{HERE}record/", {"rests_on": "reading/1", "item": "compression", "counts": "yes"}),
    "rule-out": (f"{HERE}rule-out/", {"cause": "intake-leak"}),
    "confirm": (f"{HERE}confirm/", {"cause": "intake-leak", "how": "seen"}),
    "end": (f"{HERE}end/", {"kind": "not found"}),
    "take-up": (f"{HERE}take-up/", {"words": "still there"}),
}
START = "/fault-finding/on/1200/new/"
ONLY_ANSWERS = {"use-record", "take-up", "cured"}
"""Refused with a sentence while the session is open and no reading is on offer."""


@pytest.fixture
def session(outer: Any, crew: Any, now: Any) -> Session:
    new = actions.NewSession("It hunts <b>badly</b> & won't settle", seen=["idle-races"])
    return actions.start(outer, new, who=crew.technician, at=now)


@pytest.fixture
def technician(signed_in: Callable[..., Client], crew: Any) -> Client:
    return signed_in(crew.technician)


def _data(name: str, session: Session) -> dict[str, str]:
    sheet = queries.session_sheet(session)
    last, ground = sheet.last.pk if sheet.last else 0, sheet.weightings[0].ground
    return {key: value.format(last=last, ground=ground) for key, value in WRITES[name][1].items()}


def test_these_tests_know_every_address() -> None:
    assert {pattern.name for pattern in urls.urlpatterns} == LOOKS.keys() | WRITES.keys()


@pytest.mark.parametrize("name", LOOKS)
def test_a_page_opens_for_a_technician(session: Session, technician: Client, name: str) -> None:
    answer = technician.get(LOOKS[name])
    if name == "paper":
        assert answer.status_code == 200 and answer.content.startswith(b"%PDF-")
        return
    page = answer.content.decode()
    assert answer.status_code == 200 and page.count("<h1") == 1
    assert "style=" not in page and "{{" not in page and "{%" not in page
    assert "<b>badly" not in page


@pytest.mark.parametrize("name", [*LOOKS, *WRITES])
def test_a_stranger_is_led_to_sign_in_and_writes_nothing(session: Session, client: Client, name: str) -> None:
    before = Entry.objects.count()
    answer = client.get(LOOKS[name]) if name in LOOKS else client.post(WRITES[name][0], _data(name, session))
    assert answer.status_code == 302 and answer["Location"].startswith("/sign-in/")
    assert Entry.objects.count() == before


@pytest.mark.parametrize("name", WRITES)
def test_a_write_is_only_posted(session: Session, technician: Client, name: str) -> None:
    assert technician.get(WRITES[name][0]).status_code == 405


@pytest.mark.parametrize("name", WRITES)
def test_a_write_comes_back_to_the_session(session: Session, technician: Client, name: str) -> None:
    before = Entry.objects.count()
    answer = technician.post(WRITES[name][0], _data(name, session))
    assert answer.status_code == 302 and answer["Location"].startswith(HERE)
    assert (Entry.objects.count() > before) is (name not in ONLY_ANSWERS)
    assert bool(list(get_messages(answer.wsgi_request))) is (name in ONLY_ANSWERS)


@pytest.mark.parametrize("name", [*LOOKS, *WRITES])
def test_a_person_who_may_only_look_writes_nothing(
    session: Session,
    technician: Client,
    monkeypatch: pytest.MonkeyPatch,
    crew: Any,
    name: str,
) -> None:
    from tickover.workshop.people import permission

    monkeypatch.setitem(permission.RIGHTS, crew.technician.role, frozenset({permission.Right.VIEW}))
    before = Entry.objects.count()
    if name in LOOKS:
        answer = technician.get(LOOKS[name])
        assert answer.status_code == (403 if name == "start" else 200)
        assert f'action="{HERE}'.encode() not in answer.content
    else:
        assert technician.post(WRITES[name][0], _data(name, session)).status_code == 403
    assert Entry.objects.count() == before


@pytest.mark.parametrize(
    "path", ["/fault-finding/2025-0099/", "/fault-finding/on/9/", "/fault-finding/on/9/new/"]
)
def test_what_is_not_there_is_said(session: Session, technician: Client, path: str) -> None:
    assert technician.get(path).status_code == 404


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("answer", {"item": "moon-phase", "state": "seen"}),
        ("note-open", {"opened": "bonnet"}),
        ("photographed", {"item": "../x", "how": "without", "words": "x"}),
        ("weigh", {"ground": "moon", "factor": "2"}),
        ("weigh", {"ground": "moon", "factor": "much"}),
        ("rule-out", {"cause": "gremlin"}),
        ("confirm", {"cause": "gremlin"}),
    ],
)
def test_ids_that_this_build_does_not_have_are_not_found(
    session: Session, technician: Client, name: str, data: dict[str, str]
) -> None:
    before = Entry.objects.count()
    assert technician.post(WRITES[name][0], data).status_code == 404
    assert Entry.objects.count() == before


@pytest.mark.parametrize("typed", ["", "x", "9" * 30, "-1"])
def test_taking_back_nonsense_changes_nothing(session: Session, technician: Client, typed: str) -> None:
    before = Entry.objects.count()
    technician.post(WRITES["take-back"][0], {"answer": typed})
    assert Entry.objects.count() == before


def test_the_words_of_the_complaint_propose_findings_and_ticking_starts(
    outer: Any, technician: Client
) -> None:
    words = "Surging idle, and bubbles"
    page = technician.post(START, {"complaint": words, "propose": "yes"}).content.decode()
    assert "Which of these is it?" in page and not Session.objects.exists()
    assert page.index('name="look-idle-races"') < page.index("All other findings")
    ticks = {"look-idle-races": "seen", "look-bubbles-in-line": "not there"}
    answer = technician.post(START, {"complaint": words, **ticks}, follow=True)
    sheet = queries.session_sheet(Session.objects.get())
    assert sheet.session.complaint == words
    assert (sheet.evidence.seen, sheet.evidence.absent) == ({"idle-races"}, {"bubbles-in-line"})
    assert '<p class="answer">Next' in answer.content.decode()


def test_without_a_complaint_nothing_starts(outer: Any, technician: Client) -> None:
    answer = technician.post(START, {"complaint": "  "})
    assert answer.status_code == 422 and "Nothing was started" in answer.content.decode()
    assert not Session.objects.exists()


def test_danger_is_the_first_thing_on_the_page(session: Session, technician: Client, crew: Any) -> None:
    technician.post(WRITES["answer"][0], {"item": "propeller-cracked", "state": "seen"})
    page = technician.get(HERE).content.decode()
    assert page.index("Stop: Do not run it. Propeller off") < page.index("Then next")


@pytest.mark.parametrize(
    "item", ["fuel-smell", "drips-at-rest", "propeller-cracked", "cht-high", "plug-light-or-metal"]
)
def test_fuel_propeller_heat_and_metal_stop_before_anything_else(
    session: Session, technician: Client, item: str
) -> None:
    technician.post(WRITES["answer"][0], {"item": item, "state": "seen"})
    page = technician.get(HERE).content.decode()
    answer = page[page.index('<p class="answer') :]
    assert answer.startswith('<p class="answer signal">Stop: ')
    assert "No checks with the engine running until then" in page


def test_a_look_is_found_by_words(session: Session, technician: Client) -> None:
    page = technician.get(HERE, {"words": "bubbles"}).content.decode()
    assert 'value="bubbles"' in page and page.count('href="?look=bubbles-in-line"') >= 1
    assert "No check has these words" in technician.get(HERE, {"words": "qqq"}).content.decode()


def test_what_a_record_counts_is_altered_on_the_page(session: Session, technician: Client) -> None:
    ground = queries.session_sheet(session).weightings[0].ground
    technician.post(WRITES["weigh"][0], {"ground": ground, "factor": "1.0", "why": "Done by the owner"})
    page = technician.get(HERE).content.decode()
    assert "Not used" in page and "Done by the owner" in page


def test_with_nothing_looked_at_the_page_says_that_these_are_priors(
    outer: Any, technician: Client, crew: Any, now: Any
) -> None:
    actions.start(outer, actions.NewSession("Odd"), who=crew.technician, at=now)
    page = technician.get(HERE).content.decode()
    assert "Nothing checked yet. This is only how common each cause is" in page


def test_an_ended_session_offers_its_job_and_no_more_answers(session: Session, technician: Client) -> None:
    technician.post(WRITES["confirm"][0], WRITES["confirm"][1])
    page = technician.get(HERE).content.decode()
    job = queries.session_sheet(session).outcome.job
    assert f"Open visit {job.number}" in page and 'name="state"' not in page
    assert "Fault finding 2025-0001" in technician.get("/engines/1200/").content.decode()


def test_a_comeback_is_linked_both_ways(session: Session, technician: Client) -> None:
    technician.post(WRITES["end"][0], WRITES["end"][1])
    technician.post(START, {"complaint": "Back again", "after": "session/2025-0001"})
    (back,) = queries.comebacks_of(session)
    assert f"/fault-finding/{back.number}/" in technician.get(HERE).content.decode()
    assert "Came back after" in technician.get(f"/fault-finding/{back.number}/").content.decode()


def test_a_page_takes_less_than_a_tenth_of_a_second_after_an_answer(
    session: Session, technician: Client
) -> None:
    technician.get(HERE)
    took = []
    for state in ("not there", "seen") * 4:  # the best of eight: a busy machine slows each
        technician.post(WRITES["answer"][0], {"item": "bubbles-in-line", "state": state})
        begun = time.process_time()
        technician.get(HERE)
        took.append(time.process_time() - begun)
    assert min(took) < 0.1, took
