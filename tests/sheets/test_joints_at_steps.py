"""A torque belongs to the step that tightens; a part that is fitted and discarded is said once."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from tickover.sheets import Step, TypeSheet, shipped_sheets

SHEETS = shipped_sheets()
REMOVES = ("Take ", "Undo ", "Slacken ", "Open ", "Lift ", "Look ", "Draw ", "Pull ")
ROW = {"id": "a", "act": "Do it.", "authority": "rule"}


@pytest.mark.parametrize("sheet", SHEETS.values(), ids=SHEETS.keys())
def test_every_step_at_a_joint_says_what_is_done_there(sheet: TypeSheet) -> None:
    steps = [(c.id, s) for c in sheet.cards for s in c.steps if s.joint]
    assert len(steps) > 50
    assert not [(card, s.id) for card, s in steps if not s.at_joint]


@pytest.mark.parametrize("sheet", SHEETS.values(), ids=SHEETS.keys())
def test_no_step_that_removes_or_inspects_gives_a_torque(sheet: TypeSheet) -> None:
    steps = [s for c in sheet.cards for s in c.steps if s.joint]
    assert not [s.act for s in steps if s.act.startswith(REMOVES) and s.gives_torque]
    assert all(s.gives_torque for s in steps if s.reading and "torque" in s.reading)


@pytest.mark.parametrize(
    ("work", "gives"), [("opens", False), ("looks", False), ("fits", True), ("tightens", True), ("", True)]
)
def test_a_torque_is_given_where_the_joint_is_closed_or_nothing_is_said(work: str, gives: bool) -> None:
    assert Step.model_validate(ROW | {"joint": "j", "at_joint": work}).gives_torque is gives
    assert not Step.model_validate(ROW).gives_torque


def test_work_at_a_joint_names_the_joint() -> None:
    with pytest.raises(ValidationError, match="this step is at no joint"):
        Step.model_validate(ROW | {"at_joint": "opens"})


def test_a_part_that_is_fitted_and_discarded_is_said_once() -> None:
    step = Step.model_validate(ROW | {"fits": ("gasket", "clip"), "discards": ("gasket", "hose")})
    assert (step.renews, step.only_fits, step.only_discards) == (("gasket",), ("clip",), ("hose",))
