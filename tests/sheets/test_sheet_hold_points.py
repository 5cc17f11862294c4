"""Which steps wait for a second check, by the sheet: named, in order, on every build, and said for every step."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from pydantic import ValidationError

from tickover.sheets import Card, Step, TypeSheet, load_sheet, shipped_sheets
from tickover.sheets.composing import composed

SHEETS = shipped_sheets()
LEVER = 'id = "lever-height"\nact'
HELD = 'hold_before = ["metering-gasket", "hook-diaphragm", "metering-cover-on", "carburettor-on"]'

CASES = {
    "a step nobody wrote": (
        '["metering-gaskte"]',
        'steps[25].hold_before[1]: there is no step of this card called "metering-gaskte"; '
        'did you mean "metering-gasket"?',
    ),
    "an earlier step": (
        '["fit-lever"]',
        'steps[25].hold_before[1]: the step "fit-lever" does not come after this one, so it cannot wait for it',
    ),
    "the step itself": ('["lever-height"]', 'the step "lever-height" does not come after this one'),
    "a step that another build has": (
        '["look-through"]',
        'steps[25].hold_before: holds no step for "external-pulse"',
    ),
}


@pytest.mark.parametrize(("held", "says"), CASES.values(), ids=CASES.keys())
def test_what_waits_is_a_later_step_of_the_card(complaint: Callable[..., str], held: str, says: str) -> None:
    assert says in complaint(LEVER, HELD, f"hold_before = {held}")


def test_only_a_second_check_holds() -> None:
    row = {"id": "a", "act": "Look.", "authority": "rule"}
    for hold in ({"hold_before": ("b",)}, {"no_hold": "Nothing covers it."}):
        with pytest.raises(ValidationError, match="only a step with second_check = true holds other steps"):
            Step.model_validate(row | hold)
        assert Step.model_validate(row | hold | {"second_check": True})
    with pytest.raises(ValidationError, match="leave one of the two out"):
        Step.model_validate(row | {"second_check": True, "hold_before": ("b",), "no_hold": "Nothing."})


@pytest.mark.parametrize("sheet", SHEETS.values(), ids=SHEETS.keys())
def test_every_second_check_of_a_shipped_card_says_what_waits_for_it(sheet: TypeSheet) -> None:
    for build in sheet.builds:
        for card in sheet.for_build(build.id).cards:
            last = card.steps[-1].id
            silent = [
                s.id
                for s in card.steps
                if s.second_check and not (s.hold_before or s.no_hold or s.id == last)
            ]
            assert not silent, (build.id, card.id)


@pytest.mark.parametrize("sheet", SHEETS.values(), ids=SHEETS.keys())
def test_a_step_that_reads_a_running_engine_says_that_it_runs(sheet: TypeSheet) -> None:
    """Nobody reads rpm, head or exhaust gas temperature, fuel use or thrust on an engine that is still."""
    running = {"idle-rpm", "static-rpm", "cht", "egt", "fuel-use-full", "static-thrust", "clutch-engagement"}
    steps = [(card.id, s) for card in sheet.cards for s in card.steps]
    assert not [(card, s.id) for card, s in steps if s.reading in running and not s.runs_engine]
    warmed = [
        s for _, s in steps if s.act.startswith(("Warm the engine up", "Start it", "Begin the running-in"))
    ]
    assert len(warmed) > 10 and all(s.runs_engine for s in warmed)


def test_the_lever_is_read_twice_before_its_cover_closes() -> None:
    for sheet in SHEETS.values():
        for card_id in ("diaphragm-service", "pop-off-and-hold", "carburettor-strip"):
            card = sheet.card(card_id)
            levers = [s for s in card.steps if s.second_check and s.id.startswith("lever-height")]
            assert levers
            for lever in levers:
                assert set(lever.hold_before) == {
                    "metering-gasket", "hook-diaphragm", "metering-cover-on", "carburettor-on"
                }  # fmt: skip


def test_a_held_step_that_no_build_of_a_type_has_is_left_out_with_it() -> None:
    """A fragment for many types: the type with composite propellers only drops the wood step and its hold."""
    files = {
        "type.toml": 'id = "t"\ninclude = ["work.toml"]\n[[builds]]\nid = "one"\ntraits = ["composite"]\n',
        "work.toml": (
            '[[cards]]\nid = "c"\n[[cards.steps]]\nid = "look"\nhold_before = ["wood", "comp", "wrogn"]\n'
            '[[cards.steps]]\nid = "wood"\nbuilds = ["wood"]\n'
            '[[cards.steps]]\nid = "comp"\nbuilds = ["composite"]\n'
        ),
    }
    text = composed("type.toml", files.__getitem__)
    assert "wood" not in text
    assert '"comp"' in text and '"wrogn"' in text, "a name that no step ever had stays, to be told"


def test_on_a_build_a_step_holds_what_its_card_has_there() -> None:
    sheet = SHEETS["velisk-185"]
    for build in sheet.builds:
        card: Card = sheet.for_build(build.id).card("propeller-fit")
        ids = {s.id for s in card.steps}
        assert all(set(s.hold_before) <= ids for s in card.steps)


def test_a_sheet_from_before_holds_were_written_still_loads(text: str) -> None:
    kept = [
        line
        for line in text.splitlines()
        if not line.startswith(("hold_before = ", "no_hold = ", "runs_engine = ", "at_joint = "))
    ]
    of_its_time = re.sub(r"(?ms)^\[\[acts\]\]\n.*?(?=^\[\[(?!acts))", "", "\n".join(kept))
    old = load_sheet(of_its_time, "old.toml")
    assert not old.acts, "acts came later still"
    assert not any(s.hold_before or s.no_hold or s.runs_engine for c in old.cards for s in c.steps)
