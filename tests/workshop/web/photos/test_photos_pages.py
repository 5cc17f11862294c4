"""Pages of photos: for whom each opens, by which method, and what they write."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import pytest
from django.contrib.messages import get_messages
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from tests.workshop.photos.test_photos import picture
from tickover.workshop.kernel.models import Entry
from tickover.workshop.photos import actions, opening
from tickover.workshop.photos.models import Photo
from tickover.workshop.web.photos import urls

pytestmark = pytest.mark.usefixtures("verified")


@pytest.fixture
def photo(outer: Any, crew: Any, now: datetime) -> Photo:
    return actions.add_photo("engine/1200", picture(), "the plug", who=crew.technician, at=now)


@pytest.fixture
def technician(signed_in: Any, crew: Any) -> Client:
    return signed_in(crew.technician)


def looks(photo: Photo) -> dict[str, str]:
    page = f"/photos/{photo.number}/"
    return {"photo": page, "image": f"{page}photo.jpg", "thumbnail": f"{page}small.jpg"}


def writes(photo: Photo) -> dict[str, str]:
    return {"add": "/photos/add/", "withdraw": f"/photos/{photo.number}/withdraw/"}


def send(client: Client, subject: str, data: bytes = b"", name: str = "a.jpg") -> Any:
    return client.post(
        "/photos/add/", {"subject": subject, "note": "seen", "photo": SimpleUploadedFile(name, data)}
    )


def test_these_tests_know_every_address(photo: Photo) -> None:
    assert {p.name for p in urls.urlpatterns} == looks(photo).keys() | writes(photo).keys()


def test_pages_open_for_a_technician_and_lead_a_stranger_to_sign_in(
    photo: Photo, technician: Client, client: Client
) -> None:
    for name, address in looks(photo).items():
        answer = technician.get(address)
        assert answer.status_code == 200 and technician.post(address).status_code == 405
        assert answer["Content-Type"] == ("image/jpeg" if name != "photo" else "text/html; charset=utf-8")
        assert answer["X-Content-Type-Options"] == "nosniff"
        assert client.get(address)["Location"].startswith("/sign-in/")


def test_forms_are_no_pages_and_write_nothing_for_a_stranger(
    photo: Photo, technician: Client, client: Client
) -> None:
    before = Entry.objects.count()
    for address in writes(photo).values():
        assert technician.get(address).status_code == 405
        assert client.post(address, {"reason": "x"})["Location"].startswith("/sign-in/")
    assert Entry.objects.count() == before


@pytest.mark.parametrize("address", ["/photos/99999/", "/photos/99999/photo.jpg", "/photos/99999/small.jpg"])
def test_what_is_not_there_is_404(outer: Any, technician: Client, address: str) -> None:
    assert technician.get(address).status_code == 404


def test_a_photo_is_added_at_a_step_and_shown_there(outer: Any, hands: Any, technician: Client) -> None:
    job = hands.open(outer)
    page = f"/visits/{job.number}/steps/make-safe/"
    assert 'capture="environment"' in technician.get(page).content.decode()
    answer = send(technician, f"job/{job.number}/step/make-safe", picture())
    assert answer["Location"] == f"{page}#photos"
    row = Photo.objects.get()
    for address in (page, f"/visits/{job.number}/"):
        assert f"/photos/{row.number}/small.jpg" in technician.get(address).content.decode()


@pytest.mark.parametrize(
    "subject", ["engine/none", "job/none", "trouble/none", "defect/none", "elsewhere/1", "", "job/1/step/x"]
)
def test_a_photo_of_nothing_is_404(photo: Photo, technician: Client, subject: str) -> None:
    assert send(technician, subject, picture(size=(30, 30))).status_code == 404
    assert Photo.objects.count() == 1


def test_a_step_that_the_card_has_not_is_404(outer: Any, hands: Any, technician: Client) -> None:
    job = hands.open(outer)
    assert send(technician, f"job/{job.number}/step/nowhere", picture()).status_code == 404


def test_a_refused_photo_says_why(outer: Any, technician: Client, monkeypatch: Any) -> None:
    def said(answer: Any) -> str:
        return " ".join(str(m) for m in get_messages(answer.wsgi_request))

    assert "no JPEG, PNG or WebP" in said(send(technician, "engine/1200", b"GIF89a"))
    answer = technician.post("/photos/add/", {"subject": "engine/1200"})
    assert "No photo came" in said(answer)
    monkeypatch.setattr(opening, "MOST_BYTES", 100)
    assert "is the most" in said(send(technician, "engine/1200", picture()))
    assert not Photo.objects.exists()


def test_a_photo_is_withdrawn_on_its_page(photo: Photo, technician: Client) -> None:
    technician.post(writes(photo)["withdraw"], {"reason": "another engine"})
    page = technician.get(looks(photo)["photo"]).content.decode()
    assert "Withdrawn" in page and "another engine" in page
    assert f"photos/{photo.number}/small" not in technician.get("/engines/1200/").content.decode()


def test_a_note_that_is_markup_is_shown_as_text(outer: Any, technician: Client, crew: Any, now: Any) -> None:
    row = actions.add_photo(
        "engine/1200", picture(), "<script>alert(1)</script>", who=crew.technician, at=now
    )
    assert "<script>alert" not in technician.get(f"/photos/{row.number}/").content.decode()
