"""Add an engine, and the table of its services: the page works, the wrong person, the wrong method, bad input."""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import date, datetime
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import get_resolver
from PIL import Image

from tickover.workshop.photos.models import Photo
from tickover.workshop.programme.models import TaskDone
from tickover.workshop.register.models import Engine

pytestmark = pytest.mark.usefixtures("verified")

ADD = "/add-engine/"
TABLE = "/engines/1310/last-done/"
TYPED = {
    "serial": "1310", "type": "velisk-185", "owner": "Nils Tarn", "hours_h": "230,5", "read_on": "2025-05-05",
    "grade": "log entry", "source": "logbook 1, page 34",
}  # fmt: skip


@pytest.fixture(autouse=True)
def on_the_day(monkeypatch: pytest.MonkeyPatch, now: datetime) -> None:
    monkeypatch.setattr("django.utils.timezone.now", lambda: now)


@pytest.fixture
def technician(sheet: Any, crew: Any, signed_in: Callable[[Any], Client]) -> Client:
    return signed_in(crew.technician)


@pytest.fixture
def added(technician: Client) -> Client:
    assert technician.post(ADD, TYPED)["Location"] == TABLE
    return technician


def test_these_tests_know_every_address() -> None:
    known = {"add-engine", "last-done", "add-pages", "many-engines"}
    names = get_resolver().namespace_dict["takeover"][1].reverse_dict
    assert {name for name in names if isinstance(name, str)} == known


def test_the_button_is_where_one_looks_for_it(technician: Client) -> None:
    for page in ("/", "/engines/"):
        assert f'href="{ADD}"' in technician.get(page).content.decode(), page


def test_an_engine_is_added_and_its_table_comes_next(added: Client) -> None:
    page = added.get(TABLE).content.decode()
    assert "Last done" in page and 'value="logbook 1, page 34"' in page
    assert page.count(">not known<") > 30
    assert Engine.objects.get().build_id == "external-pulse"


def test_each_build_is_shown_by_its_look(technician: Client) -> None:
    page = technician.get(ADD).content.decode()
    assert "A hose runs from the crankcase to the pump cover." in page
    assert page.count("<svg") == 3  # the builds of the one type there is


def test_a_new_engine_needs_no_table(technician: Client) -> None:
    new = TYPED | {"hours_h": "0", "source": ""}
    assert technician.post(ADD, new)["Location"] == "/engines/1310/"


def test_the_owner_may_be_named_in_the_address(technician: Client) -> None:
    assert 'value="Nils Tarn"' in technician.get(f"{ADD}?owner=Nils+Tarn").content.decode()


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"serial": "13 10"}, "Use letters, digits and hyphens only."),
        ({"type": ""}, "Choose the engine type."),
        ({"type": "velisk-999"}, "Choose the engine type."),
        ({"hours_h": "many"}, "is not a number"),
        ({"hours_h": "1,250"}, "can mean 1250 or 1.250"),
        ({"read_on": "2025-05-06"}, "6 May 2025 is still to come"),
        ({"type": "velisk-185/internal-pulse"}, "It was rebuilt"),
        ({"since_overhaul_h": "40"}, "Give both hours since overhaul and its day"),
        ({"since_overhaul_h": "300", "overhauled_on": "2024-01-01"}, "more than the 230.5 h"),
        ({"part_0": "carburettor", "part_serial_0": "C-1"}, "Give part, serial and hours"),
    ],
)
def test_bad_input_is_shown_at_its_field_and_saves_nothing(
    technician: Client, typed: dict[str, str], said: str
) -> None:
    answer = technician.post(ADD, TYPED | typed)
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not Engine.objects.exists()


def test_two_engines_with_one_serial(added: Client) -> None:
    answer = added.post(ADD, TYPED | {"name": "Second"})
    assert answer.status_code == 422
    assert "Serial 1310 is in the register already" in answer.content.decode()


def test_the_build_in_doubt_may_be_kept(technician: Client) -> None:
    rebuilt = TYPED | {"type": "velisk-185/internal-pulse", "rebuilt": "on"}
    assert technician.post(ADD, rebuilt)["Location"] == TABLE
    assert Engine.objects.get().build_id == "internal-pulse"


def test_the_table_is_saved_whole(added: Client) -> None:
    sent = {"source": "logbook 1", "h-diaphragm-service": "205,5", "d-diaphragm-service": "1.6.2024"}
    answer = added.post(TABLE, sent, follow=True)
    assert "1 task saved." in answer.content.decode()
    row = TaskDone.objects.get()
    assert (row.at_h, row.done_on) == (205.5, date(2024, 6, 1))
    page = added.get(TABLE).content.decode()
    assert 'value="205.5"' in page and 'value="2024-06-01"' in page


def test_each_wrong_row_has_its_error_beside_it_and_nothing_is_saved(added: Client) -> None:
    sent = {
        "source": "logbook 1",
        "h-diaphragm-service": "250", "d-diaphragm-service": "1.6.2024",
        "h-plug-look": "200", "d-plug-look": "4/5/2024",
        "h-flange-check": "200", "d-flange-check": "2024-05-04",
    }  # fmt: skip
    answer = added.post(TABLE, sent)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "2 rows to correct. Nothing was saved." in page
    assert 'id="wrong-diaphragm-service"' in page and "more than the engine has now" in page
    assert 'id="wrong-plug-look"' in page and "more than one way" in page
    assert 'value="250"' in page and not TaskDone.objects.exists()


def test_the_table_asks_for_its_book(added: Client) -> None:
    answer = added.post(TABLE, {"h-diaphragm-service": "205", "d-diaphragm-service": "2024-06-01"})
    assert answer.status_code == 422 and "which logbook" in answer.content.decode()
    assert not TaskDone.objects.exists()


PASTED = (
    "Task\tHours\tDate\nSpark plug renewal\t205,5\t1.6.2024\n"
    "Carburettor diaphragm service\t250\t2024-06-01\nWashed the car\t3\t2024-06-01"
)


def test_pasted_rows_fill_the_table_and_save_nothing_yet(added: Client) -> None:
    answer = added.post(TABLE, {"source": "book", "pasted": PASTED, "do": "read"})
    page = answer.content.decode()
    assert answer.status_code == 200
    assert "3 rows read: 2 tasks filled in, 1 fit no task." in page
    assert 'value="205,5"' in page and 'value="1.6.2024"' in page
    assert "more than the engine has now" in page  # seen before it is saved
    assert "Row 4: Washed the car" in page
    assert not TaskDone.objects.exists()


def test_a_row_is_given_its_task_and_columns_are_corrected_and_remembered(added: Client) -> None:
    text = "Was\tStand\tWann\nWashed the car\t12\t2024-06-01"
    first = added.post(TABLE, {"source": "book", "pasted": text, "do": "read"}).content.decode()
    of = first.partition('name="of" value="')[2].partition('"')[0]
    sent = {"source": "book", "pasted": text, "do": "read", "of": of, "header": "on", "line-2": "fins-clean"}
    sent |= {"col-0": "task", "col-1": "hours", "col-2": "day"}
    page = added.post(TABLE, sent).content.decode()
    assert "1 row read: 1 task filled in" in page
    assert 'name="h-fins-clean" value="12"' in page
    swapped = added.post(TABLE, sent | {"col-1": "", "col-2": "hours"}).content.decode()
    assert 'name="h-fins-clean" value="2024-06-01"' in swapped
    again = added.post(TABLE, {"source": "book", "pasted": text, "do": "read"}).content.decode()
    assert '<option value="hours" selected>' in again.partition('name="col-2"')[2]


def test_a_file_fills_the_table_whichever_button_was_pressed(added: Client) -> None:
    file = SimpleUploadedFile("services.csv", PASTED.replace("\t", ";").encode())
    page = added.post(TABLE, {"source": "book", "table": file}).content.decode()
    assert "3 rows read" in page and not TaskDone.objects.exists()


@pytest.mark.parametrize(
    ("pasted", "said"),
    [
        ("", "Nothing is pasted"),
        ("\n".join(f"Spark plug renewal\t{n}\t2024-06-01" for n in range(2_001)), "2,000 is the most"),
        ("Task\tHours\tDate\nSpark plug renewal\t=B2+5\t2024-06-01", "is a formula"),
        ("Task\tHours\tDate\nSpark plug renewal\t5\t4/5/2024", "more than one way"),
    ],
)
def test_a_table_that_cannot_be_says_why(added: Client, pasted: str, said: str) -> None:
    page = added.post(TABLE, {"source": "book", "pasted": pasted, "do": "read"}).content.decode()
    assert said in page and not TaskDone.objects.exists()


def picture(shade: int) -> SimpleUploadedFile:
    kept = io.BytesIO()
    Image.new("L", (60, 40), shade).save(kept, "PNG")
    return SimpleUploadedFile(f"page-{shade}.png", kept.getvalue(), "image/png")


def test_photos_of_the_pages_are_kept_with_the_engine(added: Client) -> None:
    answer = added.post(f"{TABLE}pages/", {"pages": [picture(10), picture(200)]}, follow=True)
    page = answer.content.decode()
    assert "2 photos saved." in page
    assert page.count("Logbook page. logbook 1, page 34</small>") == 2
    assert {photo.subject for photo in Photo.objects.all()} == {"engine/1310"}
    assert "Logbook page. logbook 1, page 34</small>" in added.get("/engines/1310/").content.decode()


def test_a_page_that_is_no_picture_or_there_already_is_named_and_the_others_are_kept(added: Client) -> None:
    added.post(f"{TABLE}pages/", {"pages": picture(10)})
    sent = [SimpleUploadedFile("x.png", b"no picture"), picture(10), picture(99)]
    page = added.post(f"{TABLE}pages/", {"pages": sent}, follow=True).content.decode()
    assert "1 photo saved." in page and "This photo is here already" in page
    assert page.count('class="said error"') == 2 and Photo.objects.count() == 2


@pytest.mark.parametrize(
    ("count", "said"), [(0, "Choose or take a photo first"), (13, "12 at once is the most")]
)
def test_no_photo_and_too_many(added: Client, count: int, said: str) -> None:
    page = added.post(f"{TABLE}pages/", {"pages": [picture(n) for n in range(count)]}, follow=True)
    assert said in page.content.decode() and not Photo.objects.exists()


def test_the_engine_leads_to_the_table_while_something_is_not_known(added: Client) -> None:
    assert f'href="{TABLE}"' in added.get("/engines/1310/").content.decode()


MANY = "/add-engine/from-a-table/"
ENGINES = (
    "Serial\tType\tOwner\tHours now\n1310\tVelisk 185\tNils Tarn\t230\n1777\tVelisk 185\tAda Rook\t0\n"
    "1778\tVelisk 185\t\t3"
)


def test_many_engines_are_shown_first_and_added_at_one_press(technician: Client) -> None:
    page = technician.post(MANY, {"pasted": ENGINES, "do": "read"}).content.decode()
    assert "2 engines to add, 0 services, 1 line refused." in page
    assert "The owner is missing." in page and "Add 2 engines" in page
    assert not Engine.objects.exists()
    of = page.partition('name="of" value="')[2].partition('"')[0]
    sent = {"pasted": ENGINES, "do": "enter", "of": of, "header": "on", "source": "old books"}
    sent |= {"col-0": "serial", "col-1": "type", "col-2": "owner", "col-3": "hours_now"}
    answer = technician.post(MANY, sent, follow=True)
    assert "2 engines added, 1 line refused." in answer.content.decode()
    assert Engine.objects.count() == 2


def test_a_file_of_engines_is_never_entered_unseen(technician: Client) -> None:
    file = SimpleUploadedFile("engines.csv", ENGINES.replace("\t", ";").encode())
    page = technician.post(MANY, {"table": file, "do": "enter"}).content.decode()
    assert "2 engines to add" in page and 'value="engines.csv"' in page
    assert not Engine.objects.exists()


@pytest.mark.parametrize(
    ("pasted", "said"),
    [
        ("", "Nothing is pasted"),
        ("Serial\n" + "\n".join(map(str, range(20_000))), "There are 20,001 rows; 2,000 is the most"),
        ("Serial\n" + "\n".join("\t".join(["x" * 290] * 3) for _ in range(1_000)), "too wide"),
    ],
)
def test_a_table_of_engines_that_cannot_be_says_why(technician: Client, pasted: str, said: str) -> None:
    answer = technician.post(MANY, {"pasted": pasted, "do": "read"})
    assert answer.status_code == 422 and said in answer.content.decode()


def test_who_is_not_signed_in_is_led_to_sign_in(added: Client) -> None:
    for page in (ADD, TABLE, MANY):
        assert Client().get(page)["Location"].startswith("/sign-in/")


def test_other_methods_are_refused_and_an_unknown_engine_is_not_found(added: Client) -> None:
    assert added.put(ADD).status_code == 405 and added.put(TABLE).status_code == 405
    assert added.get("/engines/9999/last-done/").status_code == 404
