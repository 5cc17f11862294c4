"""A finding that stops: what lies behind it on its card waits until it is put right, and the engine does not run."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any

import pytest
from django.test import Client

from tickover.workshop.run_ups import actions as run_up_actions
from tickover.workshop.visits import actions, queries
from tickover.workshop.visits.lock_open_job import VisitError

FILTER, STOPS_AT, FOUND, NEXT = "air-filter-service", "choke", "touches", "stop-proved"

pytestmark = pytest.mark.usefixtures("verified")


@pytest.fixture
def by(crew: Any, now: Any) -> dict[str, Any]:
    return {"who": crew.technician, "at": now}


@pytest.fixture
def stopped(outer: Any, hands: Any) -> Any:
    """A job at whose choke something was found that stops its card."""
    job = hands.open(outer, FILTER)
    for line in queries.job_sheet(job).steps:
        if line.step.id == STOPS_AT:
            hands.do(job, STOPS_AT, finding=FOUND)
            return job
        hands.do(job, line.step.id)
    raise AssertionError("no such step")


def step(job: Any, step_id: str) -> Any:
    return queries.job_sheet(job).step(step_id)


def test_the_steps_behind_it_wait_and_say_for_what(stopped: Any, by: dict[str, Any]) -> None:
    with pytest.raises(VisitError, match=r"waits for step \d+ \(.*\), which stops its card: put it right"):
        actions.mark_done(stopped, NEXT, **by)
    assert not step(stopped, NEXT).done


def test_done_again_with_another_finding_it_stops_nothing(
    stopped: Any, hands: Any, by: dict[str, Any]
) -> None:
    actions.reopen(stopped, STOPS_AT, "found it", **by)
    with pytest.raises(VisitError):  # opened again is not put right
        actions.mark_done(stopped, NEXT, **by)
    hands.do(stopped, STOPS_AT)
    hands.do(stopped, NEXT)
    assert step(stopped, NEXT).done


def test_what_was_done_before_it_can_be_opened_and_done_again(
    stopped: Any, hands: Any, by: dict[str, Any]
) -> None:
    first = queries.job_sheet(stopped).steps[1].step.id
    actions.reopen(stopped, first, "once more", **by)
    hands.do(stopped, first)
    assert step(stopped, first).done


def test_another_card_of_the_job_goes_on_but_for_what_runs_the_engine(
    stopped: Any, hands: Any, by: dict[str, Any]
) -> None:
    actions.add_task(stopped, "running-baseline", "due as well", **by)
    sheet = queries.job_sheet(stopped)
    other = [line for line in sheet.steps if line.card.id == "running-baseline"]
    hands.do(stopped, other[0].step.id)
    run = next(line for line in other if line.runs_engine)
    for line in other[1 : other.index(run)]:
        hands.do(stopped, line.step.id)
    with pytest.raises(VisitError, match="which stops its card"):
        hands.do(stopped, run.step.id)


def test_in_another_open_job_of_the_engine_nothing_runs_either(stopped: Any, outer: Any, hands: Any) -> None:
    other = hands.open(outer, "running-baseline")
    for line in queries.job_sheet(other).steps:
        if line.runs_engine:
            with pytest.raises(VisitError, match=f"of visit {stopped.number}"):
                hands.do(other, line.step.id)
            return
        hands.do(other, line.step.id)


def test_what_makes_the_engine_safe_after_a_run_is_done_whatever_was_found(outer: Any, hands: Any) -> None:
    job = hands.open(outer, "running-baseline")
    lines = queries.job_sheet(job).steps
    stops = next(line for line in lines if line.step.id == "idle-rpm")
    for line in lines[: lines.index(stops)]:
        hands.do(job, line.step.id)
    hands.do(job, "idle-rpm", finding="turns-propeller")
    with pytest.raises(VisitError, match="which stops its card"):
        hands.do(job, lines[lines.index(stops) + 1].step.id)
    for safe in ("stop-by-switch", "ground-again", "after-run"):
        hands.do(job, safe)
        assert step(job, safe).done


def test_no_run_up_after_the_work_is_taken_while_a_step_stops(
    stopped: Any, outer: Any, by: dict[str, Any], now: datetime
) -> None:
    file = run_up_actions.Upload(b"no log at all", "run.csv", {})
    after = run_up_actions.Circumstances(now.date(), job=stopped, before_or_after="after")
    with pytest.raises(run_up_actions.RunUpError, match=r"A run-up waits for .* which stops its card"):
        run_up_actions.add_run(outer, file, after, **by)


def test_the_page_says_it_and_offers_no_reading(
    stopped: Any, signed_in: Callable[..., Client], crew: Any
) -> None:
    page = signed_in(crew.technician).get(f"/visits/{stopped.number}/steps/{NEXT}/").content.decode()
    assert "stops its card" in page
    assert 'name="finding"' not in page and f"/steps/{STOPS_AT}/" in page
