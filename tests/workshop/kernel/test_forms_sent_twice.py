"""One form is one entry: sent again it shows the first result; an equal entry is asked about first."""

from __future__ import annotations

import re
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import IntegrityError
from django.test import Client
from django.utils import timezone

import tickover.workshop
from tests.conftest import PASSWORD
from tickover.workshop.engine_time import actions as time_actions
from tickover.workshop.engine_time import meter_actions
from tickover.workshop.kernel import idempotency
from tickover.workshop.kernel.models import Entry, FormKey
from tickover.workshop.register.models import EngineTimeEntry
from tickover.workshop.visits import actions as visit_actions
from tickover.workshop.web import idempotency_middleware as answers

pytestmark = pytest.mark.usefixtures("verified")

TEMPLATES = sorted(Path(tickover.workshop.__file__).parent.rglob("*.html"))
BEGIN = re.compile(r"""<form\b[^>]*\bmethod=["']?post\b""", re.I)
WHOLE = re.compile(BEGIN.pattern + r".*?</form>", re.I | re.S)
HOURS = {"hours_h": "1.5", "sd_h": "0.1", "on_day": "2025-05-05", "grade": "log entry", "method": "log"}
ENGINE = "/engines/1200/"
KEY = "k" * 22


@pytest.fixture
def page(signed_in: Any, crew: Any, outer: Any) -> Client:
    client = signed_in(crew.technician)
    assert isinstance(client, Client)
    return client


@pytest.fixture
def enter(page: Client) -> Any:
    """Send the form of typed hours."""

    def send(key: str = KEY, **more: str) -> Any:
        given = {**HOURS, "form_key": key, **more}
        return page.post(f"{ENGINE}hours/", given, headers={"Referer": f"http://testserver{ENGINE}"})

    return send


def entered() -> int:
    return EngineTimeEntry.objects.count()


def test_every_form_that_posts_carries_a_key() -> None:
    texts = {path.name: path.read_text(encoding="utf-8") for path in TEMPLATES}
    whole = [(name, block) for name, text in texts.items() for block in WHOLE.findall(text)]
    assert len(whole) == sum(len(BEGIN.findall(text)) for text in texts.values()) > 80
    assert [name for name, block in whole if block.count("{% csrf_token %}") != 1] == []


def test_each_form_of_a_page_has_a_key_of_its_own(page: Client) -> None:
    text = page.get(ENGINE).content.decode()
    keys = re.findall(r'name="form_key" value="([A-Za-z0-9_-]{22})"', text)
    assert len(keys) == len(set(keys)) == text.count("csrfmiddlewaretoken") > 5


def test_hours_sent_twice_are_entered_once(page: Client, enter: Any) -> None:
    first, second = enter(), enter()
    assert (entered(), second.status_code, second.url) == (1, 302, first.url)
    said = [str(m) for m in page.get(second.url).context["messages"]]
    assert len(said) == 1 and re.fullmatch(
        r"This form was saved at \d\d:\d\d already\. It was not saved again\.", said[0]
    )


def test_another_form_is_another_entry(enter: Any) -> None:
    enter()
    assert enter("l" * 22, hours_h="1.6").status_code == 302
    assert entered() == 2


def test_a_form_that_was_refused_can_be_put_right_and_sent_again(enter: Any) -> None:
    assert enter(on_day="2999-01-01").status_code == 422
    assert enter(hours_h="-1").status_code == 422
    assert not FormKey.objects.exists()
    assert enter().status_code == 302
    assert entered() == 1


@pytest.mark.parametrize("key", ["", "short", "k" * 23, "k" * 21 + "é", "' OR 1=1 --" * 9])
def test_a_form_without_a_key_of_ours_is_entered_and_claims_nothing(enter: Any, key: str) -> None:
    assert enter(key).status_code == 302
    assert (entered(), FormKey.objects.count()) == (1, 0)


def test_a_second_arrival_before_the_first_is_answered_goes_back_to_the_page_of_the_form(
    enter: Any, monkeypatch: Any
) -> None:
    monkeypatch.setattr(answers, "WAIT_S", 0.0)
    FormKey.objects.create(key=KEY, arrival="another", at=timezone.now())
    assert (enter().url, entered()) == (ENGINE, 0)


def test_a_second_arrival_never_leads_to_another_site(page: Client, monkeypatch: Any) -> None:
    monkeypatch.setattr(answers, "WAIT_S", 0.0)
    FormKey.objects.create(key=KEY, arrival="another", at=timezone.now())
    given = {**HOURS, "form_key": KEY}
    sent = page.post(f"{ENGINE}hours/", given, headers={"Referer": "https://elsewhere.example/engines/"})
    assert (sent.status_code, sent.url) == (302, "/")


def test_a_script_that_sends_twice_is_told_where_the_first_led(page: Client) -> None:
    given = {**HOURS, "form_key": KEY}
    page.post(f"{ENGINE}hours/", given)
    again = page.post(f"{ENGINE}hours/", given, headers={"X-Sent-By": "script"})
    assert (again.status_code, again.headers["Location"]) == (201, ENGINE)


def test_a_key_is_forgotten_after_a_week(enter: Any) -> None:
    now = timezone.now()
    kept, gone = now - idempotency.KEPT + timedelta(hours=1), now - idempotency.KEPT - timedelta(hours=1)
    FormKey.objects.create(key="kept", arrival="a", at=kept)
    FormKey.objects.create(key="gone", arrival="a", at=gone)
    enter()
    assert sorted(FormKey.objects.values_list("key", flat=True)) == ["kept", KEY]


def test_an_equal_entry_is_asked_about_and_entered_when_confirmed(page: Client, enter: Any) -> None:
    enter()
    asked = enter("l" * 22)
    question = "Already entered: 1.5 h on 5 May 2025, by Tilda Reeve. Enter again?"
    assert (asked.status_code, asked.context["question"], entered()) == (409, question, 1)
    text = asked.content.decode()
    typed = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)">', text))
    assert {name: typed[name] for name in HOURS} == HOURS
    assert f'action="{ENGINE}hours/"' in text and f'href="{ENGINE}">Go back' in text
    confirmed = page.post(f"{ENGINE}hours/", {**typed, "again": "yes"})
    assert (confirmed.status_code, entered()) == (302, 2)
    assert page.post(f"{ENGINE}hours/", {**typed, "again": "yes"}).status_code == 302
    assert entered() == 2


@pytest.mark.parametrize(
    "other", [{"hours_h": "1.6"}, {"on_day": "2025-05-04"}], ids=["another time", "another day"]
)
def test_hours_that_differ_are_not_asked_about(enter: Any, other: dict[str, str]) -> None:
    enter()
    assert enter("l" * 22, **other).status_code == 302
    assert entered() == 2


def test_hours_that_were_withdrawn_are_not_asked_about(enter: Any, crew: Any, now: Any) -> None:
    enter()
    time_actions.withdraw(EngineTimeEntry.objects.get(), "wrong engine", who=crew.technician, at=now)
    assert enter("l" * 22).status_code == 302


def test_the_same_meter_reading_is_asked_about(page: Client, outer: Any, crew: Any) -> None:
    given = {"value_h": "12.3", "read_at": "2025-05-05T08:00", "meter": "engine meter"}
    assert page.post(f"{ENGINE}meter/", given).status_code == 302
    asked = page.post(f"{ENGINE}meter/", {**given, "read_at": "2025-05-05T08:30"})
    assert asked.status_code == 409
    assert asked.context["question"] == (
        "Already entered: 12.3 h on the meter on 5 May 2025, by Tilda Reeve. Enter again?"
    )
    assert page.post(f"{ENGINE}meter/", {**given, "read_at": "2025-05-06T08:00"}).status_code == 302


def test_a_meter_is_replaced_on_the_day_of_its_last_reading_without_a_question(
    page: Client, outer: Any, crew: Any, now: Any
) -> None:
    reading = meter_actions.TypedMeterReading(12.3, now)
    meter_actions.read_meter(outer, reading, who=crew.technician, at=now)
    given = {"old_last_h": "12.3", "value_h": "0", "read_at": "2025-05-05T10:00", "meter": "second meter"}
    assert page.post(f"{ENGINE}meter/replace/", given).status_code == 302


def test_a_table_of_hours_asks_nothing_and_reports_each_line(page: Client, enter: Any) -> None:
    enter()
    head = "engine,date,hours,meter,sd,grade,remark"
    rows = [f"1200,2025-05-05,1.5,,,log entry,{flight}" for flight in ("second", "third")]
    table = "\n".join([head, *rows]).encode()
    sent = page.post(
        "/hours-from-a-table/enter/",
        {"table": SimpleUploadedFile("hours.csv", table), "form_key": KEY[1:] + "t"},
    )
    assert (sent.status_code, sent.context["entered"]) == (200, 2), sent.context["report"]


def test_an_entry_that_no_form_made_is_never_asked_about(outer: Any, crew: Any, now: Any) -> None:
    for _ in range(2):
        typed = time_actions.TypedHours(1.5, 0.1, date(2025, 5, 5), "log entry", "log")
        time_actions.enter_hours(outer, typed, who=crew.technician, at=now)
    assert entered() == 2


@pytest.mark.parametrize(
    ("address", "given", "kind"),
    [
        ("kit/", {"lot": "L-7"}, "kit noted"),
        ("remark/", {"text": "The stud turns."}, "remark"),
    ],
)
def test_forms_of_a_job_are_entered_once_and_asked_about(
    page: Client, hands: Any, outer: Any, address: str, given: dict[str, str], kind: str
) -> None:
    job = hands.open(outer, "diaphragm-service")
    for key, status, count in (("a", 302, 1), ("a", 302, 1), ("b", 409, 1)):
        sent = page.post(f"/visits/{job.number}/{address}", {**given, "form_key": key * 22})
        assert (sent.status_code, Entry.objects.filter(kind=kind).count()) == (status, count)
    sent = page.post(f"/visits/{job.number}/{address}", {**given, "form_key": "c" * 22, "again": "yes"})
    assert (sent.status_code, Entry.objects.filter(kind=kind).count()) == (302, 2)


def test_a_complaint_and_a_defect_of_the_same_day_are_asked_about(page: Client, crew: Any) -> None:
    complaint = {"complaint": "It will not start."}
    defect = {
        "what": "Scratch in the spinner",
        "why_it_may_wait": "cosmetic",
        "until_on": (timezone.localdate() + timedelta(days=20)).isoformat(),
        "accepted_by": crew.inspector.username,
        "password": PASSWORD,
    }
    for address, given in (
        ("/fault-finding/on/1200/new/", complaint),
        ("/engines/1200/defects/new/", defect),
    ):
        assert page.post(address, given).status_code == 302, address
        asked = page.post(address, given)
        assert asked.status_code == 409 and "Already entered:" in asked.context["question"], address
        assert PASSWORD not in asked.content.decode()
        assert ('type="password"' in asked.content.decode()) is ("password" in given)


def test_what_only_the_database_refuses_ends_in_a_sentence(page: Client, monkeypatch: Any) -> None:
    def two_at_once(*_: Any, **__: Any) -> None:
        raise IntegrityError("UNIQUE constraint failed")

    monkeypatch.setattr(time_actions, "enter_hours", two_at_once)
    sent = page.post(f"{ENGINE}hours/", {**HOURS, "form_key": KEY})
    assert sent.status_code == 409
    assert "Yours was not saved" in sent.content.decode()


def test_a_job_opened_twice_by_one_form_leads_to_that_job(page: Client) -> None:
    address = "/engines/1200/tasks/flange-check/open-job/"
    first, second = (page.post(address, {"form_key": KEY}) for _ in range(2))
    assert first.url == second.url
    assert visit_actions.Job.objects.count() == 1
