"""A lesser task counts as done with the greater one that does it as well, and is not offered beside it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest

from tickover.sheets import TypeSheet, shipped_sheets
from tickover.workshop.programme import actions, queries
from tickover.workshop.scope import offers
from tickover.workshop.visits import queries as visits
from tickover.workshop.visits.actions import add_task

SERVICE, TESTS, STRIP, FLANGE = "diaphragm-service", "pop-off-and-hold", "carburettor-strip", "flange-check"


@pytest.fixture(autouse=True)
def flown(outer: Any, hours: Callable[..., Any]) -> None:
    hours(outer, 31.0, date(2025, 4, 1))


@pytest.fixture
def sheet_185() -> TypeSheet:
    return shipped_sheets()["velisk-185"]


def done(engine: Any, task: str, day: date, at_h: float, crew: Any, now: Any) -> None:
    actions.record_done(engine, task, day, at_h, f"R-{task}-{at_h:g}", who=crew.technician, at=now)


def due_of(engine: Any, task: str, now: Any) -> tuple[float | None, float]:
    due = queries.due_of(engine, task, now.date()).due
    return due.due_h, due.last_h


def test_a_task_holds_those_of_the_tasks_it_contains(sheet_185: TypeSheet) -> None:
    assert sheet_185.contained(STRIP) == (SERVICE, TESTS, FLANGE)
    assert sheet_185.contained(FLANGE) == () == sheet_185.contained("no-such-task")


def test_what_a_greater_task_did_counts_from_when_it_was_done(outer: Any, crew: Any, now: Any) -> None:
    done(outer, TESTS, date(2025, 3, 1), 20.0, crew, now)
    assert due_of(outer, TESTS, now)[0] == 70.0
    done(outer, STRIP, date(2025, 4, 1), 31.0, crew, now)
    assert due_of(outer, TESTS, now) == (81.0, 31.0), "two tasks further down"
    assert due_of(outer, SERVICE, now) == (131.0, 31.0)


def test_a_lesser_task_does_not_count_for_the_greater(outer: Any, crew: Any, now: Any) -> None:
    before = due_of(outer, SERVICE, now)
    done(outer, TESTS, date(2025, 3, 1), 20.0, crew, now)
    assert due_of(outer, SERVICE, now) == before


def test_the_newer_of_both_counts(outer: Any, crew: Any, now: Any) -> None:
    done(outer, SERVICE, date(2025, 3, 1), 20.0, crew, now)
    done(outer, TESTS, date(2025, 4, 1), 31.0, crew, now)
    assert due_of(outer, TESTS, now) == (81.0, 31.0)
    assert due_of(outer, SERVICE, now) == (120.0, 20.0)


def test_bolts_of_a_joint_that_was_made_anew_are_still_tried_after_its_first_hours(
    outer: Any, crew: Any, now: Any
) -> None:
    done(outer, SERVICE, date(2025, 4, 1), 31.0, crew, now)
    first_h = next(line for line in queries.due_lines(outer, now.date()) if line.task.id == FLANGE)
    assert first_h.due.due_h == 31.0 + (first_h.task.first_after_h or 0.0)


def test_a_job_offers_nothing_that_its_own_tasks_do_as_well(outer: Any, hands: Any, now: Any) -> None:
    lesser, greater = hands.open(outer, TESTS), hands.open(outer, STRIP)
    offered = {task.id for task in offers.others(visits.job_sheet(greater))}
    assert not {STRIP, SERVICE, TESTS, FLANGE} & offered and "plug-look" in offered
    assert {STRIP, SERVICE} <= {task.id for task in offers.others(visits.job_sheet(lesser))}


def test_what_is_found_asks_for_no_task_that_the_job_does_as_well(outer: Any, hands: Any) -> None:
    job = hands.open(outer, "running-baseline")
    for step in ("safe-to-run", "throttle-try", "restrain", "stop-proved"):
        hands.do(job, step)
    hands.do(job, "warm", finding="hard")
    assert [line.finding.task for line in visits.job_sheet(job).asked_for if line.finding] == [TESTS]
    add_task(job, STRIP, "it starts badly", who=hands.crew.technician, at=hands.at)
    assert visits.job_sheet(job).asked_for == []
