"""A step on condition of a finding: not needed until that is made; and findings put right before the next run."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from tickover.workshop.logbook import step_papers
from tickover.workshop.visits import actions, queries
from tickover.workshop.visits.lock_open_job import VisitError

CARD, LOOK, FOUND, WASH = "air-filter-service", "element", "dusty", "oil"
CONDITION = r"Only if found: “Dust outside, clean inside” at step \d+\."

pytestmark = pytest.mark.usefixtures("verified")


@pytest.fixture
def by(crew: Any, now: Any) -> dict[str, Any]:
    return {"who": crew.technician, "at": now}


@pytest.fixture
def job(outer: Any, hands: Any, sheet_with: Callable[..., None]) -> Any:
    """An air filter service where the element is oiled only if it is found dusty."""
    sheet_with("cards.steps", WASH, only_on=[f"{LOOK}.{FOUND}"])
    return hands.open(outer, CARD)


@pytest.fixture
def binding(outer: Any, sheet_with: Callable[..., None]) -> None:
    """A torn element is put right before the next run."""
    sheet_with("cards.steps.findings", "torn", before="next run")


def step(job: Any, step_id: str) -> Any:
    return queries.job_sheet(job).step(step_id)


def do_until(job: Any, step_id: str, hands: Any) -> None:
    for line in queries.job_sheet(job).steps:
        if line.step.id == step_id:
            return
        if not line.not_needed:
            hands.do(job, line.step.id)


def against(job: Any, step_id: str) -> list[str]:
    return step(job, step_id).blockers


def test_without_its_finding_it_is_not_needed_and_keeps_nothing_from_release(job: Any, hands: Any) -> None:
    do_until(job, LOOK, hands)
    hands.do(job, LOOK, finding="torn")
    assert step(job, WASH).progress == "not needed" and not against(job, WASH)
    sheet = queries.job_sheet(job)
    assert sheet.needed_count == len(sheet.steps) - 1
    hands.do(job, "wash")
    current = queries.job_sheet(job).current
    assert current is not None and current.step.id == "box-clean"


def test_it_comes_to_life_when_the_finding_is_made(job: Any, hands: Any) -> None:
    do_until(job, LOOK, hands)
    hands.do(job, LOOK, finding=FOUND)
    assert step(job, WASH).progress == "open"
    assert against(job, WASH) == [f"{step(job, WASH).name}: not done."]
    sheet = queries.job_sheet(job)
    assert sheet.needed_count == len(sheet.steps)
    hands.do(job, "wash")
    current = queries.job_sheet(job).current
    assert current is not None and current.step.id == WASH
    hands.do(job, WASH)
    assert step(job, WASH).progress == "done"


def test_what_was_done_stays_done_when_the_finding_is_taken_back(
    job: Any, hands: Any, by: dict[str, Any]
) -> None:
    do_until(job, LOOK, hands)
    hands.do(job, LOOK, finding=FOUND)
    hands.do(job, WASH)
    actions.reopen(job, LOOK, "looked again", **by)
    hands.do(job, LOOK, finding="torn")
    assert step(job, WASH).progress == "done"


def test_with_an_added_card_it_depends_on_the_step_of_that_card(
    outer: Any, hands: Any, by: dict[str, Any], sheet_with: Callable[..., None]
) -> None:
    sheet_with("cards.steps", WASH, only_on=[f"{LOOK}.{FOUND}"])
    job = hands.open(outer, "running-baseline")
    actions.add_task(job, CARD, "due as well", **by)
    wash = step(job, f"{CARD}.{WASH}")
    assert wash.not_needed and re.match(CONDITION, wash.condition)
    look = next(s for s in queries.job_sheet(job).steps if any(f.id == FOUND for f in s.step.findings))
    assert f"at step {look.number}." in wash.condition
    do_until(job, look.step.id, hands)
    hands.do(job, look.step.id, finding=FOUND)
    assert not step(job, f"{CARD}.{WASH}").not_needed


def test_pages_and_papers_say_on_which_finding_it_is_done(
    job: Any, hands: Any, signed_in: Callable[..., Client], crew: Any
) -> None:
    client = signed_in(crew.technician)
    for address in (f"/visits/{job.number}/", f"/visits/{job.number}/steps/{WASH}/"):
        assert re.search(rf"{CONDITION} Not needed\.", client.get(address).content.decode())
    assert re.match(CONDITION, step_papers.step(step(job, WASH)).how)
    do_until(job, LOOK, hands)
    hands.do(job, LOOK, finding=FOUND)
    page = client.get(f"/visits/{job.number}/steps/{WASH}/").content.decode()
    assert re.search(CONDITION, page) and "Not needed." not in page


@pytest.mark.usefixtures("binding")
def test_a_finding_before_the_next_run_keeps_runs_waiting_and_nothing_else(
    outer: Any, hands: Any, by: dict[str, Any]
) -> None:
    job = hands.open(outer, CARD)
    do_until(job, LOOK, hands)
    hands.do(job, LOOK, finding="torn")
    hands.do(job, "wash")
    assert against(job, LOOK) == [
        f"{step(job, LOOK).name}: found “Torn, crumbling or pulled off its frame”: put it right before the next run."
    ]
    run = hands.open(outer, "running-baseline")
    runs = next(line for line in queries.job_sheet(run).steps if line.runs_engine)
    do_until(run, runs.step.id, hands)
    with pytest.raises(VisitError, match=r"of visit .* which keeps the engine from running: put it right"):
        hands.do(run, runs.step.id)
    actions.reopen(job, LOOK, "new element fitted", **by)
    with pytest.raises(VisitError, match="keeps the engine from running"):  # opened again is not put right
        hands.do(run, runs.step.id)
    hands.do(job, LOOK, finding=FOUND)
    hands.do(run, runs.step.id)
    assert step(run, runs.step.id).done and not against(job, LOOK)
