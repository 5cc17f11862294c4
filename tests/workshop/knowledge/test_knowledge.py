"""Type sheets as a workshop changes them: drafts, versions, what they move, and a newer shipped text."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tickover.sheets import fingerprint, load_sheet, sheet_data, shipped_texts
from tickover.workshop.knowledge import actions, queries, tables
from tickover.workshop.knowledge.differences import differences, merged
from tickover.workshop.knowledge.effects import effects
from tickover.workshop.knowledge.tables import Place
from tickover.workshop.people.models import Person
from tickover.workshop.programme import queries as programme
from tickover.workshop.register import queries as register
from tickover.workshop.register import type_sheet_actions
from tickover.workshop.register.actions import RegisterError
from tickover.workshop.register.models import SheetVersion
from tickover.workshop.visits import queries as visits

pytestmark = pytest.mark.usefixtures("verified")

LIMITS, PROGRAMME = Place("limits"), Place("programme")


@pytest.fixture
def set_key(sheet: Any, now: Any) -> Callable[..., Any]:
    """Set one key of a row in a person's draft."""

    def do(who: Person, place: Place, row_id: str, key: str, value: Any) -> Any:
        def edit(data: dict[str, Any]) -> None:
            tables.row_of(data, place, row_id)[key] = value

        return actions.change(sheet.sheet_id, place, row_id, edit, who=who, at=now)

    return do


def test_nothing_holds_until_the_draft_is_kept(crew: Any, sheet: Any, set_key: Any, now: Any) -> None:
    draft = set_key(crew.inspector, LIMITS, "lever-height", "nominal", 1.42)
    assert register.newest_sheet("velisk-185").limit("lever-height").nominal == 1.4
    row = actions.keep(draft, "manual, issue 4", who=crew.inspector, at=now)
    assert (
        row.version == sheet.version + 1
        and register.newest_sheet("velisk-185").limit("lever-height").nominal == 1.42
    )
    line = queries.version_lines("velisk-185")[0]
    assert (line.by, line.reason) == ("Ingo Halm", "manual, issue 4")
    assert queries.draft_of("velisk-185", crew.inspector) is None


def test_a_job_keeps_the_version_it_was_opened_by(
    crew: Any, outer: Any, hands: Any, set_key: Any, now: Any
) -> None:
    job = hands.open(outer, "diaphragm-service")
    draft = set_key(crew.inspector, LIMITS, "lever-height", "nominal", 1.42)
    actions.keep(draft, "manual", who=crew.inspector, at=now)
    assert visits.sheet_for(job.sheet).limit("lever-height").nominal == 1.4


def test_what_comes_due_earlier_is_told_before_it_is_kept(
    crew: Any, outer: Any, inner: Any, hours: Any, set_key: Any
) -> None:
    hours(outer, 10.0)
    hours(inner, 10.0)
    old = register.newest_sheet("velisk-185")
    interval_h = old.task("diaphragm-service").interval_h or 0.0
    draft = set_key(crew.manager, PROGRAMME, "diaphragm-service", "interval_h", interval_h / 2)
    told = effects(old, load_sheet(draft.text, "draft"), [outer, inner])
    assert told.sentence == "2 engines of this type; 2 tasks come due earlier."
    planned = programme.planned_point(outer, "diaphragm-service")
    assert planned is not None
    due = planned.due_h or 0.0
    assert told.moved[0].was.startswith(f"{due:.1f} h")
    assert told.moved[0].now.startswith(f"{due - interval_h / 2:.1f} h")


def test_a_limit_moves_no_due_date(crew: Any, outer: Any, set_key: Any) -> None:
    draft = set_key(crew.manager, LIMITS, "lever-height", "nominal", 1.42)
    told = effects(register.newest_sheet("velisk-185"), load_sheet(draft.text, "draft"), [outer])
    assert told.sentence == "1 engine of this type; no due date moves."


def test_a_new_task_and_a_dropped_one_are_told(crew: Any, outer: Any, sheet: Any, now: Any) -> None:
    old = register.newest_sheet("velisk-185")
    data = sheet_data(sheet.text)
    task = tables.row_of(data, PROGRAMME, "diaphragm-service")
    data["programme"].append({**task, "id": "own-task", "title": "Own task"})
    new = load_sheet(tables.text_of(data), "new")
    assert effects(old, new, [outer]).sentence.endswith("1 task is new.")
    assert effects(new, old, [outer]).sentence.endswith("1 task is dropped.")


def test_of_two_editors_the_second_is_asked_to_compare(crew: Any, sheet: Any, set_key: Any, now: Any) -> None:
    first = set_key(crew.inspector, LIMITS, "lever-height", "nominal", 1.42)
    second = set_key(crew.manager, LIMITS, "pop-off", "nominal", 1.1)
    assert queries.others_drafting("velisk-185", crew.manager) == ["Ingo Halm"]
    actions.keep(first, "manual", who=crew.inspector, at=now)
    with pytest.raises(actions.KnowledgeError, match="newer version"):
        actions.keep(second, "own data", who=crew.manager, at=now)
    laid = actions.lay_over_newest(second, at=now)
    assert laid.collisions == []
    actions.keep(laid, "own data", who=crew.manager, at=now)
    newest = register.newest_sheet("velisk-185")
    assert newest.version == sheet.version + 2
    assert (newest.limit("lever-height").nominal, newest.limit("pop-off").nominal) == (1.42, 1.1)


def test_where_two_editors_met_is_told_and_the_own_figure_stays(
    crew: Any, sheet: Any, set_key: Any, now: Any
) -> None:
    first = set_key(crew.inspector, LIMITS, "lever-height", "nominal", 1.42)
    second = set_key(crew.manager, LIMITS, "lever-height", "nominal", 1.5)
    actions.keep(first, "manual", who=crew.inspector, at=now)
    laid = actions.lay_over_newest(second, at=now)
    assert laid.collisions == ["limits.lever-height.nominal: yours is 1.5, the other 1.42; yours stays."]


def test_a_draft_without_a_difference_is_not_kept(crew: Any, set_key: Any, now: Any) -> None:
    draft = set_key(crew.inspector, LIMITS, "lever-height", "nominal", 1.4)
    with pytest.raises(actions.KnowledgeError, match="is the same as the newest version"):
        actions.keep(draft, "why", who=crew.inspector, at=now)


def test_a_version_cannot_be_kept_twice_nor_without_a_reason(crew: Any, sheet: Any, now: Any) -> None:
    with pytest.raises(RegisterError, match="already here"):
        type_sheet_actions.keep_version(sheet.text, "why", who=crew.manager, at=now)
    with pytest.raises(RegisterError, match="Type why"):
        type_sheet_actions.keep_version(sheet.text, " ", who=crew.manager, at=now)
    with pytest.raises(RegisterError, match="The rows do not match yet"):
        type_sheet_actions.keep_version("a = 1", "why", who=crew.manager, at=now)
    assert SheetVersion.objects.count() == 1


def test_a_newer_shipped_text_is_offered_and_own_changes_stay(
    crew: Any, sheet: Any, set_key: Any, now: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    draft = set_key(crew.inspector, LIMITS, "lever-height", "nominal", 1.42)
    actions.keep(draft, "manual", who=crew.inspector, at=now)
    assert queries.newer_shipped("velisk-185") == ""
    data = sheet_data(shipped_texts()["velisk-185.toml"])
    tables.row_of(data, LIMITS, "lever-height")["nominal"] = 1.38
    tables.row_of(data, LIMITS, "pop-off")["nominal"] = 1.05
    newer = tables.text_of(data)
    monkeypatch.setattr(queries, "shipped_texts", lambda: {"velisk-185.toml": newer})
    taken = actions.take_shipped("velisk-185", who=crew.inspector, at=now)
    assert taken.collisions == ["limits.lever-height.nominal: yours is 1.42, the other 1.38; yours stays."]
    told = differences(sheet_data(queries.newest("velisk-185").text), sheet_data(taken.text))
    assert [(d.key, d.was, d.now) for d in told] == [("Nominal value", "1", "1.05")]
    with pytest.raises(actions.KnowledgeError, match="Keep it or discard it"):
        actions.take_shipped("velisk-185", who=crew.inspector, at=now)
    actions.keep(taken, "came with the program", who=crew.inspector, at=now)
    assert queries.newer_shipped("velisk-185") == ""
    assert queries.version_lines("velisk-185")[0].shipped == fingerprint(newer)


def test_no_newer_shipped_text_is_no_draft(crew: Any, sheet: Any, now: Any) -> None:
    with pytest.raises(actions.KnowledgeError, match="no newer text"):
        actions.take_shipped("velisk-185", who=crew.inspector, at=now)


def test_rows_in_another_order_are_one_difference(sheet: Any) -> None:
    before, after = sheet_data(sheet.text), sheet_data(sheet.text)
    tables.move(after, Place("steps", "flange-check"), "make-safe", 1)
    (told,) = differences(before, after)
    assert told.key == "order"


def test_rows_taken_out_on_one_side_and_changed_on_the_other_collide() -> None:
    base = {"version": 1, "limits": [{"id": "a", "lower": 1.0}, {"id": "b", "lower": 1.0}]}
    mine = {"version": 1, "limits": [{"id": "b", "lower": 1.0}]}
    theirs = {
        "version": 2,
        "limits": [{"id": "a", "lower": 2.0}, {"id": "b", "lower": 1.0}, {"id": "c", "lower": 0.0}],
    }
    data, told = merged(base, mine, theirs)
    assert [row["id"] for row in data["limits"]] == ["b", "c"] and len(told) == 1


def test_an_id_is_made_of_words_and_taken_once() -> None:
    rows = [{"id": "copper-washer"}]
    assert tables.new_id(rows, "Copper washer!") == "copper-washer-2"
    assert tables.new_id(rows, "…") == "row" and len(tables.new_id([], "x" * 200)) <= tables.ID_MAX


@pytest.mark.parametrize("name", ["new", "import", "x" * 61])
def test_a_name_that_cannot_be_an_address_is_refused(crew: Any, sheet: Any, now: Any, name: str) -> None:
    data = sheet_data(sheet.text) | {"id": name}
    with pytest.raises(actions.KnowledgeError):
        actions.begin(data, who=crew.manager, at=now)


def test_an_engine_comes_into_the_register_with_a_new_owner_or_one_that_is_there(
    crew: Any, sheet: Any, now: Any
) -> None:
    from tickover.workshop.register.actions import NewEngine

    for serial in ("1777", "1778"):
        new = NewEngine(f"Engine {serial}", serial, "velisk-185", "external-pulse", date(2025, 1, 1))
        engine = type_sheet_actions.register_engine(new, "Nils Tarn", who=crew.technician, at=now)
    assert engine.owner.engines.count() == 2


def test_many_versions_are_asked_for_at_once(crew: Any, sheet: Any, set_key: Any, now: Any) -> None:
    def asked() -> int:
        with CaptureQueriesContext(connection) as questions:
            assert queries.newer_shipped("velisk-185") == ""
        return len(questions)

    one = asked()
    for nominal in (1.42, 1.43, 1.44):
        draft = set_key(crew.inspector, LIMITS, "lever-height", "nominal", nominal)
        actions.keep(draft, "manual", who=crew.inspector, at=now)
    assert asked() == one and len(queries.version_lines("velisk-185")) == 4
    assert queries.last_shipped("velisk-185") == shipped_texts()["velisk-185.toml"]
