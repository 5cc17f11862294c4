"""Tasks that belong to one component or to a condition stand where they belong, and nowhere else."""

from __future__ import annotations

import re
from typing import Any

import pytest

from tickover.sheets import Fitted, SheetError, load_sheet, shipped_texts
from tickover.workshop.components import actions as components
from tickover.workshop.logbook import job_papers
from tickover.workshop.programme import queries
from tickover.workshop.register import actions as register
from tickover.workshop.visits import queries as visits


def newer(text: str) -> str:
    """The same sheet as its next version."""
    return re.sub(
        r"^version = (\d+)$", lambda v: f"version = {int(v[1]) + 1}", text, count=1, flags=re.MULTILINE
    )


TEXT = newer(shipped_texts()["velisk-185.toml"])
WOOD = """
[[programme]]
id = "hub-wood"
title = "Wood hub bolts"
system = "propeller"
kind = "measure"
interval_h = 25
minutes = 8
fitted = { kind = "propeller", title = "wood" }
authority = "common practice, no source"
"""
CONDITION = """
[[programme]]
id = "carbon"
title = "Carbon off the piston crown"
system = "top end"
kind = "service"
on_condition = true
minutes = 60
authority = "common practice, no source"
"""


def _sheet(*rows: str) -> str:
    before, cards, after = TEXT.partition("\n[[cards]]")
    return before + "".join(rows) + "\n" + cards + after


def _task_ids(engine: Any, day: Any) -> set[str]:
    return {line.task.id for line in queries.due_lines(engine, day)}


@pytest.fixture
def kept(outer: Any, now: Any) -> Any:
    register.keep_sheet(_sheet(WOOD, CONDITION), "velisk-185.toml", actor="tickover", at=now)
    return outer


@pytest.mark.parametrize(
    ("title", "stands"), [("Wood, two blades", True), ("Composite, three blades", False), (None, True)]
)
def test_a_task_of_a_wood_propeller_stands_unless_another_is_fitted(
    kept: Any, crew: Any, now: Any, title: str | None, stands: bool
) -> None:
    if title:
        new = components.NewComponent("propeller", title, "P-1")
        propeller = components.add_component(new, who=crew.technician, at=now)
        components.fit(propeller, kept, components.ComponentChange(now, crew.technician, now))
    assert ("hub-wood" in _task_ids(kept, now.date())) is stands


def test_a_task_on_condition_never_falls_due_and_says_so(kept: Any, now: Any) -> None:
    line = next(d for d in queries.due_lines(kept, now.date()) if d.task.id == "carbon")
    assert (line.state, line.due.due_h, line.due.due_day) == ("not yet", None, None)
    assert "on condition" in line.sentence


@pytest.mark.parametrize("wrong", ["interval_h = 50\n", "interval_months = 12\n"])
def test_on_condition_and_an_interval_do_not_go_together(wrong: str) -> None:
    with pytest.raises(SheetError, match=r"on condition has no interval_h"):
        load_sheet(_sheet(CONDITION + wrong), "velisk-185.toml")


def test_a_component_is_told_by_kind_and_by_a_word_of_its_title() -> None:
    wood = Fitted(kind="propeller", title="wood")
    assert wood.is_it("propeller", "Laminated WOOD, 125 cm")
    assert not wood.is_it("propeller", "Composite") and not wood.is_it("drive belt", "wood")


def test_a_newer_sheet_leaves_an_old_release_as_it_was(outer: Any, hands: Any, now: Any) -> None:
    """Its interval halves, then the task goes: the paper is the same, and the job that was open is released."""
    first = hands.open(outer, "plug-renewal")
    hands.do_all(first)
    hands.release(first)
    printed = job_papers.release(visits.job_sheet(first))
    open_still = hands.open(outer, "plug-renewal")
    halved = TEXT.replace("interval_h = 25", "interval_h = 12")
    register.keep_sheet(halved, "velisk-185.toml", actor="tickover", at=now)
    assert job_papers.release(visits.job_sheet(first)) == printed
    head, row, tail = newer(halved).partition(_plug_row(halved))
    assert row
    dropped = (head + tail).replace('task = "plug-renewal"\n', "")
    register.keep_sheet(dropped, "velisk-185.toml", actor="tickover", at=now)
    assert "plug-renewal" not in _task_ids(outer, now.date())
    hands.do_all(open_still)
    hands.release(open_still)
    assert job_papers.release(visits.job_sheet(first)) == printed
    assert job_papers.release(visits.job_sheet(open_still)).startswith(b"%PDF")


def _plug_row(text: str) -> str:
    """The programme's table of the spark plug renewal, whole."""
    start = text.index('[[programme]]\nid = "plug-renewal"')
    return text[start : text.index("[[", start + 2)]
