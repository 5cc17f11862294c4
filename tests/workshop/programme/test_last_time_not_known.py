"""A task of which nobody knows when it was last done asks for an inspection, and is late by nothing."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date, datetime
from typing import Any

import pytest

from tickover.science.planning.access import visit_minutes
from tickover.workshop.logbook import sections
from tickover.workshop.people.models import Workshop
from tickover.workshop.programme import actions, export, queries, reminders
from tickover.workshop.programme.actions import ProgrammeError
from tickover.workshop.programme.workload import visit_plan
from tickover.workshop.register.queries import build_of
from tickover.workshop.scope.scope import scope_of
from tickover.workshop.scope.take_in import take_in

pytestmark = pytest.mark.usefixtures("verified")

DIAPHRAGM = "diaphragm-service"
LATER = date(2028, 1, 12)
BOOK = "logbook 1"


@pytest.fixture
def old(outer: Any, hours: Callable[..., Any]) -> Any:
    """230 h on an engine that was registered three years before the day it is looked at."""
    hours(outer, 230.0, date(2025, 1, 1))
    return outer


def line(engine: Any, task_id: str = DIAPHRAGM, today: date = LATER) -> Any:
    return queries.due_of(engine, task_id, today)


def note(engine: Any, task_id: str, crew: Any, now: datetime) -> Any:
    return actions.note_not_known(engine, task_id, BOOK, who=crew.technician, at=now)


def done(engine: Any, on: date, at_h: float, crew: Any, now: datetime, task_id: str = DIAPHRAGM) -> Any:
    return actions.record_done(
        engine, task_id, on, at_h, BOOK, brought_forward=True, who=crew.technician, at=now
    )


def test_it_is_due_and_late_by_nothing(old: Any, crew: Any, now: datetime) -> None:
    assert line(old).state == "over tolerance"
    note(old, DIAPHRAGM, crew, now)
    found = line(old)
    assert (found.state, found.sentence) == ("due", "not known: baseline inspection")
    assert found.due.due_h is None and found.due_on == now.date()
    assert found.why == "When it was last done is not known. The inspection starts the count."
    assert "month" not in found.sentence and found.not_known


def test_one_note_holds_for_every_task_without_an_entry_but_those_on_condition(
    old: Any, crew: Any, now: datetime
) -> None:
    done(old, date(2024, 6, 1), 205.0, crew, now)
    note(old, "", crew, now)
    lines = queries.due_lines(old, LATER)
    contained = build_of(old).contained(DIAPHRAGM)
    for one in lines:
        wanted = not one.task.on_condition and one.task.id not in {DIAPHRAGM, *contained}
        assert one.not_known == wanted, one.task.id
    assert not any(one.state == "over tolerance" for one in lines if one.not_known)
    assert line(old).due.due_h == 305.0


def test_the_time_found_in_a_book_later_is_known(old: Any, crew: Any, now: datetime) -> None:
    note(old, DIAPHRAGM, crew, now)
    done(old, date(2024, 6, 1), 205.0, crew, now)
    assert (line(old).not_known, line(old).due.due_h) == (False, 305.0)


def test_a_greater_task_that_does_it_as_well_makes_it_known(old: Any, crew: Any, now: datetime) -> None:
    note(old, DIAPHRAGM, crew, now)
    greater = next(t.id for t in build_of(old).programme if DIAPHRAGM in build_of(old).contained(t.id))
    done(old, date(2025, 1, 1), 230.0, crew, now, greater)
    assert not line(old).not_known


def test_a_note_takes_an_entry_from_before_out_of_the_count(old: Any, crew: Any, now: datetime) -> None:
    done(old, date(2024, 6, 1), 205.0, crew, now)
    note(old, DIAPHRAGM, crew, now)
    assert line(old).not_known
    done(old, date(2023, 6, 1), 180.0, crew, now)
    assert line(old).due.due_h == 280.0


def test_the_next_time_counts_from_the_inspection_and_no_plan(old: Any, crew: Any, now: datetime) -> None:
    note(old, DIAPHRAGM, crew, now)
    row = actions.record_done(
        old, DIAPHRAGM, date(2025, 9, 1), 231.0, "R-2025-0009", who=crew.technician, at=now
    )
    assert (row.planned_h, row.planned_on) == (None, None)
    assert (line(old).due.due_h, line(old).due_on) == (331.0, date(2026, 9, 1))


def test_a_note_says_which_book_was_read(old: Any, crew: Any, now: datetime) -> None:
    with pytest.raises(ProgrammeError, match="which logbook"):
        actions.note_not_known(old, DIAPHRAGM, " ", who=crew.technician, at=now)


def test_today_counts_it_apart(old: Any, crew: Any, now: datetime) -> None:
    note(old, "", crew, now)
    row = take_in(queries.engine_lines([old], now.date()), ())[0]
    assert row.not_known > 30
    assert row.counts == f"{row.not_known} not known"
    assert row.overdue == 0
    ticked = scope_of(old, now.date()).ticked
    sheet = build_of(old)
    assert row.minutes == visit_minutes([sheet.task(name) for name in ticked], sheet.access).total_min


def test_the_weeks_plan_it_and_call_nothing_of_it_overdue(old: Any, crew: Any, now: datetime) -> None:
    note(old, "", crew, now)
    plan = visit_plan.plan(queries.engine_lines([old], LATER), LATER)
    assert [v.late for v in plan.visits] == [[] for _ in plan.visits]
    inspected = [title for visit in plan.visits for title in visit.inspected]
    sheet = build_of(old)
    assert sheet.task("plug-look").title in inspected
    planned = {task.id for visit in plan.visits for task in visit.visit.tasks}
    assert (
        "ring-renewal" not in planned and {sheet.task(name).kind for name in planned} & {"replace"} == set()
    )


def test_the_letter_names_it_once_and_speaks_of_no_months(old: Any, crew: Any, now: datetime) -> None:
    note(old, "", crew, now)
    owner = reminders.owner_line(old.owner_id, LATER)
    assert owner is not None
    letter = reminders.letter(owner, Workshop(name="Bench"), LATER)
    assert letter.count("ot known: baseline inspection") == 1
    assert "verdue" not in letter and " months" not in letter
    assert "send us its pages" in letter


def test_the_logbook_prints_it_as_not_known(old: Any, crew: Any, now: datetime) -> None:
    note(old, DIAPHRAGM, crew, now)
    found = sections.sections(old, now)
    title = build_of(old).task(DIAPHRAGM).title
    programme = next(s for s in found if s.title == "Programme")
    assert (title, "not known", "–", "–", "baseline inspection") in programme.rows
    lost = next(s for s in found if s.title == "What is not known")
    assert any("not known, baseline inspection" in point and title in point for point in lost.points)


def test_the_list_of_engines_as_a_file_gives_it_no_day(old: Any, crew: Any, now: datetime) -> None:
    note(old, "", crew, now)
    row = json.loads(export.as_json(queries.engine_lines([old], LATER)))
    first = (row["engines"] if isinstance(row, dict) else row)[0]
    assert (first["words"], first["state"]) == ("not known: baseline inspection", "due")
    assert (first["due_h"], first["due_on"], first["likely_on"]) == (None, None, None)


def test_the_pages_show_it(old: Any, crew: Any, now: datetime, signed_in: Callable[[Any], Any]) -> None:
    note(old, "", crew, now)
    browser = signed_in(crew.technician)
    for address in ("/", "/engines/", f"/engines/{old.serial}/"):
        page = browser.get(address).content.decode()
        assert "ot known: baseline inspection" in page, address
    page = browser.get(f"/engines/{old.serial}/tasks/{DIAPHRAGM}/").content.decode()
    assert "The inspection starts the count" in page
    assert "came into service" not in page
    assert "Last done: not known." in browser.get("/engines/").content.decode()
