"""The work cards of the engine itself: carburettor, crankcase, induction, top end, ignition and fuel.

A figure typed here is common practice without a source or from memory, unless its line names a source.
"""

from __future__ import annotations

from math import acos, degrees

import pytest

from tickover.sheets import Card, Step, TypeSheet, shipped_sheets

SHEETS = shipped_sheets()
CARDS = {
    "diaphragm-service": "diaphragm-service",
    "pop-off-and-hold": "pop-off-and-hold",
    "carburettor-strip": "carburettor-strip",
    "running-baseline": "running-baseline",
    "case-test": "case-test",
    "crank-measure": "crank-measure",
    "seal-renewal": "seal-renewal",
    "crank-overhaul": "crank-overhaul",
    "flange-check": "flange-check",
    "air-filter-service": "air-filter-service",
    "reed-check": "reed-check",
    "reed-renewal": "reed-renewal",
    "pulse-check": "pulse-check",
    "compression-check": "compression-check",
    "port-look": "port-look",
    "nuts-cold": "nuts-cold",
    "decarbonise": "decarbonise",
    "ring-renewal": "top-end",
    "piston-renewal": "top-end",
    "fins-clean": "fins-clean",
    "plug-renewal": "plug-renewal",
    "plug-look": "plug-look",
    "cap-lead-and-stop": "cap-lead-and-stop",
    "pick-up-and-flywheel": "pick-up-and-flywheel",
    "fuel-hoses-look": "fuel-hoses-look",
    "fuel-hose-renewal": "fuel-hose-renewal",
    "fuel-filter-renewal": "fuel-filter-renewal",
    "tank-clean": "tank-clean",
}
"""Task to card."""

SECOND_CHECKS = {
    "diaphragm-service": {
        "lever-height",
        "lever-height-flush",
        "look-through",
        "flange-torque",
        "pulse-hose-on",
    },
    "case-test": {"pressure-loss", "vacuum-loss", "flange-torque"},
    "top-end": {"circlips", "base-torque", "head-torque", "pressure-loss", "vacuum-loss"},
    "nuts-cold": {"head-torque", "base-torque"},
    "decarbonise": {"head-torque"},
    "seal-renewal": {"flywheel-on"},
    "pick-up-and-flywheel": {"flywheel-on"},
    "cap-lead-and-stop": {"stop-works"},
    "fuel-hose-renewal": {"joints-check"},
    "crank-overhaul": {"run-out", "run-out-drive", "end-float"},
    "flange-check": {"flange-torque"},
}

BY_PULSE = {
    "diaphragm-service": ("pulse-hose-on", "look-through"),
    "pop-off-and-hold": ("pulse-hose-on", "look-through"),
    "carburettor-strip": ("pump-gasket-plain", "pump-gasket-pulse"),
    "case-test": ("cap-pulse", "plate-intake-passage"),
    "pulse-check": ("swing-hose", "swing-passage"),
    "reed-check": ("block-gaskets-plain", "block-gaskets-pulse"),
    "reed-renewal": ("block-gaskets-plain", "block-gaskets-pulse"),
    "top-end": ("cap-pulse", "plate-intake-passage"),
}
"""A step of the pulse hose, and the one that a build with a passage has in its place."""

BY_BUILD = {
    ("face-datum", "diaphragm-service"): "lever-height",
    ("flush-datum", "diaphragm-service"): "lever-height-flush",
    ("plated-bore", "top-end"): "clearance-plated",
    ("iron-liner", "top-end"): "clearance-iron",
    ("decompression", "compression-check"): "compression-decompression",
    ("no-decompression", "compression-check"): "compression",
    ("decompression", "decarbonise"): "hole",
}

FACTS = {
    ("case-test", "pump-up"): ["0.35 bar", "Never over 0.5 bar", "bung"],
    ("case-test", "vacuum-loss"): ["-0.35 bar", "lips"],
    ("reed-check", "reed-gap"): ["do not bend", "0.2 to 0.3 mm", "Over 0.3 mm"],
    ("reed-check", "petals-look"): ["Nothing turns before it is found"],
    ("top-end", "circlips"): ["up or down", "never an old one", "a second person"],
    ("top-end", "squish"): ["0.9 to 1.5 mm", "0.10 mm"],
    ("top-end", "run-in"): ["2 to 3 hours", "30 seconds"],
    ("top-end", "pin-out"): ["No hammer"],
    ("top-end", "base-gasket"): ["1 to 2 minutes in clean petrol"],
    ("plug-look", "plug-torque"): ["20 to 27 N.m", "cold head"],
    ("pick-up-and-flywheel", "pick-up-gap"): ["non-magnetic", "0.25 to 0.50 mm"],
    ("pick-up-and-flywheel", "flywheel-on"): [
        "maker's figure",
        "clean and dry",
        "second person sees the key",
    ],
    ("cap-lead-and-stop", "spark"): ["cap is always on plug or tester"],
    ("compression-check", "gauge-in"): ["throttle wide open"],
    ("running-baseline", "set-or-leave"): [
        "eighth",
        "5 to 8 seconds",
        "four-stroking",
        "Never by the highest rpm",
    ],
    ("running-baseline", "drop-back"): ["3 seconds"],
    ("fuel-hose-renewal", "empty"): ["bonded", "pressure out first"],
    ("tank-clean", "vent"): ["blocked vent stops the engine within minutes"],
    ("carburettor-strip", "bath"): ["10 to 15 minutes", "40 to 50 deg C", "No rubber"],
    ("seal-renewal", "new-in"): ["lip toward the case"],
    ("crank-overhaul", "send"): ["specialist shop", "Nothing is split or pressed here"],
}

TYPES = pytest.mark.parametrize("sheet", SHEETS.values(), ids=list(SHEETS))


def steps_of(sheet: TypeSheet, build: str, card: str) -> dict[str, Step]:
    return {step.id: step for step in sheet.for_build(build).card(card).steps}


def cards_of(sheet: TypeSheet) -> list[Card]:
    return [sheet.card(name) for name in sorted(set(CARDS.values()))]


def steps_in(sheet: TypeSheet) -> list[tuple[str, Step]]:
    return [(f"{card.id}, {step.id}", step) for card in cards_of(sheet) for step in card.steps]


def words(step: Step) -> str:
    findings = " ".join(f"{f.title} {f.advice}" for f in step.findings)
    return " ".join([step.act, step.how, step.caution, findings]).casefold()


def named(sheet: TypeSheet, build: str) -> set[str]:
    return {build, *sheet.build(build).traits}


@TYPES
def test_every_task_of_the_engine_has_its_card_on_every_build(sheet: TypeSheet) -> None:
    for build in sheet.builds:
        here = sheet.for_build(build.id)
        assert {task: here.task(task).card for task in CARDS} == CARDS
        assert all(here.card(card).steps for card in CARDS.values())


@TYPES
def test_every_card_first_defers_to_the_maker_and_the_local_rules(sheet: TypeSheet) -> None:
    for card in cards_of(sheet):
        assert "maker's manual" in card.cautions[0] and "local rules" in card.cautions[0], card.id


@TYPES
def test_every_card_begins_by_making_the_engine_safe(sheet: TypeSheet) -> None:
    for card in cards_of(sheet):
        assert card.steps[0].id == "make-safe"
        assert "stop switch" in words(card.steps[0])


@TYPES
def test_nobody_gets_stuck_for_a_tool_or_a_word(sheet: TypeSheet) -> None:
    lying_about = {"Screwdriver with a marked head", "Lamp", "Rule", "Thermocouple washer"}
    for card in cards_of(sheet):
        for step in card.steps:
            place = f"{card.id}, {step.id}"
            assert step.how, place
            assert not step.reading or (step.tools and step.moment), (
                f"{place}: what is it read with, and when?"
            )
            assert set(step.tools) <= {*card.tools, *card.consumables, *lying_about}, place
            assert len(step.findings) != 1, f"{place}: a look has at least two outcomes"


@TYPES
def test_a_finding_that_holds_the_engine_back_says_what_to_do(sheet: TypeSheet) -> None:
    held = {"stop", "do not release", "add task"}
    found = [(place, f) for place, step in steps_in(sheet) for f in step.findings if f.action in held]
    assert len(found) > 80
    assert all(len(finding.advice.split()) >= 3 for _, finding in found)


@TYPES
def test_a_finding_that_adds_a_task_names_one_of_the_programme(sheet: TypeSheet) -> None:
    for place, step in steps_in(sheet):
        for finding in step.findings:
            assert finding.task or finding.action != "add task", place
            assert not finding.task or finding.action in ("add task", "stop", "do not release"), place
            assert not finding.task or sheet.task(finding.task), place


@TYPES
def test_a_joint_with_a_torque_has_a_pattern_and_ends_at_the_full_torque(sheet: TypeSheet) -> None:
    for place, step in steps_in(sheet):
        if step.joint and step.joint != "gearbox-drain":
            fasteners = sheet.joint(step.joint).fasteners
            assert fasteners.torque_nm and fasteners.passes[-1] == 1.0, place
            assert fasteners.pattern == ("pair" if fasteners.count == 2 else "x"), place


@TYPES
@pytest.mark.parametrize("card", SECOND_CHECKS)
def test_a_second_person_checks_what_would_stop_the_engine(sheet: TypeSheet, card: str) -> None:
    steps = sheet.card(card).steps
    there = {step.id for step in steps}
    assert {step.id for step in steps if step.second_check} >= SECOND_CHECKS[card] & there


@TYPES
def test_a_task_with_a_second_check_has_a_card_with_one(sheet: TypeSheet) -> None:
    for task in (sheet.task(name) for name in CARDS):
        if task.second_check:
            assert any(step.second_check for step in sheet.card(task.card or "").steps), task.id


@TYPES
@pytest.mark.parametrize("card", BY_PULSE)
def test_a_pulse_hose_and_a_pulse_passage_are_worked_differently(sheet: TypeSheet, card: str) -> None:
    for build in sheet.builds:
        steps, traits = steps_of(sheet, build.id, card), named(sheet, build.id)
        hose, passage = BY_PULSE[card]
        assert (hose in steps) == ("external-pulse" in traits)
        assert (passage in steps) == ("internal-pulse" in traits)
        assert (hose in steps) != (passage in steps)


@TYPES
@pytest.mark.parametrize(("trait", "card"), BY_BUILD)
def test_a_step_of_one_build_is_not_on_another(sheet: TypeSheet, trait: str, card: str) -> None:
    for build in sheet.builds:
        step = BY_BUILD[trait, card]
        assert (step in steps_of(sheet, build.id, card)) == (trait in named(sheet, build.id))


@TYPES
def test_every_build_measures_its_lever_once_and_its_compression_once(sheet: TypeSheet) -> None:
    for build in sheet.builds:
        service = steps_of(sheet, build.id, "diaphragm-service")
        assert len({"lever-height", "lever-height-flush"} & set(service)) == 1
        cranking = steps_of(sheet, build.id, "compression-check")
        assert len({"compression", "compression-decompression"} & set(cranking)) == 1
        bore = steps_of(sheet, build.id, "top-end")
        assert len({"clearance-plated", "clearance-iron"} & set(bore)) == 1


@TYPES
@pytest.mark.parametrize(("card", "step"), FACTS)
def test_the_cards_say_what_the_trade_knows(sheet: TypeSheet, card: str, step: str) -> None:
    said = words(next(s for s in sheet.card(card).steps if s.id == step))
    for fact in FACTS[card, step]:
        assert fact.casefold() in said


@TYPES
def test_what_was_found_does_not_hold_back_what_is_left(sheet: TypeSheet) -> None:
    found = {
        (card.id, step.reading)
        for card in cards_of(sheet)
        for step in card.steps
        if step.moment == "as found"
    }
    assert found >= {
        ("pop-off-and-hold", "pop-off"),
        ("reed-check", "reed-gap"),
        ("port-look", "carbon"),
        ("top-end", "ring-gap-service"),
        ("crank-overhaul", "big-end-radial"),
        ("diaphragm-service", "needle-high"),
    }


@TYPES
def test_a_pop_off_counts_as_the_third_of_three_that_agree(sheet: TypeSheet) -> None:
    row = sheet.limit("pop-off")
    assert (row.repeats, row.take, row.spread_max) == (3, "last", 0.1)


@TYPES
def test_nothing_pretends_to_come_from_the_maker(sheet: TypeSheet) -> None:
    rows = [*sheet.limits, *sheet.programme]
    steps = [step for _, step in steps_in(sheet)]
    assert not {"maker", "rule", "standard"} & {row.authority for row in (*rows, *steps)}


def test_pages_in_psi_and_inches_give_the_limits_in_bar_and_millimetres() -> None:
    # 1 psi = 6894.757 Pa and 1 in = 25.4 mm: NIST SP 811, appendix B.8.
    sheet = SHEETS["velisk-185"]
    psi_bar, inch_mm = 6894.757e-5, 25.4
    assert sheet.limit("case-test-pressure").nominal == pytest.approx(5 * psi_bar, abs=0.006)
    assert sheet.limit("case-pressure-loss").upper == pytest.approx(0.5 * psi_bar, abs=0.001)
    groove = sheet.limit("ring-groove")
    assert groove.lower == pytest.approx(0.0015 * inch_mm, abs=0.001)
    assert groove.upper == pytest.approx(0.0040 * inch_mm, abs=0.002)
    assert sheet.limit("carbon").upper == pytest.approx(0.020 * inch_mm, abs=0.01)


def test_one_degree_moves_a_closed_case_as_the_gas_law_says() -> None:
    # Gay-Lussac at constant volume: 1.35 bar absolute (0.35 by the gauge, rounded air of 1 bar) at 293 K.
    assert f"{1.35 / 293:.4f} bar" in SHEETS["velisk-185"].limit("case-pressure-loss").note


@pytest.mark.parametrize(("angle_deg", "travel_mm"), [(16, 1.30), (18, 1.64), (20, 2.02)])
def test_the_note_turns_piston_travel_into_degrees(angle_deg: float, travel_mm: float) -> None:
    """Stroke 54 mm, rod 110 mm; the angle back from the travel by the law of cosines in the crank's triangle."""
    crank_mm, rod_mm = 27.0, 110.0
    pin_mm = crank_mm + rod_mm - travel_mm
    cosine = (crank_mm**2 + pin_mm**2 - rod_mm**2) / (2 * crank_mm * pin_mm)
    assert degrees(acos(cosine)) == pytest.approx(angle_deg, abs=0.03)
    assert f"{travel_mm:.2f}" in SHEETS["velisk-185"].limit("timing").note


def test_the_ring_gap_of_a_60_mm_bore() -> None:
    sheet = SHEETS["velisk-185"]
    new, worn = sheet.limit("ring-gap-new"), sheet.limit("ring-gap-service")
    assert new.lower and new.upper and worn.upper
    assert f"{60 * new.lower:.2f} to {60 * new.upper:.2f} mm" in new.note
    assert f"{60 * worn.upper:.2f} mm" in worn.note
