"""The shipped sheet holds the facts of the trade, each as a literal here.

Unless a line says otherwise the figure is common practice, no source.
"""

from __future__ import annotations

import json
import re
from math import pi

import pytest

from tickover.sheets import Card, Step, TypeSheet, fingerprint, load_sheet, shipped_sheets, shipped_texts

SERVICE = "diaphragm-service"
LIMITS = {
    "lever-height": (1.4, 1.2, 1.6, "mm"),
    "flange-torque": (10.0, 9.0, 10.0, "N.m"),
    # The rest from memory.
    "pop-off": (1.0, 0.7, 1.4, "bar"),
    "needle-low": (1.0, 0.5, 1.75, "turns"),
    "needle-high": (1.25, 0.75, 2.0, "turns"),
    "cable-slack": (2.0, 1.0, 3.0, "mm"),
    "idle-rpm": (2100.0, 1700.0, 2500.0, "rpm"),
    "static-rpm": (8000.0, 7200.0, 8800.0, "rpm"),
    "cht": (190.0, 120.0, 230.0, "deg C"),
    "plug-gap": (0.6, 0.5, 0.8, "mm"),
    "plug-torque": (23.0, 20.0, 27.0, "N.m"),
}
FACTS = {
    "soak-pump-gasket": ["1 to 2 minutes", "clamp load", "just before it is laid on"],
    "metering-gasket": ["1 to 2 minutes", "just before"],
    "wash-powder": ["powder"],
    "lever-height": ["1.2 to 1.6 mm", "lean: the dangerous side", "rich: carbon and high consumption"],
    "blow-dry": ["Under 2 bar", "Moving air"],
    "wash-body": ["Never a steel wire", "No strong cleaner on anything of rubber", "Moving air"],
    "lever-out": ["spring jumps"],
    "needle-tip": ["Replace the needle and its seat"],
    "metering-cover-on": ["X", "snug", "small steps", "pressure is even"],
    "cover-again": ["5 minutes"],
    "flange-torque": ["10 N.m and no more", "plastic and deforms"],
    "carburettor-on": ["thread-lock", "O-ring"],
    "look-through": ["flange, gaskets and insulator", "fuel pump does not work"],
    "cable-slack": ["1 to 3 mm"],
    "idle-rpm": ["1700 to 2500 rpm"],
    "warm-up": ["two persons", "nobody in the propeller's plane"],
    "restrain": ["outdoors", "three times the thrust", "carbon monoxide"],
    "clear-area": ["two persons", "nobody in the propeller's plane or behind it", "ear muffs"],
    "lay-out-kit": ["bag stays with the visit", "two gasket materials", "other carburettors"],
    "clear-the-air": ["flame", "moving air", "Gloves and eye protection"],
}


def words(step: Step) -> str:
    findings = " ".join(f"{f.title} {f.advice}" for f in step.findings)
    return " ".join([step.act, step.how, step.caution, findings])


def every_step() -> list[tuple[Card, Step]]:
    """Of every type; a card they share is seen once."""
    cards = {card.id: card for sheet in shipped_sheets().values() for card in sheet.cards}
    return [(card, step) for card in cards.values() for step in card.steps]


@pytest.mark.parametrize("name", LIMITS)
def test_the_figures_of_the_trade(sheet: TypeSheet, name: str) -> None:
    row = sheet.limit(name)
    assert (row.nominal, row.lower, row.upper, row.unit) == LIMITS[name]


def test_only_these_figures_are_called_practice_the_rest_is_memory(sheet: TypeSheet) -> None:
    practice = {name for name in LIMITS if sheet.limit(name).authority == "common practice, no source"}
    assert practice == {"lever-height", "flange-torque"}
    assert {sheet.limit(name).authority for name in set(LIMITS) - practice} == {"from memory"}


def test_the_lever_is_judged_with_the_gauge_in_mind(sheet: TypeSheet) -> None:
    row = sheet.limit("lever-height")
    assert (row.resolution, row.expanded_uncertainty, row.rule) == (0.02, 0.05, "guarded")
    assert "lean" in row.low_means and "dangerous" in row.low_means
    assert "carbon" in row.high_means and "consumption" in row.high_means


def test_what_is_never_passed_is_what_the_cards_say_so_of() -> None:
    """Each by the sheet's own words: "and no more", "shut down", "never over", "not used again"."""
    never = {
        limit.id: (limit.never_above, limit.unit)
        for sheet in shipped_sheets().values()
        for limit in sheet.limits
        if limit.never_above is not None
    }
    assert never == {
        "flange-torque": (10.0, "N.m"),
        "case-test-pressure": (0.5, "bar"),
        "case-pressure-loss": (0.5, "bar"),
        "cht": (250.0, "deg C"),
        "egt": (680.0, "deg C"),
        "propeller-bolts-wood": (18.0, "N.m"),
    }
    assert not [limit.id for s in shipped_sheets().values() for limit in s.limits if limit.never_below]


@pytest.mark.parametrize("name", ["flange-torque", "plug-torque"])
def test_a_torque_is_set_not_measured_and_the_sheet_says_so(sheet: TypeSheet, name: str) -> None:
    row = sheet.limit(name)
    assert row.rule == "simple"
    assert "set to" in row.note


@pytest.mark.parametrize("name", FACTS)
def test_the_card_says_what_the_trade_knows(sheet: TypeSheet, name: str) -> None:
    step = next(step for step in sheet.card(SERVICE).steps if step.id == name)
    for fact in FACTS[name]:
        assert fact.lower() in words(step).lower()


def test_old_diaphragms_are_judged_and_still_good_is_a_finding(sheet: TypeSheet) -> None:
    step = next(step for step in sheet.card(SERVICE).steps if step.id == "metering-cover-off")
    assert {f.id for f in step.findings} == {
        "still-good",
        "hard",
        "stretched",
        "torn",
        "varnish",
        "green-deposit",
    }
    assert "still good after a year is a finding too" in words(step)


def test_a_second_person_checks_what_stops_an_engine(sheet: TypeSheet) -> None:
    steps = sheet.card(SERVICE).steps
    assert {step.id for step in steps if step.second_check} == {
        "lever-height",
        "look-through",
        "flange-torque",
        "pulse-hose-on",
        "cable-slack",
        "hoses-and-box",
        "leak-look",
        "hook-diaphragm",
        "pump-gasket-pulse",
        "intake-open",
        "safe-to-run",
        "throttle-try",
        "restrain",
        "stop-proved",
    }
    assert {step.id for step in steps if step.critical and not step.second_check} == {
        "clear-area",
        "cap-on",
        "stop-by-switch",
        "ground-again",
        "after-run",
    }


def test_the_last_work_on_the_engine_is_to_warm_it_up_and_set_it(sheet: TypeSheet) -> None:
    order = [step.id for step in sheet.card(SERVICE).steps]
    assert order[:2] == ["make-safe", "clear-the-air"]
    assert order[-8:-4] == ["warm-up", "idle-rpm", "static-rpm", "cht"]
    assert order[-4:] == ["stop-by-switch", "ground-again", "after-run", "hand-back"]


def test_whatever_has_a_hazard_has_its_caution() -> None:
    """Open petrol, a jumping spring, blown air, a torque on plastic, a running engine."""
    hazard = re.compile(r"petrol|spring|blow|10 N\.m|throttle|prime|warm the engine|power", re.I)
    for card, step in every_step():
        if hazard.search(step.act) and not step.act.startswith(LOOKING):
            assert step.caution, f"{card.id}, {step.id}"


LOOKING = ("Ask", "Compare", "Count", "Fill in", "Lay", "Look", "Photograph", "Try", "Write")


def test_every_step_has_what_it_needs() -> None:
    for card, step in every_step():
        place = f"{card.id}, {step.id}"
        assert step.how, place
        assert step.act[0].isupper() and len(step.act) <= 90, place
        assert not step.reading or step.tools, f"{place}: a reading needs an instrument"
        assert set(step.tools) <= {*card.tools, *card.consumables, *LYING_ABOUT}, place
        assert not step.findings or len(step.findings) > 1, f"{place}: a look has at least two outcomes"


LYING_ABOUT = {"Screwdriver with a marked head", "Lamp", "Rule", "Thermocouple washer"}


def test_every_task_has_a_card_that_begins_by_making_it_safe() -> None:
    """The engine is made safe before hands go to it, or strapped down where the card begins with a run."""
    for sheet in shipped_sheets().values():
        for task in sheet.programme:
            assert task.card is not None
            begin = {step.id for step in sheet.card(task.card).steps[:3]}
            assert begin & {"make-safe", "restrain"}, f"{sheet.id}, {task.card}"


@pytest.mark.parametrize("name", ["plug-renewal", "flange-check"])
def test_the_short_cards_are_short(sheet: TypeSheet, name: str) -> None:
    for build in sheet.builds:
        assert 5 <= len(sheet.for_build(build.id).card(name).steps) <= 9


def test_the_maker_comes_first(sheet: TypeSheet) -> None:
    assert sheet.notice.startswith("The maker's manual for the exact engine")
    assert "rules of the place" in sheet.notice
    assert "maker" not in {row.authority for row in (*sheet.limits, *sheet.programme, *sheet.parts)}


def test_bore_and_stroke_give_the_name(sheet: TypeSheet) -> None:
    # Cylinder volume from the bore's radius, elementary geometry.
    by_hand = pi * 3.2**2 * 5.75
    assert sheet.geometry.displacement_cm3 == pytest.approx(by_hand, rel=1e-12)
    assert round(by_hand) == 185


def test_a_sheet_goes_through_json_and_back(sheet: TypeSheet) -> None:
    again = TypeSheet.model_validate_json(sheet.model_dump_json())
    assert again == sheet
    assert json.loads(sheet.model_dump_json())["limits"][0]["id"] == "lever-height"


def test_the_fingerprint_is_sha_256_of_the_text() -> None:
    # FIPS 180-4 example, one block: "abc".
    assert fingerprint("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


def test_the_text_kept_beside_a_job_gives_the_same_sheet() -> None:
    for name, text in shipped_texts().items():
        sheet = load_sheet(text, name)
        assert shipped_sheets()[sheet.id] == sheet
        assert sheet.id == name.removesuffix(".toml")
