"""Cards for what is bolted to the engine: drive, propeller, exhaust, starter, mounts, controls, frame, storage."""

from __future__ import annotations

import re
from collections.abc import Iterator
from math import pi, sqrt

import pytest

from tickover.sheets import Card, Step, TypeSheet, shipped_sheets

SHEETS = shipped_sheets()

EVERYWHERE = {
    "clutch-inspection",
    "clutch-springs-and-shoes",
    "propeller-bolts",
    "propeller-blades",
    "propeller-fit",
    "propeller-hub",
    "exhaust-look",
    "exhaust-springs-and-mounts",
    "silencer-repack",
    "silent-blocks-look",
    "silent-blocks-renewal",
    "throttle-and-stop",
    "frame-and-cage",
    "harness-attachments",
    "lay-up",
    "return-to-service",
    "pre-delivery-check",
    "full-run-up",
    "after-strike",
}
BELT = {"belt-tension", "belt-renewal"}
GEARS = {"gearbox-oil", "gearbox-bearings-and-seals"}
ELECTRIC = {"electric-starter", "battery-and-loom"}
ROPE = {"recoil-starter"}
AROUND = EVERYWHERE | BELT | GEARS | ELECTRIC | ROPE

ON_CONDITION = {"lay-up", "return-to-service", "pre-delivery-check", "full-run-up", "after-strike"}
ENGINE_RUNS = {"idle-rpm", "static-rpm", "clutch-engagement", "cht", "egt", "fuel-use-full", "static-thrust"}
IN_LB_NM = 0.1129848
"""An inch-pound force in N.m: 25.4 mm, 0.45359237 kg and 9.80665 m/s2, all exact by definition."""


@pytest.fixture(params=sorted(SHEETS))
def each(request: pytest.FixtureRequest) -> TypeSheet:
    return SHEETS[request.param]


def around(sheet: TypeSheet) -> list[Card]:
    return [card for card in sheet.cards if card.id in AROUND]


def steps(sheet: TypeSheet) -> Iterator[tuple[Card, int, Step]]:
    for card in around(sheet):
        yield from ((card, n, step) for n, step in enumerate(card.steps))


def on_each_build(sheet: TypeSheet) -> Iterator[TypeSheet]:
    yield from (sheet.for_build(build.id) for build in sheet.builds)


def with_wood(sheet: TypeSheet) -> bool:
    return any("wood-propeller" in build.traits for build in sheet.builds)


def before(card: Card, n: int) -> set[str]:
    return {step.id for step in card.steps[:n]}


def test_every_engine_has_the_cards_of_what_every_engine_has(each: TypeSheet) -> None:
    assert {card.id for card in each.cards} >= EVERYWHERE
    assert {task.card for task in each.programme} >= EVERYWHERE


def test_a_belt_drive_has_no_gearbox_card_and_gears_have_no_belt_card(each: TypeSheet) -> None:
    cards = {card.id for card in each.cards}
    has, lacks = (BELT, GEARS) if each.geometry.reduction == "belt" else (GEARS, BELT)
    assert cards >= has
    assert not cards & lacks


def test_the_starter_cards_are_those_of_the_starter_fitted(each: TypeSheet) -> None:
    for one in on_each_build(each):
        cards, tasks = {card.id for card in one.cards}, {task.card for task in one.programme}
        for trait, its_cards in (("recoil", ROPE), ("electric", ELECTRIC)):
            fitted = trait in one.builds[0].traits
            assert cards & its_cards == tasks & its_cards == (its_cards if fitted else set())


def test_every_card_defers_to_the_maker_and_the_local_rules_before_anything_else(each: TypeSheet) -> None:
    for card in around(each):
        assert re.search(r"maker's manual and the local rules come first", card.cautions[0]), card.id


def test_nothing_around_the_engine_claims_a_maker_a_rule_or_a_standard(each: TypeSheet) -> None:
    tasks = [task for task in each.programme if task.card in AROUND]
    limits = [each.limit(step.reading) for _, _, step in steps(each) if step.reading]
    rows = [*tasks, *limits, *(step for _, _, step in steps(each))]
    assert {row.authority for row in rows} <= {"common practice, no source", "from memory"}


def test_a_finding_that_stops_the_work_says_what_to_do(each: TypeSheet) -> None:
    for card, _, step in steps(each):
        for finding in step.findings:
            if finding.action in ("stop", "do not release"):
                assert len(finding.advice.split()) >= 2, (card.id, step.id, finding.id)


def test_a_step_that_is_judged_has_a_way_on_as_well(each: TypeSheet) -> None:
    for card, _, step in steps(each):
        if step.findings:
            assert any(f.action in ("continue", "add task") for f in step.findings), (card.id, step.id)


def test_work_that_is_added_is_on_the_programme_of_that_engine(each: TypeSheet) -> None:
    for one in on_each_build(each):
        known = {task.id for task in one.programme}
        for card, _, step in steps(one):
            added = [f for f in step.findings if f.action == "add task"]
            assert {f.task for f in added} <= known, (card.id, step.id)


def test_a_task_tells_when_its_card_needs_a_second_person(each: TypeSheet) -> None:
    for task in each.programme:
        if task.card in AROUND and any(step.second_check for step in each.card(task.card).steps):
            assert task.second_check, task.id


def test_what_stands_still_or_is_struck_is_done_on_condition(each: TypeSheet) -> None:
    tasks = {task.id: task for task in each.programme}
    assert all(tasks[name].on_condition for name in ON_CONDITION)
    assert all(tasks[name].interval_h is None for name in ON_CONDITION)


# Propeller


def test_every_torque_and_track_of_the_propeller_is_checked_by_a_second_person(each: TypeSheet) -> None:
    for card, _, step in steps(each):
        final = step.moment == "as left" and (step.reading or "").startswith(("propeller-bolts", "track"))
        if final or ("tighten" in step.id and (step.joint or "").startswith("propeller-hub")):
            assert step.critical and step.second_check, (card.id, step.id)


def test_each_build_tightens_its_own_kind_of_propeller_once(each: TypeSheet) -> None:
    for one in on_each_build(each):
        for name in ("propeller-bolts", "propeller-fit", "propeller-hub"):
            hubs = [s.joint for s in one.card(name).steps if s.joint and s.joint.startswith("propeller-hub")]
            tightened = [s for s in one.card(name).steps if s.joint in hubs and s.critical]
            assert len(set(hubs)) == 1, (one.builds[0].id, name)
            assert len(tightened) == 1, (one.builds[0].id, name)


def test_each_build_has_one_bolt_task_that_suits_its_propeller(each: TypeSheet) -> None:
    for one in on_each_build(each):
        assert len([t for t in one.programme if t.id.startswith("propeller-bolts-")]) == 1


def test_the_hub_bolts_are_tightened_across_in_three_passes_dry(each: TypeSheet) -> None:
    hubs = {joint.id: joint.fasteners for joint in each.joints if joint.id.startswith("propeller-hub")}
    assert hubs
    for name, bolts in hubs.items():
        assert bolts.pattern == "x"
        assert len(bolts.passes) == 3
        assert "dry" in bolts.note
        # A composite hub's torque is known to its maker alone: the blank stays one.
        assert (bolts.torque_nm is None) == name.endswith("composite")


def test_the_plug_is_out_before_anybody_turns_the_propeller(each: TypeSheet) -> None:
    for card, n, step in steps(each):
        if step.reading in ("track-spread", "belt-alignment", "belt-frequency") or step.id == "blade-play":
            assert {"make-safe", "plug-out"} <= before(card, n), (card.id, step.id)


def test_a_propeller_taken_off_goes_back_by_its_own_card_or_stays_off_with_a_word(each: TypeSheet) -> None:
    """Only a lay-up and a strike leave the engine without one."""
    for card in around(each):
        names = [step.id for step in card.steps]
        if "propeller-off" in names and card.id not in {"lay-up", "after-strike", "propeller-fit"}:
            assert "propeller-on" in names[names.index("propeller-off") :], card.id


def test_oval_holes_in_a_wooden_hub_are_never_repaired(each: TypeSheet) -> None:
    """14 CFR 43 Appendix A(b)(3) lists the repair of elongated bolt holes as a propeller major repair."""
    for name in ("propeller-fit", "propeller-hub"):
        card = each.card(name)
        assert any("major repair" in caution for caution in card.cautions)
        oval = [f for step in card.steps for f in step.findings if f.id == "oval"]
        assert oval or not with_wood(each)
        assert all(f.action == "do not release" for f in oval)


def test_propeller_harness_and_stop_switch_run_over_no_limit(each: TypeSheet) -> None:
    """Common practice, no source: no tolerance on what hurts someone."""
    for task in each.programme:
        if task.system == "propeller" or task.id in ("harness-attachments", "throttle-and-stop"):
            assert task.tolerance_h == 0.0, task.id
            assert task.tolerance_days == 0, task.id


# Running, harness, readings


def test_no_engine_runs_before_it_is_strapped_down_and_the_ground_is_clear(each: TypeSheet) -> None:
    for card, n, step in steps(each):
        if step.reading in ENGINE_RUNS:
            assert {"restrain", "clear-area"} <= before(card, n), (card.id, step.id)
            assert step.caution, (card.id, step.id)


def test_the_harness_is_looked_at_and_never_worked_on(each: TypeSheet) -> None:
    """Sewing belongs to licensed practice: nothing is fitted, thrown away or tightened on this card."""
    card = each.card("harness-attachments")
    assert each.task("harness-attachments").kind == "inspect"
    assert "licensed practice" in " ".join(card.cautions)
    assert not any(step.fits or step.discards or step.joint for step in card.steps)
    textile = next(step for step in card.steps if step.id == "straps")
    assert {f.action for f in textile.findings if f.id in ("thread", "burn")} == {"do not release"}


def test_how_it_was_found_is_read_before_how_it_is_left(each: TypeSheet) -> None:
    for card in around(each):
        for reading in {step.reading for step in card.steps if step.reading}:
            moments = [step.moment for step in card.steps if step.reading == reading]
            assert moments == sorted(moments), (card.id, reading)


def test_an_isolated_battery_comes_before_the_electric_starter_is_touched() -> None:
    for sheet in SHEETS.values():
        for card in (card for card in sheet.cards if card.id == "electric-starter"):
            assert card.steps[0].id == "isolate"
            assert card.steps[0].critical


def test_specialist_work_stops_where_the_bench_has_no_press() -> None:
    for sheet in SHEETS.values():
        for card in (card for card in sheet.cards if card.id == "gearbox-bearings-and-seals"):
            gate = next(step for step in card.steps if step.id == "press-or-send")
            assert {f.action for f in gate.findings} == {"continue", "stop"}
            assert before(card, card.steps.index(gate)).isdisjoint({"bearings-out", "bearings-in"})


def test_after_a_strike_nothing_runs_and_the_crankshaft_is_measured(each: TypeSheet) -> None:
    card = each.card("after-strike")
    assert not {step.reading for step in card.steps} & ENGINE_RUNS
    crank = next(step for step in card.steps if step.id == "crankshaft")
    assert crank.second_check
    assert {f.action for f in crank.findings} == {"continue", "do not release"}


# Figures against what is published


def test_the_wooden_hub_torque_holds_a_published_table() -> None:
    """A public propeller table: 144 +/- 15 in-lb for 5/16 in (7.94 mm) bolts in wood."""
    limit = SHEETS["velisk-185"].limit("propeller-bolts-wood")
    assert limit.lower == pytest.approx((144 - 15) * IN_LB_NM, abs=0.6)
    assert limit.upper == pytest.approx((144 + 15) * IN_LB_NM, abs=0.6)


def test_where_tables_disagree_the_sheet_says_so() -> None:
    """A public ultralight table gives 132 in-lb for 1/4 in (6.35 mm) bolts: over the M6 figure named here."""
    limit = SHEETS["velisk-185"].limit("propeller-bolts-wood")
    assert "8 to 11 N.m from memory" in limit.note
    assert f"{132 * IN_LB_NM:.1f} N.m" in limit.note
    assert "ask the propeller's maker" in limit.note


def test_the_track_is_the_sixteenth_of_an_inch_of_propeller_pages(each: TypeSheet) -> None:
    assert each.limit("track-spread").upper == pytest.approx(25.4 / 16, abs=0.05)


def test_the_balance_does_not_claim_a_grade_a_workshop_cannot_reach(each: TypeSheet) -> None:
    """ISO 21940-11: permissible residual unbalance = grade [mm/s] / angular speed x mass."""
    limit = each.limit("static-imbalance")
    grade_g_mm = 6.3 / (2 * pi * 2700 / 60) * 700
    assert f"about {grade_g_mm:.0f} g.mm" in limit.note
    assert grade_g_mm < limit.expanded_uncertainty


@pytest.mark.parametrize(
    ("limit", "diameter_m", "stress_area_mm2"), [("m6", 0.006, 20.1), ("m8", 0.008, 36.6)]
)
def test_a_bolt_in_aluminium_is_a_fifth_below_one_in_steel(
    each: TypeSheet, limit: str, diameter_m: float, stress_area_mm2: float
) -> None:
    """ISO 898-1: stress areas, and 580 MPa under proof load for 8.8; torque = 0.2 d F at 75 % of proof."""
    steel_nm = 0.2 * diameter_m * 0.75 * 580 * stress_area_mm2
    row = each.limit(f"{limit}-in-aluminium")
    assert row.lower < 0.8 * steel_nm < row.nominal + 0.5
    assert row.nominal < 0.87 * steel_nm
    assert row.upper < steel_nm


def test_the_belt_is_set_by_the_vibrating_string() -> None:
    """Elementary physics: f = sqrt(T / m) / 2L, with the span, mass and tension of the sheet's own geometry."""
    for sheet in SHEETS.values():
        if sheet.geometry.reduction == "belt":
            g, limit = sheet.geometry, sheet.limit("belt-frequency")
            assert g.belt_tension_n and g.belt_mass_kg_per_m and g.belt_span_m
            hz = sqrt(g.belt_tension_n / g.belt_mass_kg_per_m) / (2 * g.belt_span_m)
            assert limit.nominal == pytest.approx(hz, rel=0.01)
            assert limit.lower == pytest.approx(0.92 * limit.nominal)
            assert limit.upper == pytest.approx(1.08 * limit.nominal)
            # Belt guides: 1/64 in for each inch of span.
            deflection = next(s for s in sheet.card("belt-tension").steps if s.id == "deflection")
            assert f"{1 / 64:.4f}" in deflection.source
