"""A reading that cannot be taken is said not to be, with the reason, and is told wherever readings are told."""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import datetime
from typing import Any

import pypdf
import pytest

from tickover.workshop.kernel.models import Entry
from tickover.workshop.logbook import engine_papers as register_paper
from tickover.workshop.logbook import hand_back, job_papers
from tickover.workshop.visits import actions, queries
from tickover.workshop.visits.actions import VisitError
from tickover.workshop.visits.models import NotMeasured, SecondCheck
from tickover.workshop.visits.recording import task_actions

pytestmark = pytest.mark.usefixtures("verified")

RUN, USE = "full-run-up", "fuel-use"
SCALE = "the scale is lent out"


@pytest.fixture
def by(crew: Any, now: datetime) -> dict[str, Any]:
    return {"who": crew.technician, "at": now}


@pytest.fixture
def run(outer: Any, hands: Any) -> Any:
    """A full run-up that may be run, whose fuel use is read with a scale and is not critical."""
    return may_run(hands.open(outer, RUN), hands)


@pytest.fixture
def flange(outer: Any, hands: Any) -> Any:
    """A flange check, whose torque is critical and confirmed by a second person."""
    return hands.open(outer)


def may_run(job: Any, hands: Any) -> Any:
    """The job with everything confirmed that its run waits for."""
    for step_id in ("safe-to-run", "throttle-try", "restrain", "stop-proved"):
        hands.do(job, step_id)
    for line in queries.job_sheet(job).steps:
        actions.confirm_cautions(job, line.step.id, who=hands.crew.technician, at=hands.at)
    return job


def words(pdf: bytes) -> str:
    text = " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages)
    return " ".join(text.split())


def step(job: Any, step_id: str = USE) -> queries.StepLine:
    return queries.job_sheet(job).step(step_id)


def test_a_step_is_done_without_its_reading_once_the_reason_is_said(run: Any, by: dict[str, Any]) -> None:
    with pytest.raises(VisitError, match="Save it first, or type why it is not taken"):
        actions.mark_done(run, USE, **by)
    actions.leave_unmeasured(run, USE, f" {SCALE} ", **by)
    assert step(run).not_measured.reason == SCALE and step(run).reading is None
    actions.mark_done(run, USE, **by)
    assert step(run).done and step(run).blockers == []
    assert step(run).warnings == [
        f"Step {step(run).number}, Work out the fuel burnt in that piece at full throttle: "
        f"Fuel use at full throttle, not moving was not measured, because {SCALE}."
    ]
    entry = Entry.objects.get(sequence=step(run).not_measured.entry_sequence)
    assert entry.kind == "reading not taken" and SCALE in entry.body


@pytest.mark.parametrize("reason", ["", "   "])
def test_never_without_a_reason(run: Any, by: dict[str, Any], reason: str) -> None:
    with pytest.raises(VisitError, match="Type why it is not measured"):
        actions.leave_unmeasured(run, USE, reason, **by)
    assert not NotMeasured.objects.exists()


def test_a_step_that_asks_for_none_or_has_its_answer_is_refused(run: Any, by: dict[str, Any]) -> None:
    with pytest.raises(VisitError, match="takes no reading"):
        actions.leave_unmeasured(run, "make-safe", SCALE, **by)
    actions.take_reading(run, USE, "10", **by)
    with pytest.raises(VisitError, match="has its answer already"):
        actions.leave_unmeasured(run, USE, SCALE, **by)
    actions.mark_done(run, USE, **by)
    with pytest.raises(VisitError, match="is done already"):
        actions.leave_unmeasured(run, USE, SCALE, **by)
    with pytest.raises(LookupError):
        actions.leave_unmeasured(run, "nowhere", SCALE, **by)


def test_a_reading_that_is_taken_after_all_counts(run: Any, by: dict[str, Any]) -> None:
    actions.leave_unmeasured(run, USE, SCALE, **by)
    actions.take_reading(run, USE, "10", **by)
    assert step(run).not_measured is None and step(run).reading.reading.value == 10.0


def test_a_step_that_is_opened_again_asks_again(run: Any, by: dict[str, Any]) -> None:
    actions.leave_unmeasured(run, USE, SCALE, **by)
    actions.mark_done(run, USE, **by)
    actions.reopen(run, USE, "the scale is back", **by)
    assert step(run).not_measured is None and not step(run).answered


def test_a_reading_from_before_the_step_was_opened_again_does_not_come_back(
    run: Any, by: dict[str, Any]
) -> None:
    actions.take_reading(run, USE, "10", **by)
    actions.mark_done(run, USE, **by)
    actions.reopen(run, USE, "the scale was wrong", **by)
    actions.leave_unmeasured(run, USE, SCALE, **by)
    actions.mark_done(run, USE, **by)
    assert step(run).reading is None and step(run).not_measured.reason == SCALE


def test_a_critical_step_without_its_reading_keeps_the_engine_from_release(
    flange: Any, by: dict[str, Any], crew: Any, hands: Any, now: datetime
) -> None:
    actions.leave_unmeasured(flange, "flange-torque", "no wrench", **by)
    actions.mark_done(flange, "flange-torque", **by)
    check = actions.second_check(flange, "flange-torque", who=crew.inspector, at=now)
    assert isinstance(check, SecondCheck)
    hands.do_all(flange)
    against = queries.job_sheet(flange).blockers
    assert len(against) == 1 and "critical, and not measured, because no wrench" in against[0]
    with pytest.raises(VisitError, match="no wrench"):
        hands.release(flange)


def test_what_was_outside_is_not_made_good_by_not_measuring_it(
    sheet_with: Callable[..., None], outer: Any, hands: Any, by: dict[str, Any]
) -> None:
    sheet_with("cards.steps", USE, moment="as left")
    run = may_run(hands.open(outer, RUN), hands)
    actions.take_reading(run, USE, "19; 3", **by)
    actions.mark_done(run, USE, **by)
    actions.reopen(run, USE, "once more", **by)
    actions.leave_unmeasured(run, USE, SCALE, **by)
    actions.mark_done(run, USE, **by)
    assert f"outside its limit, then not measured, because {SCALE}" in step(run).blockers[0]


def test_the_card_the_release_the_hand_back_sheet_and_the_logbook_tell_of_it(
    run: Any, outer: Any, by: dict[str, Any], hands: Any
) -> None:
    actions.leave_unmeasured(run, USE, SCALE, **by)
    actions.mark_done(run, USE, **by)
    hands.do_all(run)
    card = words(job_papers.work_card(queries.job_sheet(run)))
    assert "not measured" in card and "Because the scale is lent out. Recorded by Tilda Reeve." in card
    hands.release(run)
    sheet = queries.job_sheet(run)
    released = words(job_papers.release(sheet))
    assert f"(step {step(run).number}): not measured, because {SCALE}." in released
    for told in (hand_back.hand_back(sheet), register_paper.logbook(outer)):
        assert f"not measured, because {SCALE}." in words(told)


def test_an_added_card_with_a_reading_left_out_was_begun(outer: Any, by: dict[str, Any], hands: Any) -> None:
    job = hands.open(outer)
    task_actions.add_task(job, "nuts-cold", "asked for", **by)
    actions.leave_unmeasured(job, "nuts-cold.head-torque", "no wrench", **by)
    with pytest.raises(VisitError, match="has begun with step"):
        task_actions.drop_task(job, "nuts-cold", "not wanted", **by)


# On the page


def test_the_page_of_the_step_takes_the_reason(run: Any, crew: Any, signed_in: Callable[[Any], Any]) -> None:
    page, browser = f"/visits/{run.number}/steps/{USE}/", signed_in(crew.technician)
    assert "Cannot measure" in browser.get(page).content.decode()
    browser.post(f"{page}unmeasured/", {"reason": SCALE})
    for address in (page, f"/visits/{run.number}/", f"/visits/{run.number}/release/"):
        assert SCALE in browser.get(address).content.decode(), address


def test_a_critical_step_says_what_follows_before_it_is_left_out(
    flange: Any, crew: Any, signed_in: Callable[[Any], Any]
) -> None:
    page = signed_in(crew.technician).get(f"/visits/{flange.number}/steps/flange-torque/").content.decode()
    assert "no release without its reading" in page


def test_a_sentence_that_was_typed_is_given_back_where_it_is_refused(
    run: Any, crew: Any, signed_in: Callable[[Any], Any], by: dict[str, Any]
) -> None:
    actions.close_without_release(run, "not wanted", **by)
    address = f"/visits/{run.number}/steps/{USE}/unmeasured/"
    page = signed_in(crew.technician).post(address, {"reason": SCALE}, follow=True).content.decode()
    assert "was closed by" in page and f"You had typed: “{SCALE}”." in page
