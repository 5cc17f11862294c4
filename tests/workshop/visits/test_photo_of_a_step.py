"""A step that asks for a photo is done with a photo of it, or with the reason why there is none."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from datetime import datetime
from typing import Any

import pypdf
import pytest
from django.test import Client
from PIL import Image

from tickover.sheets import shipped_sheets
from tickover.workshop.logbook import job_papers
from tickover.workshop.photos import actions as photos
from tickover.workshop.visits import actions, queries
from tickover.workshop.visits.actions import VisitError
from tickover.workshop.visits.models import StepMark

pytestmark = pytest.mark.usefixtures("verified")

STEP = "photograph-hose"


def picture(colour: str = "red") -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (40, 20), colour).save(out, "JPEG")
    return out.getvalue()


@pytest.fixture
def by(crew: Any, now: datetime) -> dict[str, Any]:
    return {"who": crew.technician, "at": now}


@pytest.fixture
def job(sheet: Any, outer: Any, hands: Any) -> Any:
    return hands.open(outer, "diaphragm-service")


def photograph(job: Any, by: dict[str, Any], step: str = STEP, colour: str = "red") -> Any:
    return photos.add_photo(f"job/{job.number}/step/{step}", picture(colour), "", **by)


def test_it_is_not_done_without_one(job: Any, by: dict[str, Any]) -> None:
    for reason in ("", "  "):
        with pytest.raises(
            VisitError, match=r"Step \d+ needs a photo\. Add one, or type why there is none\."
        ):
            actions.mark_done(job, STEP, no_photo=reason, **by)
    assert not StepMark.objects.exists()
    photograph(job, by)
    assert actions.mark_done(job, STEP, no_photo="not needed", **by).no_photo == ""


def test_a_photo_of_another_step_is_none_of_this(job: Any, by: dict[str, Any]) -> None:
    photograph(job, by, "make-safe")
    with pytest.raises(VisitError, match="needs a photo"):
        actions.mark_done(job, STEP, **by)


def test_a_photo_that_was_withdrawn_is_none(job: Any, by: dict[str, Any]) -> None:
    photos.withdraw(photograph(job, by), "blurred", **by)
    with pytest.raises(VisitError, match="needs a photo"):
        actions.mark_done(job, STEP, **by)


def test_opened_again_it_asks_for_a_new_one(job: Any, by: dict[str, Any]) -> None:
    photograph(job, by)
    actions.mark_done(job, STEP, **by)
    actions.reopen(job, STEP, "hose off again", **by)
    with pytest.raises(VisitError, match="needs a photo"):
        actions.mark_done(job, STEP, **by)
    photograph(job, by, colour="blue")
    assert actions.mark_done(job, STEP, **by)


def test_a_step_without_the_flag_asks_for_none(job: Any, by: dict[str, Any]) -> None:
    line = next(
        s for s in queries.job_sheet(job).steps if not s.step.photo and not s.limit and not s.step.findings
    )
    assert actions.mark_done(job, line.step.id, no_photo="why not", **by).no_photo == ""


def test_the_reason_is_on_the_work_card_and_on_the_release(job: Any, by: dict[str, Any], hands: Any) -> None:
    actions.mark_done(job, STEP, no_photo="the tablet's lens is broken", **by)
    hands.do_all(job)
    hands.release(job)
    for made in (job_papers.work_card, job_papers.release):
        assert "No photo, because the tablet's lens is broken." in _words(made(queries.job_sheet(job)))


def test_on_the_page_without_javascript(job: Any, crew: Any, signed_in: Callable[..., Client]) -> None:
    client = signed_in(crew.technician)
    address = f"/visits/{job.number}/steps/{STEP}/"
    asked = client.get(address).content.decode()
    assert "Photo needed: add it under Photos below, then go on." in asked
    refused = client.post(f"{address}done/", {}, follow=True).content.decode()
    assert "needs a photo. Add one, or type why there is none." in refused
    client.post(f"{address}done/", {"no_photo": "x" * 301})
    assert not StepMark.objects.exists()
    client.post(f"{address}done/", {"no_photo": "no light"})
    assert StepMark.objects.get().no_photo == "no light"
    assert "No photo, because no light." in " ".join(client.get(address).content.decode().split())


def test_the_page_asks_no_more_once_there_is_one(
    job: Any, by: dict[str, Any], crew: Any, signed_in: Callable[..., Client]
) -> None:
    photograph(job, by)
    page = signed_in(crew.technician).get(f"/visits/{job.number}/steps/{STEP}/").content.decode()
    assert 'name="no_photo"' not in page


@pytest.mark.parametrize("sheet", shipped_sheets().values(), ids=lambda s: s.id)
def test_every_shipped_step_that_says_photograph_asks_for_the_photo(sheet: Any) -> None:
    steps = [step for card in sheet.cards for step in card.steps]
    says = {step.act for step in steps if re.search(r"\bphotograph\b", step.act, re.IGNORECASE)}
    assert says and says == {step.act for step in steps if step.photo}


def _words(pdf: bytes) -> str:
    text = " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages)
    return " ".join(text.replace("\u200b", "").replace("’", "'").split())
