"""The photograph before a look that takes its evidence away: a photo kept here, one kept elsewhere, or why none."""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import datetime
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.test import Client
from PIL import Image

from tickover.workshop.fault_finding import actions, queries, reasoning
from tickover.workshop.fault_finding.actions import FaultFindingError, NewSession
from tickover.workshop.fault_finding.locking import write_answer
from tickover.workshop.fault_finding.models import Answer, Session
from tickover.workshop.fault_finding.recording import photo_actions
from tickover.workshop.kernel.models import Entry
from tickover.workshop.photos import actions as photos
from tickover.workshop.photos.models import Photo

pytestmark = pytest.mark.usefixtures("verified")

LOOK = "lever-height-test"
HERE = "/fault-finding/2025-0001/"
Does = Callable[..., Answer]


def jpeg(colour: str = "red") -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (40, 30), colour).save(out, "JPEG")
    return out.getvalue()


@pytest.fixture
def session(outer: Any, crew: Any, now: datetime) -> Session:
    return actions.start(outer, NewSession("It hunts", seen=["idle-races"]), who=crew.technician, at=now)


@pytest.fixture
def technician(signed_in: Callable[..., Client], crew: Any) -> Client:
    return signed_in(crew.technician)


@pytest.fixture
def look(session: Session, crew: Any, now: datetime) -> Callable[[], None]:
    return lambda: actions.answer(session, {LOOK: "seen"}, who=crew.technician, at=now)


def refused(look: Callable[[], None]) -> bool:
    try:
        look()
    except FaultFindingError as error:
        assert "destroys evidence" in str(error) and "Nothing was changed" in str(error)
        return True
    return False


def test_a_photo_is_kept_with_the_trouble_and_named_after_the_look(
    session: Session, look: Any, crew: Any, now: datetime
) -> None:
    assert refused(look)
    noted = photo_actions.photograph(session, LOOK, jpeg(), who=crew.technician, at=now)
    photo = Photo.objects.get()
    assert photo.subject == "trouble/2025-0001" and "As found, before" in photo.note
    assert noted.rests_on == f"photo/{photo.number}"
    assert not refused(look)
    assert LOOK in queries.session_sheet(session).evidence.seen


def test_a_photo_that_was_withdrawn_before_the_look_stands_no_more(
    session: Session, look: Any, crew: Any, now: datetime
) -> None:
    photo_actions.photograph(session, LOOK, jpeg(), who=crew.technician, at=now)
    photos.withdraw(Photo.objects.get(), "Shows my thumb", who=crew.technician, at=now)
    assert refused(look)


def test_what_was_seen_stays_seen_when_its_photo_is_withdrawn_later(
    session: Session, look: Any, crew: Any, now: datetime
) -> None:
    photo_actions.photograph(session, LOOK, jpeg(), who=crew.technician, at=now)
    look()
    photos.withdraw(Photo.objects.get(), "Shows a face", who=crew.technician, at=now)
    assert LOOK in queries.session_sheet(session).evidence.seen


def test_taking_the_photograph_back_asks_for_it_again(
    session: Session, look: Any, crew: Any, now: datetime
) -> None:
    noted = photo_actions.photograph(session, LOOK, jpeg(), who=crew.technician, at=now)
    actions.take_back(session, noted.pk, who=crew.technician, at=now)
    assert refused(look)


def test_a_photo_of_one_look_is_none_of_another(session: Session, crew: Any, now: datetime) -> None:
    photo_actions.photograph(session, LOOK, jpeg(), who=crew.technician, at=now)
    assert refused(
        lambda: actions.answer(session, {"carburettor-strip": "seen"}, who=crew.technician, at=now)
    )
    photo = Photo.objects.get()
    photo_actions.note_photograph(session, "carburettor-strip", photo, who=crew.technician, at=now)
    actions.answer(session, {"carburettor-strip": "seen"}, who=crew.technician, at=now)


def test_a_photo_of_another_trouble_is_refused(
    session: Session, inner: Any, crew: Any, now: datetime
) -> None:
    other = actions.start(inner, NewSession("Odd"), who=crew.technician, at=now)
    photo_actions.photograph(other, LOOK, jpeg(), who=crew.technician, at=now)
    with pytest.raises(FaultFindingError, match="none of this trouble"):
        photo_actions.note_photograph(session, LOOK, Photo.objects.get(), who=crew.technician, at=now)


@pytest.mark.parametrize(
    ("does", "state", "ask"),
    [
        (photo_actions.photographed_elsewhere, "kept elsewhere", "where it is kept"),
        (photo_actions.without_photograph, "not photographed", "why"),
    ],
)
def test_without_a_photo_here_it_is_said_in_words(
    session: Session, look: Any, crew: Any, now: datetime, does: Does, state: str, ask: str
) -> None:
    with pytest.raises(FaultFindingError, match=ask):
        does(session, LOOK, "  ", who=crew.technician, at=now)
    assert refused(look)
    row = does(session, LOOK, "On Tilda’s phone", who=crew.technician, at=now)
    assert (row.state, row.words, row.by) == (state, "On Tilda’s phone", crew.technician)
    assert not refused(look)


def test_a_word_from_before_photos_were_kept_with_a_session_still_stands(
    session: Session, look: Any, crew: Any, now: datetime
) -> None:
    with transaction.atomic():
        write_answer(session, "photograph", LOOK, "taken", crew.technician, now)
    assert not refused(look)


def test_a_file_that_is_no_photo_stands_for_none(
    session: Session, look: Any, crew: Any, now: datetime
) -> None:
    with pytest.raises(FaultFindingError, match="no JPEG"):
        photo_actions.photograph(session, LOOK, b"%PDF-1.7 no photo", who=crew.technician, at=now)
    assert refused(look) and not Photo.objects.exists()


def test_a_session_that_ended_takes_no_photograph(session: Session, crew: Any, now: datetime) -> None:
    from tickover.workshop.fault_finding.recording import ending_actions

    ending_actions.end_with(session, "not found", "", who=crew.technician, at=now)
    entries = Entry.objects.count()
    with pytest.raises(FaultFindingError, match="ended already"):
        photo_actions.photograph(session, LOOK, jpeg(), who=crew.technician, at=now)
    assert Entry.objects.count() == entries and not Photo.objects.exists()


def test_the_minute_for_the_photograph_is_not_counted_twice(
    session: Session, crew: Any, now: datetime
) -> None:
    def minutes() -> float:
        line = reasoning.check_line(reasoning.diagnose(queries.session_sheet(session)), LOOK)
        assert line is not None
        return line.minutes

    before = minutes()
    photo_actions.photograph(session, LOOK, jpeg(), who=crew.technician, at=now)
    assert before - minutes() == 1.0


class TestThePage:
    def test_a_look_has_no_answer_before_its_photograph_and_one_after(
        self, session: Session, technician: Client
    ) -> None:
        page = technician.get(f"{HERE}?look={LOOK}").content.decode()
        assert "Photograph it first" in page and 'name="state" value="seen"' not in page
        sent = {"item": LOOK, "how": "photo", "photo": SimpleUploadedFile("a.jpg", jpeg())}
        back = technician.post(f"{HERE}photographed/", sent)
        assert back["Location"] == f"{HERE}?look={LOOK}"
        page = technician.get(back["Location"]).content.decode()
        assert "Photograph it first" not in page and 'name="state" value="seen"' in page

    def test_a_photo_that_is_here_already_is_chosen(
        self, session: Session, technician: Client, crew: Any, now: datetime
    ) -> None:
        photo = photos.add_photo("trouble/2025-0001", jpeg(), "Diaphragm side", who=crew.technician, at=now)
        page = technician.get(f"{HERE}?look={LOOK}").content.decode()
        assert f'name="photo" value="{photo.number}"' in page
        technician.post(
            f"{HERE}photographed/", {"item": LOOK, "how": "one-of-these", "photo": str(photo.number)}
        )
        assert LOOK in queries.session_sheet(session).bench.photographed

    @pytest.mark.parametrize("how", ["elsewhere", "without"])
    def test_words_stand_for_it(self, session: Session, technician: Client, how: str) -> None:
        technician.post(f"{HERE}photographed/", {"item": LOOK, "how": how, "words": "In the green folder"})
        assert LOOK in queries.session_sheet(session).bench.photographed

    @pytest.mark.parametrize(
        "data", [{"how": "photo"}, {"how": ""}, {"how": "without"}, {"how": "one-of-these", "photo": "x"}]
    )
    def test_nothing_stands_for_it_where_nothing_was_given(
        self, session: Session, technician: Client, data: dict[str, str]
    ) -> None:
        entries = Entry.objects.count()
        assert technician.post(f"{HERE}photographed/", data | {"item": LOOK}).status_code in (302, 404)
        assert Entry.objects.count() == entries
