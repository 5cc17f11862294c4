"""A critical torque that nobody knows the wrench of keeps the engine, until it is set again or an inspector decides."""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import datetime
from typing import Any

import pypdf
import pytest
from django.test import Client

from tickover.workshop.logbook import hand_back, job_papers
from tickover.workshop.visits import actions, queries
from tickover.workshop.visits.actions import VisitError
from tickover.workshop.visits.models import Release
from tickover.workshop.visits.steps.exceedances import WRENCH, Spot

pytestmark = pytest.mark.usefixtures("verified")

TORQUE = "flange-torque"
HERE = Spot(TORQUE, WRENCH)
WORDS = "Tried at 10 N.m with wrench TW-4, not in the register: none turned."


@pytest.fixture
def by(crew: Any, now: datetime) -> dict[str, Any]:
    return {"who": crew.technician, "at": now}


@pytest.fixture
def inspector(crew: Any, now: datetime) -> dict[str, Any]:
    return {"who": crew.inspector, "at": now}


def finished(job: Any, hands: Any, by: dict[str, Any], inspector: dict[str, Any]) -> Any:
    """The job with every step done and confirmed, its torque set with a wrench that nobody recorded."""
    for line in queries.job_sheet(job).steps:
        if line.step.id == TORQUE:
            set_without(job, by, inspector)
        else:
            hands.do(job, line.step.id)
    return job


def set_without(job: Any, by: dict[str, Any], inspector: dict[str, Any]) -> None:
    actions.take_reading(job, TORQUE, "10", **by)
    actions.mark_done(job, TORQUE, **by)
    assert actions.second_check(job, TORQUE, typed="10", **inspector)


def opened_again(job: Any, by: dict[str, Any]) -> list[str]:
    """The torque open again, after what closes it over; the steps that were, in their order."""
    line = queries.job_sheet(job).step(TORQUE)
    later = list(line.step.hold_before)
    for step_id in (*reversed(later), TORQUE):
        actions.reopen(job, step_id, "set it again", **by)
    return later


@pytest.fixture
def job(outer: Any, hands: Any, by: dict[str, Any], inspector: dict[str, Any]) -> Any:
    return finished(hands.open(outer, "flange-check"), hands, by, inspector)


def words(pdf: bytes) -> str:
    text = " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages)
    return " ".join(text.replace("\u200b", "").split())


def test_it_keeps_the_engine_and_says_what_to_do(job: Any, hands: Any) -> None:
    with pytest.raises(VisitError) as refused:
        hands.release(job)
    said = str(refused.value)
    assert "Wrench not recorded. Step" in said and "set to 10.0 N.m by Tilda Reeve, 5 May 2025" in said
    assert "Open the step again and set it with a wrench of the register" in said
    assert "where no record can be had, an inspector decides in words" in said
    assert len(queries.job_sheet(job).blockers) == 1 and not Release.objects.exists()


def test_set_again_with_a_wrench_of_the_register_it_is_gone(job: Any, hands: Any, by: dict[str, Any]) -> None:
    later = opened_again(job, by)
    for step_id in (TORQUE, *later):
        hands.do(job, step_id)
    assert queries.job_sheet(job).exceedances == () and queries.job_sheet(job).blockers == []
    hands.release(job)


def test_an_inspectors_words_let_it_go_and_are_on_the_papers(
    job: Any, hands: Any, inspector: dict[str, Any]
) -> None:
    actions.decide_exceedance(job, HERE, WORDS, **inspector)
    hands.release(job)
    sheet = queries.job_sheet(job)
    assert sheet.release and sheet.release.exceedances[0]["heading"] == "Wrench not recorded"
    for paper in (job_papers.release(sheet), hand_back.hand_back(sheet)):
        assert "nobody recorded which wrench" in words(paper)
        assert "Decision of Ingo Halm" in words(paper) and "none turned" in words(paper)
    assert "Wrench not recorded. Step" in words(job_papers.work_card(sheet))


def test_neither_who_set_it_nor_a_new_part_answers_it(job: Any, by: dict[str, Any], crew: Any) -> None:
    with pytest.raises(VisitError, match="An inspector who did not do this work decides"):
        actions.decide_exceedance(job, HERE, WORDS, **by)
    with pytest.raises(VisitError, match="does not say which wrench"):
        actions.renew_part(job, HERE, "flange", **by)
    assert queries.job_sheet(job).exceedances[0].answer is None


def test_set_again_without_one_asks_anew(
    job: Any, by: dict[str, Any], inspector: dict[str, Any], hands: Any
) -> None:
    actions.decide_exceedance(job, HERE, WORDS, **inspector)
    later = opened_again(job, by)
    set_without(job, by, inspector)
    for step_id in later:
        hands.do(job, step_id)
    with pytest.raises(VisitError, match="Wrench not recorded"):
        hands.release(job)


@pytest.mark.parametrize("keys", [{"critical": False}, {"moment": "as found"}])
def test_a_torque_that_is_not_critical_or_only_tried_is_let_go(
    sheet_with: Callable[..., None],
    outer: Any,
    hands: Any,
    by: dict[str, Any],
    inspector: dict[str, Any],
    keys: dict[str, Any],
) -> None:
    sheet_with("cards.steps", TORQUE, **keys)
    job = finished(hands.open(outer, "flange-check"), hands, by, inspector)
    assert queries.job_sheet(job).exceedances == ()
    hands.release(job)


def test_the_pages_ask_for_it(
    job: Any, crew: Any, signed_in: Callable[..., Client], hands: Any, by: dict[str, Any]
) -> None:
    client = signed_in(crew.inspector)
    step = client.get(f"/visits/{job.number}/steps/{TORQUE}/").content.decode()
    assert "Wrench not recorded: no release until it is answered." in step
    page = client.get(f"/visits/{job.number}/exceedances/").content.decode()
    assert "How the torque was proved" in page and "Record new part" not in page
    sent = {"place": TORQUE, "what": WRENCH, "words": WORDS}
    client.post(f"/visits/{job.number}/exceedances/decision/", sent)
    assert queries.job_sheet(job).exceedances[0].answered.startswith("Decision of Ingo Halm")
    assert "Decision of Ingo Halm" in client.get(f"/visits/{job.number}/release/").content.decode()


def test_before_it_is_set_the_form_says_what_follows(
    outer: Any, hands: Any, crew: Any, signed_in: Callable[..., Client]
) -> None:
    job = hands.open(outer, "flange-check")
    hands.do(job, "look-flange")
    page = signed_in(crew.technician).get(f"/visits/{job.number}/steps/{TORQUE}/").content.decode()
    assert "no release without an inspector" in page


def test_with_a_recorded_wrench_nothing_is_asked(outer: Any, hands: Any) -> None:
    job = hands.open(outer, "flange-check")
    hands.do_all(job)
    assert queries.job_sheet(job).exceedances == ()


def test_a_critical_reading_that_sets_nothing_is_asked_for_no_wrench(
    outer: Any, hands: Any, by: dict[str, Any]
) -> None:
    """A lever height, critical and read without naming the gauge, is no torque."""
    job = hands.open(outer, "diaphragm-service")
    for line in queries.job_sheet(job).steps:
        hands.do(job, line.step.id)
        if line.step.id == "lever-height":
            break
    read = queries.job_sheet(job).step("lever-height")
    assert read.step.critical and read.reading and read.reading.gauge is None and not read.as_found
    assert not any(e.spot.of_wrench for e in queries.job_sheet(job).exceedances)
