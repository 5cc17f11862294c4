"""What is refused by its head, whatever server took it in: asked of the pages themselves."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone

from tickover.workshop.people.actions import change_person
from tickover.workshop.serving import request_limits
from tickover.workshop.serving.request_limits import FORM_BYTES, most_bytes, refusal_of

pytestmark = pytest.mark.usefixtures("verified", "shop")
MB = 2**20


def a_file(size: int) -> dict[str, Any]:
    return {"photo": SimpleUploadedFile("a.jpg", bytes(size)), "subject": "engine/1200"}


@pytest.fixture
def careful(signed_in: Any, crew: Any) -> Client:
    """A browser whose forms have to say where they come from."""
    client = signed_in(crew.technician)
    client.handler.enforce_csrf_checks = True
    return client


def test_a_form_may_be_as_large_as_a_form(careful: Client) -> None:
    fits = {"REQUEST_METHOD": "POST", "PATH_INFO": "/visits/1/close/", "CONTENT_LENGTH": str(FORM_BYTES)}
    assert refusal_of(fits) is None
    refused = refusal_of({**fits, "CONTENT_LENGTH": str(FORM_BYTES + 1)})
    assert refused is not None and refused.status == 413


@pytest.mark.parametrize("length", ["", "x", "-1", "٣", "1e9"])
def test_a_length_that_is_none_counts_as_none(length: str) -> None:
    assert refusal_of({"REQUEST_METHOD": "POST", "PATH_INFO": "/", "CONTENT_LENGTH": length}) is None


@pytest.mark.parametrize(
    ("path", "takes"),
    [
        ("/photos/add/", 25 * 2**20 + MB),
        ("/engines/1200/runs/new/", 2**31 + MB),
        ("/visits/1/close/", MB),
        ("/nowhere/", MB),
    ],
)
def test_an_address_takes_what_its_form_needs(path: str, takes: int) -> None:
    assert most_bytes(path) == takes


def test_too_much_for_a_form_is_said_in_words(careful: Client) -> None:
    answer = careful.post("/sign-out/", {"remark": "x" * 2 * MB})
    page = answer.content.decode()
    assert answer.status_code == 413 and "Too much was sent: 2.0 MB. A form takes 1 MB." in page


def test_a_large_file_from_nobody_leads_to_sign_in(client: Client) -> None:
    answer = client.post("/photos/add/", a_file(2 * MB))
    assert answer.status_code == 302 and answer["Location"].startswith("/sign-in/")


def test_a_large_file_from_elsewhere_is_refused(careful: Client) -> None:
    answer = careful.post("/photos/add/", a_file(2 * MB), headers={"Origin": "http://elsewhere.example"})
    assert answer.status_code == 403 and "not sent from a page" in answer.content.decode()


def test_a_trusted_name_of_the_workshop_is_here(careful: Client, settings: Any) -> None:
    settings.CSRF_TRUSTED_ORIGINS = ["https://book.example"]
    answer = careful.post("/photos/add/", a_file(2 * MB), headers={"Origin": "https://book.example"})
    # Its token is missing, which is asked for next.
    assert answer.status_code == 403 and "This form is too old" in answer.content.decode()


def test_a_person_who_left_sends_nothing_large(careful: Client, crew: Any) -> None:
    change_person(crew.technician, {"is_active": False}, "has left", actor="maud", at=timezone.now())
    answer = careful.post("/photos/add/", a_file(2 * MB), headers={"Origin": "http://testserver"})
    assert answer.status_code == 302


def test_a_file_for_which_the_disk_has_no_room_is_refused(
    careful: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Disk:
        free = 3 * MB

    monkeypatch.setattr(request_limits.shutil, "disk_usage", lambda _: Disk)
    ours = {"Origin": "http://testserver"}
    answer = careful.post("/photos/add/", a_file(2 * MB), headers=ours)
    assert answer.status_code == 507 and "Make room on the disk" in answer.content.decode()
    Disk.free = 5 * MB
    assert careful.post("/photos/add/", a_file(2 * MB), headers=ours).status_code == 403
