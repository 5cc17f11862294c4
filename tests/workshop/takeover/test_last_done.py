"""The table of last times: all rows or none, an error for each row, and what was copied can be corrected."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

import pytest

from tickover.workshop.kernel import queries as journal
from tickover.workshop.programme import actions as programme
from tickover.workshop.programme import queries
from tickover.workshop.programme.models import LastTimeNotKnown, TaskDone
from tickover.workshop.scope.scope import scope_of
from tickover.workshop.takeover import last_done
from tickover.workshop.takeover.actions import ComingEngine, HoursNow, take_over
from tickover.workshop.takeover.last_done import LastDoneTyped, bring_forward, programme_rows
from tickover.workshop.takeover.refusal import RowsRefusedError, TakeOverError

pytestmark = pytest.mark.usefixtures("verified")

DIAPHRAGM, PLUG = "diaphragm-service", "plug-look"
BOOK = "logbook 1, pages 3 to 34"
DONE = LastDoneTyped(205.0, date(2024, 6, 1))


@pytest.fixture
def engine(sheet: Any, crew: Any, now: datetime) -> Any:
    hours = HoursNow(230.0, now.date(), "log entry", "logbook 1, page 34")
    return take_over(ComingEngine("1310", sheet.sheet_id, "Nils Tarn", hours), who=crew.technician, at=now)


def rows(engine: Any, now: datetime) -> dict[str, Any]:
    return {row.task.id: row for row in programme_rows(engine, now.date())}


def save(engine: Any, crew: Any, now: datetime, **typed: LastDoneTyped) -> int:
    everything = {name: LastDoneTyped() for name in rows(engine, now)}
    everything |= {name.replace("_", "-"): last for name, last in typed.items()}
    return bring_forward(engine, everything, BOOK, who=crew.technician, at=now)


def test_a_row_for_each_task_that_falls_due_by_itself(engine: Any, now: datetime) -> None:
    found = rows(engine, now)
    assert len(found) > 30 and not any(row.task.on_condition for row in found.values())
    assert found[DIAPHRAGM].interval == "100 h or 12 months"
    assert all(row.not_known for row in found.values())


def test_what_the_book_says_is_due_as_it_should_be(engine: Any, crew: Any, now: datetime) -> None:
    assert save(engine, crew, now, diaphragm_service=DONE) == 1
    line = queries.due_of(engine, DIAPHRAGM, now.date())
    assert (line.due.due_h, line.due_on, line.not_known) == (305.0, date(2025, 6, 1), False)
    row = TaskDone.objects.get()
    assert row.reference == f"brought forward from {BOOK}"
    assert (row.planned_h, row.planned_on) == (None, None)
    assert journal.about("engine/1310")[0].body["facts"]["reference"] == f"brought forward from {BOOK}"
    assert queries.due_of(engine, PLUG, now.date()).not_known
    assert rows(engine, now)["pop-off-and-hold"].when_empty == "done with other work, 205.0 h"


def test_a_check_that_other_work_begins_anew_is_not_known_once_its_hours_are_over(
    engine: Any, crew: Any, now: datetime
) -> None:
    """The flange is tried again 5 h after a diaphragm service: of a silent book, nobody knows whether it was."""
    save(engine, crew, now, diaphragm_service=DONE)
    assert queries.due_of(engine, "flange-check", now.date()).not_known
    near = LastDoneTyped(225.1, date(2025, 5, 1))
    save(engine, crew, now, diaphragm_service=near)
    line = queries.due_of(engine, "flange-check", now.date())
    assert (line.not_known, line.due.due_h) == (False, pytest.approx(230.1))
    over = LastDoneTyped(225.0, date(2025, 5, 1))
    save(engine, crew, now, diaphragm_service=over)
    assert queries.due_of(engine, "flange-check", now.date()).not_known
    save(engine, crew, now, diaphragm_service=over, flange_check=LastDoneTyped(229.0, date(2025, 5, 4)))
    line = queries.due_of(engine, "flange-check", now.date())
    assert (line.not_known, line.due.due_h) == (False, 254.0)


def test_saving_the_same_again_writes_nothing(engine: Any, crew: Any, now: datetime) -> None:
    save(engine, crew, now, diaphragm_service=DONE)
    before = journal.head()
    assert save(engine, crew, now, diaphragm_service=DONE) == 0
    assert journal.head() == before


def test_a_slip_is_corrected_to_an_earlier_day_too(engine: Any, crew: Any, now: datetime) -> None:
    save(engine, crew, now, diaphragm_service=DONE)
    earlier = LastDoneTyped(150.0, date(2023, 6, 1))
    assert save(engine, crew, now, diaphragm_service=earlier) == 1
    assert rows(engine, now)[DIAPHRAGM].typed == earlier
    assert queries.due_of(engine, DIAPHRAGM, now.date()).due.due_h == 250.0


def test_a_row_that_is_emptied_is_not_known_again(engine: Any, crew: Any, now: datetime) -> None:
    save(engine, crew, now, diaphragm_service=DONE)
    assert save(engine, crew, now) == 1
    assert queries.due_of(engine, DIAPHRAGM, now.date()).not_known


@pytest.mark.parametrize(
    ("last", "sentence"),
    [
        (LastDoneTyped(230.1, date(2024, 6, 1)), "230.1 h is more than the engine has now, 230.0 h"),
        (LastDoneTyped(205.0, date(2025, 5, 6)), "6 May 2025 is still to come"),
        (LastDoneTyped(205.0, date(1924, 6, 1)), "more than 60 years ago"),
        (LastDoneTyped(-1.0, date(2024, 6, 1)), "less than nothing"),
        (LastDoneTyped(205.0), "Type the day too"),
        (LastDoneTyped(None, date(2024, 6, 1)), "Type the hours too"),
    ],
)
def test_one_wrong_row_saves_none(
    engine: Any, crew: Any, now: datetime, last: LastDoneTyped, sentence: str
) -> None:
    with pytest.raises(RowsRefusedError, match=r"1 row to correct\. Nothing was saved") as caught:
        save(engine, crew, now, diaphragm_service=last, plug_look=DONE)
    assert set(caught.value.rows) == {DIAPHRAGM}
    assert sentence in caught.value.rows[DIAPHRAGM]
    assert not TaskDone.objects.exists()


def test_the_last_hour_of_the_engine_may_be_a_service(engine: Any, crew: Any, now: datetime) -> None:
    assert save(engine, crew, now, diaphragm_service=LastDoneTyped(230.0, now.date())) == 1


def test_a_table_says_from_which_book(engine: Any, crew: Any, now: datetime) -> None:
    with pytest.raises(TakeOverError, match="which logbook"):
        bring_forward(engine, {DIAPHRAGM: DONE}, " ", who=crew.technician, at=now)
    assert last_done.source_of(engine) == "logbook 1, page 34"
    save(engine, crew, now, diaphragm_service=DONE)
    assert last_done.source_of(engine) == BOOK


def test_what_was_done_on_the_bench_here_is_not_changed_by_a_table(
    engine: Any, crew: Any, now: datetime
) -> None:
    programme.record_done(engine, DIAPHRAGM, now.date(), 230.0, "R-2025-0001", who=crew.technician, at=now)
    assert rows(engine, now)[DIAPHRAGM].fixed
    assert save(engine, crew, now, diaphragm_service=DONE) == 0


def test_an_engine_from_before_takes_the_table_too(outer: Any, hours: Any, crew: Any, now: datetime) -> None:
    hours(outer, 230.0, date(2025, 1, 1))
    assert not LastTimeNotKnown.objects.exists()
    assert save(outer, crew, now, diaphragm_service=DONE) == 1
    assert not queries.due_of(outer, DIAPHRAGM, now.date()).not_known
    assert queries.due_of(outer, PLUG, now.date()).not_known


def test_of_the_hours_that_came_only_those_since_the_service_are_unsure(
    engine: Any, crew: Any, now: datetime
) -> None:
    """230 h from a book are known to 4.65 h; the 25 h since the service to the share of it that is theirs."""
    save(engine, crew, now, diaphragm_service=DONE)
    line = queries.due_of(engine, DIAPHRAGM, now.date())
    assert line.sd_h == pytest.approx(4.65)
    assert line.left_sd_h == pytest.approx(4.65 * (25 / 230) ** 0.5)


def test_a_visit_inspects_what_is_not_known_and_leaves_renewals_to_be_chosen(
    engine: Any, crew: Any, now: datetime
) -> None:
    save(engine, crew, now, diaphragm_service=DONE)
    scope = scope_of(engine, now.date())
    group = next(group for group in scope.groups if group.name == "not-known")
    assert group.title == "Not known: baseline inspection"
    kinds = {line.ticked: set() for line in group.lines}
    for line in group.lines:
        kinds[line.ticked].add(line.task.kind)
    assert kinds[False] == {"replace"} and kinds[True] and "replace" not in kinds[True]
    assert not any(line.task.id == DIAPHRAGM for line in group.lines)
    assert not {line.task.id for g in scope.groups if g.name in ("due", "overdue") for line in g.lines} & {
        line.task.id for line in group.lines
    }
