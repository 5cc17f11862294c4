"""What the workshop decides over its sheets: from what to count on, and whose hours are not known."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from typing import Any

import pytest
from django.test import Client

from tickover.sheets import TaskRow
from tickover.workshop.programme import actions, decisions, queries
from tickover.workshop.programme.actions import ProgrammeError
from tickover.workshop.register.queries import build_of

pytestmark = pytest.mark.usefixtures("verified")

DIAPHRAGM = "diaphragm-service"
TODAY = date(2026, 1, 12)


@pytest.fixture
def done_late(outer: Any, crew: Any, hours: Callable[..., Any], now: datetime) -> Any:
    """The diaphragms, planned at 100 h or on 1 January 2026, were done at 104 h on 11 January."""
    hours(outer, 104.0, date(2025, 12, 1))
    return actions.record_done(outer, DIAPHRAGM, date(2026, 1, 11), 104.0, "R-1", who=crew.technician, at=now)


def due(engine: Any, today: date = TODAY) -> tuple[float | None, date | None]:
    line = queries.due_of(engine, DIAPHRAGM, today)
    return line.due.due_h, line.due_on


def test_the_sheet_counts_from_the_plan_and_the_workshop_may_count_from_the_deed(
    outer: Any, done_late: Any, crew: Any, now: datetime
) -> None:
    assert due(outer) == (200.0, date(2027, 1, 1))
    actions.set_anchor(outer.sheet_id, "actual", "our authority's rule", who=crew.manager, at=now)
    assert due(outer) == (204.0, date(2027, 1, 11))
    actions.set_anchor(outer.sheet_id, "", "back to the sheet", who=crew.manager, at=now)
    assert due(outer) == (200.0, date(2027, 1, 1))


def test_a_paper_printed_before_is_printed_again_as_it_was(
    outer: Any, done_late: Any, crew: Any, now: datetime
) -> None:
    before = queries.due_after(outer, build_of(outer).task(DIAPHRAGM), "R-1")
    actions.set_anchor(outer.sheet_id, "actual", "a new rule", who=crew.manager, at=now)
    actions.note_hours(outer, "log lost", known=False, who=crew.technician, at=now)
    assert queries.due_after(outer, build_of(outer).task(DIAPHRAGM), "R-1") == before


@pytest.mark.parametrize(("anchor", "reason"), [("sometimes", "why not"), ("actual", " ")])
def test_an_anchor_is_one_of_two_and_has_a_reason(
    outer: Any, crew: Any, now: datetime, anchor: str, reason: str
) -> None:
    with pytest.raises(ProgrammeError):
        actions.set_anchor(outer.sheet_id, anchor, reason, who=crew.manager, at=now)


def test_an_engine_without_any_entry_has_hours_that_nobody_knows(outer: Any) -> None:
    engine = queries.engine_lines([outer], date(2025, 5, 5))[0]
    assert engine.unknown.reason == "no engine time entered"
    assert engine.first.task.id == decisions.BASELINE.id
    assert engine.first.sentence == "due now: hours not known (no engine time entered)"
    service = queries.due_of(outer, DIAPHRAGM, date(2025, 5, 5))
    assert (service.due.due_h, service.due_on) == (None, date(2026, 1, 1))
    assert service.why.startswith("Due on 1 Jan 2026, by date only")


def test_hours_in_doubt_are_left_aside_until_they_are_known_again(
    outer: Any, crew: Any, hours: Callable[..., Any], now: datetime
) -> None:
    hours(outer, 99.0, date(2025, 3, 1))
    assert due(outer)[0] == 100.0
    actions.note_hours(outer, "the meter was changed", known=False, who=crew.technician, at=now)
    assert due(outer) == (None, date(2026, 1, 1))
    actions.note_hours(outer, "the old meter was found", known=True, who=crew.technician, at=now)
    assert due(outer) == (100.0, date(2026, 1, 1))


def test_the_baseline_inspection_is_wanted_once(outer: Any, crew: Any, now: datetime) -> None:
    assert queries.due_of(outer, decisions.BASELINE.id, now.date()).state == "due"
    with pytest.raises(ProgrammeError, match="where its findings"):
        actions.record_baseline(outer, "", who=crew.technician, at=now)
    actions.record_baseline(outer, "visit sheet 7, in the folder", who=crew.technician, at=now)
    with pytest.raises(ProgrammeError, match="recorded already"):  # a button pressed twice
        actions.record_baseline(outer, "visit sheet 7, in the folder", who=crew.technician, at=now)
    with pytest.raises(LookupError):
        queries.due_of(outer, decisions.BASELINE.id, now.date())
    references = [row.reference for row in queries.history(outer, decisions.BASELINE.id)]
    assert references == ["visit sheet 7, in the folder"]


def test_a_task_of_hours_alone_is_on_condition_while_the_hours_are_not_known(
    outer: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    from tickover.workshop.register import queries as register

    by_hours = TaskRow(
        id="reeds", title="Reeds", system="induction", kind="inspect", interval_h=50.0, minutes=10.0,
        authority="from memory",
    )  # fmt: skip
    sheet = register.build_of(outer).model_copy(update={"programme": (by_hours,)})
    monkeypatch.setattr(register, "build_of", lambda engine: sheet)
    line = queries.due_of(outer, "reeds", date(2025, 5, 5))
    assert line.state == "not yet"
    assert line.sentence == "on condition: no limit by hours or date, checked with other work"
    assert line.why.startswith("No limit by date: without the engine’s hours")


def test_the_pages_say_it_plainly_and_take_the_notes(
    outer: Any, crew: Any, signed_in: Callable[..., Client]
) -> None:
    client = signed_in(crew.technician)
    page = client.get("/engines/1200/hours-known/").content.decode()
    assert "</strong> since 1 Jan 2025" in page and "Baseline inspection" in page
    assert client.get("/engines/1200/tasks/baseline-inspection/").status_code == 200
    client.post("/engines/1200/hours-known/baseline/", {"words": "folder 3"})
    client.post("/engines/1200/hours-known/note/", {"known": "yes", "reason": "new engine, 0 h"})
    assert " h recorded." in client.get("/engines/1200/hours-known/").content.decode()
    client.post("/engines/1200/hours-known/note/", {"known": "yes", "reason": ""})
    assert len(decisions.notes_of(outer)) == 1


def test_only_a_manager_sets_the_anchor(outer: Any, crew: Any, signed_in: Callable[..., Client]) -> None:
    address = f"/programme/{outer.sheet_id}/anchor/"
    given = {"anchor": "actual", "reason": "rule of the office"}
    assert signed_in(crew.technician).post(address, given).status_code == 403
    assert signed_in(crew.manager).post(address, given).status_code == 302
    assert decisions.anchors() == {outer.sheet_id: "actual"}
    assert signed_in(crew.manager).post("/programme/no-such/anchor/", given).status_code == 404
    page = signed_in(crew.technician).get("/programme/").content.decode()
    assert "rule of the office" in page and "Published rules differ" in page
