"""Photos and remarks of a step would tell its first reading too; and before it is done only who took it sees it."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from datetime import datetime
from typing import Any

import pypdf
import pytest
from django.test import Client
from PIL import Image

from tickover.workshop.logbook import bundle, job_papers
from tickover.workshop.people.actions import NewPerson, add_person
from tickover.workshop.people.models import Person
from tickover.workshop.photos import actions as photo_actions
from tickover.workshop.photos.models import Photo
from tickover.workshop.visits import actions, queries
from tickover.workshop.visits.models import Remark, StepMark
from tickover.workshop.visits.recording.course_actions import remark

pytestmark = pytest.mark.usefixtures("verified")

LEVER, FIRST, SECOND = "lever-height", "1.29", "1.41"
STEP, JOB = f"/visits/2025-0001/steps/{LEVER}/", "/visits/2025-0001/"


@pytest.fixture
def second_technician(crew: Any, now: datetime) -> Person:
    return add_person(NewPerson("sol", "Sol", "Second", "technician", "T-2", "a long pass phrase"), at=now)


@pytest.fixture
def read(sheet_with: Callable[..., None], outer: Any, hands: Any, crew: Any, now: datetime) -> Any:
    """A job whose lever was read and is not done, with a photo and a remark that say how it reads."""
    sheet_with("limits", LEVER, repeats=1, computed="")
    job, by = hands.open(outer, "diaphragm-service"), {"who": crew.technician, "at": now}
    actions.take_reading(job, LEVER, FIRST, **by)
    remark(job, f"the gauge says {FIRST}", step_id=LEVER, **by)
    picture = io.BytesIO()
    Image.new("RGB", (40, 30), "red").save(picture, "JPEG")
    photo_actions.add_photo(f"job/{job.number}/step/{LEVER}", picture.getvalue(), f"shows {FIRST}", **by)
    return job


@pytest.fixture
def done(read: Any, crew: Any, now: datetime) -> Any:
    actions.mark_done(read, LEVER, who=crew.technician, at=now)
    return read


@pytest.fixture
def confirm(crew: Any, now: datetime) -> Callable[[Any], None]:
    return lambda job: actions.second_check(job, LEVER, who=crew.inspector, at=now, typed=SECOND)


def photo_pages() -> list[str]:
    photo = Photo.objects.get()
    files = [f"/evidence/{file.sha256}/" for file in (photo.image, photo.thumbnail)]
    return [
        f"/photos/{photo.number}/",
        *(f"/photos/{photo.number}/{name}.jpg" for name in ("photo", "small")),
        *files,
    ]


def page(client: Client, address: str) -> str:
    answer = client.get(address)
    assert answer.status_code == 200, address
    return answer.content.decode()


def card(job: Any, person: Any) -> str:
    pdf = pypdf.PdfReader(io.BytesIO(job_papers.work_card(queries.job_sheet(job, person))))
    return " ".join(" ".join(p.extract_text() for p in pdf.pages).split())


def test_once_it_is_done_neither_page_of_the_job_shows_them_to_anybody(
    done: Any, crew: Any, signed_in: Callable[..., Client], confirm: Callable[[Any], None]
) -> None:
    for person in (crew.technician, crew.inspector, crew.manager):
        for address in (STEP, JOB, f"{JOB}release/", f"{JOB}exceedances/"):
            answer = signed_in(person).get(address)
            assert FIRST not in answer.content.decode() and answer.status_code in (200, 403), (
                person,
                address,
            )
    assert "shown after its second check too" in page(signed_in(crew.inspector), STEP)
    confirm(done)
    for address in (STEP, JOB):
        shown = page(signed_in(crew.inspector), address)
        assert f"the gauge says {FIRST}" in shown and f"shows {FIRST}" in shown


def test_the_photo_has_no_page_and_no_file_until_then(
    done: Any, crew: Any, signed_in: Callable[..., Client], confirm: Callable[[Any], None]
) -> None:
    for person in (crew.technician, crew.inspector, crew.manager):
        for address in photo_pages():
            answer = signed_in(person).get(address)
            assert answer.status_code == 404 and FIRST not in answer.content.decode()
    confirm(done)
    for address in photo_pages():
        assert signed_in(crew.inspector).get(address).status_code == 200


def test_it_is_not_withdrawn_unseen(done: Any, crew: Any, signed_in: Callable[..., Client]) -> None:
    answer = signed_in(crew.inspector).post(f"{photo_pages()[0]}withdraw/", {"reason": "blurred"})
    assert answer.status_code == 404


def test_the_journal_keeps_their_entries_back(
    done: Any, crew: Any, signed_in: Callable[..., Client], confirm: Callable[[Any], None]
) -> None:
    rows = (Photo.objects.get(), Remark.objects.get(), StepMark.objects.get(step_id=LEVER))
    client = signed_in(crew.inspector)
    for row in rows:
        shown = page(client, f"/journal/{row.entry_sequence}/")
        assert FIRST not in shown and "Shown after that." in shown
    assert FIRST not in page(client, "/journal/?subject=job/2025-0001")
    confirm(done)
    for row in rows[:2]:
        assert FIRST in page(client, f"/journal/{row.entry_sequence}/")


def test_the_bundle_leaves_them_out(done: Any, outer: Any, confirm: Callable[[Any], None]) -> None:
    def files() -> dict[str, bytes]:
        out = io.BytesIO()
        bundle.write(outer, out)
        with zipfile.ZipFile(out) as opened:
            return {name: opened.read(name) for name in opened.namelist()}

    name = f"photos/{Photo.objects.get().number}.jpg"
    texts = (".json", ".csv", ".jsonl")
    before = files()
    assert name not in before
    assert not any(FIRST.encode() in data for n, data in before.items() if n.endswith(texts))
    confirm(done)
    after = files()
    assert name in after and any(b"the gauge says" in data for n, data in after.items() if n.endswith(texts))


def test_why_there_is_no_photo_is_not_told_either(
    sheet_with: Callable[..., None],
    outer: Any,
    hands: Any,
    crew: Any,
    now: datetime,
    signed_in: Callable[..., Client],
    confirm: Callable[[Any], None],
) -> None:
    sheet_with("limits", LEVER, repeats=1, computed="")
    sheet_with("cards.steps", LEVER, photo=True)
    job, by = hands.open(outer, "diaphragm-service"), {"who": crew.technician, "at": now}
    actions.take_reading(job, LEVER, FIRST, **by)
    actions.mark_done(job, LEVER, no_photo=f"the display read {FIRST}", **by)
    assert FIRST not in page(signed_in(crew.inspector), STEP) and FIRST not in card(job, crew.inspector)
    confirm(job)
    assert f"the display read {FIRST}" in page(signed_in(crew.inspector), STEP)
    assert f"the display read {FIRST}" in card(job, crew.inspector)


def test_remarks_and_photos_of_other_steps_and_of_the_job_stay(
    done: Any, crew: Any, now: datetime, signed_in: Callable[..., Client]
) -> None:
    remark(done, "left in the hangar", who=crew.technician, at=now)
    remark(done, "clamp is new", step_id="needle-high", who=crew.technician, at=now)
    shown = page(signed_in(crew.inspector), JOB)
    assert "left in the hangar" in shown and "clamp is new" in shown


# Before it is done


def test_who_took_it_sees_it_and_who_may_confirm_it_does_not(
    read: Any, crew: Any, second_technician: Person, signed_in: Callable[..., Client]
) -> None:
    for address in (STEP, JOB):
        own = page(signed_in(crew.technician), address)
        assert f"the gauge says {FIRST}" in own and f"shows {FIRST}" in own
        for other in (crew.inspector, second_technician):
            assert FIRST not in page(signed_in(other), address), (other, address)
    assert FIRST in page(signed_in(crew.technician), STEP)
    assert "First reading taken." in page(signed_in(second_technician), STEP)


def test_who_may_not_confirm_sees_it_before_it_is_done(
    read: Any, crew: Any, signed_in: Callable[..., Client]
) -> None:
    assert FIRST in page(signed_in(crew.manager), STEP)


def test_its_photo_and_its_card_are_for_who_took_it(
    read: Any, crew: Any, signed_in: Callable[..., Client]
) -> None:
    for address in photo_pages():
        assert signed_in(crew.technician).get(address).status_code == 200
        assert signed_in(crew.inspector).get(address).status_code == 404
    assert FIRST in card(read, crew.technician) and FIRST not in card(read, crew.inspector)
    pdf = signed_in(crew.inspector).get(f"{JOB}work-card.pdf")
    text = " ".join(p.extract_text() for p in pypdf.PdfReader(io.BytesIO(pdf.content)).pages)
    assert FIRST not in text


def test_ones_own_remark_is_seen_while_the_step_is_in_work(
    read: Any, crew: Any, now: datetime, signed_in: Callable[..., Client]
) -> None:
    remark(read, "bench light is out", step_id=LEVER, who=crew.inspector, at=now)
    assert "bench light is out" in page(signed_in(crew.inspector), STEP)
    actions.mark_done(read, LEVER, who=crew.technician, at=now)
    assert "bench light is out" not in page(signed_in(crew.inspector), STEP)


def test_who_reads_it_again_sees_it_then(
    read: Any, second_technician: Person, now: datetime, signed_in: Callable[..., Client]
) -> None:
    assert "Read again" in page(signed_in(second_technician), STEP)
    actions.take_reading(read, LEVER, SECOND, who=second_technician, at=now)
    assert SECOND in page(signed_in(second_technician), STEP)


def test_a_reading_beyond_is_an_exceedance_whoever_looks(
    sheet_with: Callable[..., None], outer: Any, hands: Any, crew: Any, now: datetime
) -> None:
    """What keeps the engine is not told to the second person, and is kept all the same."""
    sheet_with("limits", LEVER, repeats=1, computed="", never_above=1.7)
    job = hands.open(outer, "diaphragm-service")
    actions.take_reading(job, LEVER, "1.8", who=crew.technician, at=now)
    assert queries.job_sheet(job).exceedances and queries.job_sheet(job, crew.technician).exceedances
    assert not queries.job_sheet(job, crew.inspector).exceedances
