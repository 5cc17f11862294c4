"""What no card of any build may do, worked out over all of them: runs, plug, openings, fuel, holds, findings.

The rules are common practice, no source; the maker's manual comes first.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from tickover.sheets import Card, Step, TypeSheet, shipped_sheets

SHEETS = shipped_sheets()
ON_EACH = pytest.mark.parametrize(
    "one",
    [sheet.for_build(build.id) for sheet in SHEETS.values() for build in sheet.builds],
    ids=[f"{sheet.id} {build.id}" for sheet in SHEETS.values() for build in sheet.builds],
)

BEFORE_A_RUN = ["safe-to-run", "throttle-try", "restrain", "clear-area", "stop-proved", "cap-on"]
AFTER_A_RUN = ["stop-by-switch", "ground-again", "after-run"]
SEEN_BY_TWO_BEFORE_A_RUN = {"safe-to-run", "throttle-try", "restrain", "stop-proved"}

STUFFED = {
    "carburettor-off": ("intake-open", ("flange-gaskets-plain", "flange-gaskets-pulse", "carburettor-on")),
    "box-off": ("intake-open", ("box-on",)),
    "block-out": ("case-open", ("block-gaskets-plain", "block-gaskets-pulse")),
    "exhaust-off": ("port-open", ("exhaust-on",)),
    "pipe-off": ("port-open", ("pipe-on",)),
    "cylinder-off": ("case-mouth", ("base-gasket",)),
    "isolate-fuel": ("caps-off", ("reconnect",)),
    "plate-intake": ("plates-off", ("carburettor-on", "exhaust-on")),
}
"""A step that caps or stuffs an opening, the one that takes all out and counts, and what closes over it."""

SEEN_THEN_COVERED = {
    "key-seen": ("flywheel-on", "hub-tight"),
    "hook-diaphragm": ("metering-cover-on",),
    "pump-gasket-pulse": ("pump-cover-on",),
    "look-through": ("carburettor-on", "plate-intake"),
    "pin-in": ("base-gasket",),
    "circlips": ("base-gasket",),
    "ring-on": ("base-gasket",),
    "petal-screws": ("block-gaskets-plain", "block-gaskets-pulse"),
    "block-gaskets-pulse": ("block-screws",),
    "block-screws": ("carburettor-on", "plate-intake"),
    "new-in": ("key-seen", "drive-on"),
    "port-open": ("exhaust-on", "pipe-on"),
    "pipe-on": ("flange-torque",),
    "springs-on": ("close",),
}
"""What a second person sees, as a step of its own, and the later steps that hide it."""

BINDS = re.compile(
    r"before (?:the next|its next|it runs|the engine runs|any start|a start|it goes back|anything runs|fuel goes in)"
    r"|[Nn]ot (?:flown|started|run) (?:before|until|meanwhile|again)|[Nn]o (?:run|start)\b|[Dd]o not run",
)
BINDING = {"stop", "do not release"}


def cards(one: TypeSheet) -> Iterator[tuple[Card, list[str]]]:
    yield from ((card, [step.id for step in card.steps]) for card in one.cards)


def runs(card: Card) -> list[int]:
    return [n for n, step in enumerate(card.steps) if step.runs_engine and step.id != "stop-by-switch"]


def words(step: Step) -> str:
    return f"{step.act} {step.how} {step.caution}"


@ON_EACH
def test_nothing_runs_before_it_is_looked_over_held_clear_and_can_be_stopped(one: TypeSheet) -> None:
    running = [(card, ids) for card, ids in cards(one) if runs(card)]
    assert len(running) >= 20
    for card, ids in running:
        first = runs(card)[0]
        places = [ids.index(name) for name in BEFORE_A_RUN]
        assert places == sorted(places) and places[-1] < first, card.id
        second = {step.id for step in card.steps[:first] if step.second_check}
        assert second >= SEEN_BY_TWO_BEFORE_A_RUN, card.id
        assert not [s.id for s in card.steps[places[-1] : first] if s.joint], (
            f"{card.id}: opened after the look"
        )


@ON_EACH
def test_after_a_run_it_is_stopped_by_the_switch_left_grounded_and_looked_over(one: TypeSheet) -> None:
    for card, ids in cards(one):
        if runs(card):
            places = [ids.index(name) for name in AFTER_A_RUN]
            assert places == list(range(places[0], places[0] + 3)) and places[0] > runs(card)[-1], card.id
            assert card.steps[places[0]].runs_engine
            assert {f.action for f in card.steps[places[0]].findings} == {"continue", "do not release"}


@ON_EACH
def test_the_stop_is_tried_before_the_cap_goes_on_and_in_ohm(one: TypeSheet) -> None:
    caps = 0
    for card, ids in cards(one):
        for n in (n for n, name in enumerate(ids) if name.startswith("cap-on")):
            caps += 1
            proved = card.steps[n - 1]
            assert proved.id.startswith("stop-proved"), card.id
            assert {"under 1 ohm pressed", "over 100 kohm let go"} <= set(
                re.findall(r"under 1 ohm pressed|over 100 kohm let go", words(proved))
            )
            assert "stop switch" not in words(card.steps[n])
    assert caps > 35


@ON_EACH
def test_whatever_caps_or_stuffs_an_opening_is_counted_out_by_two_before_it_is_closed(one: TypeSheet) -> None:
    stuffed = 0
    for card, ids in cards(one):
        for step in (name for name in ids if name in STUFFED):
            out, closers = STUFFED[step]
            closed = [n for n, name in enumerate(ids) if name in closers and n > ids.index(step)]
            if not closed:
                assert card.id == "crank-overhaul", (card.id, step)
                continue
            stuffed += 1
            assert ids.index(step) < ids.index(out) < closed[0], (card.id, step)
            counted = card.steps[ids.index(out)]
            assert counted.second_check and counted.critical
            assert set(counted.hold_before) & {ids[n] for n in closed}, (card.id, out)
            assert any(f.action == "do not release" for f in counted.findings), (card.id, out)
    assert stuffed >= 15


@ON_EACH
def test_a_step_that_puts_a_cloth_or_cap_into_something_is_one_that_is_counted(one: TypeSheet) -> None:
    into = re.compile(
        r"\b(?:cloth|cloths|rag|caps)\b[^.]*\binto the (?:intake|case|port|openings|lines)\b", re.I
    )
    out = {step for step, _ in STUFFED.values()} | {"port", "plates-off", "box-off", "cylinder-empty"}
    for card, _ in cards(one):
        for step in card.steps:
            if into.search(step.how) or into.search(step.act):
                assert step.id in STUFFED or step.id in out, (card.id, step.id, words(step))


TURNED = {
    "propeller-off", "propeller-on", "track", "pointer", "blade-play", "fit-wood", "fit-composite", "tighten-wood",
    "tighten-composite", "torque-found-wood", "torque-found-composite", "settle", "turn-feel", "run-out-ignition",
    "run-out-drive", "shaft-run-out", "turn-over", "skirt", "ring-gear", "pull-once", "pull-again", "feel",
    "backlash-found", "port", "squish", "bottom", "alignment", "alignment-left", "frequency-left", "fog", "park",
    "bolts-tried", "belt-look", "adjust",
    "rod-feel", "pick-up-gap", "timing", "swing-hose", "swing-passage", "crankshaft",
}  # fmt: skip
"""Steps at which propeller, shaft or crank is turned or held by hand."""


@ON_EACH
def test_nothing_is_turned_by_hand_with_the_plug_in(one: TypeSheet) -> None:
    looked_at = 0
    for card, _ids in cards(one):
        plug_out = False
        for step in card.steps:
            if step.id in ("plug-out", "plates-off") or step.id.startswith("plug-out"):
                plug_out = True
            if step.id in ("plug-in", "plug-back", "bung") or step.runs_engine:
                plug_out = False
            if step.id in TURNED and card.id not in ("crank-overhaul",):
                looked_at += 1
                assert plug_out or "whole card" in words(step), (card.id, step.id)
    assert looked_at > 40


@ON_EACH
def test_what_a_second_person_has_to_see_is_a_step_of_its_own_before_what_hides_it(one: TypeSheet) -> None:
    found = 0
    for card, ids in cards(one):
        for name, covers in SEEN_THEN_COVERED.items():
            later = [n for n, step in enumerate(ids) if step in covers]
            if name not in ids or not later:
                continue
            step = card.steps[ids.index(name)]
            assert step.second_check, (card.id, name)
            assert set(step.hold_before) & {ids[n] for n in later}, (card.id, name)
            found += 1
    assert found > 24


@ON_EACH
def test_no_step_sees_a_key_and_tightens_over_it(one: TypeSheet) -> None:
    for card, ids in cards(one):
        for covering in ("flywheel-on", "hub-tight"):
            if covering in ids:
                assert ids.index("key-seen") < ids.index(covering), card.id
                assert not card.steps[ids.index(covering)].fits, card.id


@ON_EACH
def test_a_finding_that_has_to_be_cured_before_the_engine_runs_binds(one: TypeSheet) -> None:
    loose = [
        (card.id, step.id, f.id, f.action)
        for card, _ in cards(one)
        for step in card.steps
        for f in step.findings
        if BINDS.search(f"{f.title}. {f.advice}") and f.action not in BINDING
    ]
    assert not loose


DANGEROUS = {
    ("propeller-bolts", "finger-loose"), ("propeller-blades", "play"), ("propeller-blades", "scraped"),
    ("silent-blocks-look", "parting"), ("gearbox-oil", "rough"), ("exhaust-look", "worn"),
    ("belt-tension", "cracked"), ("return-to-service", "hard"), ("return-to-service", "stiff"),
    ("throttle-and-stop", "strand"), ("throttle-and-stop", "breaks"), ("frame-and-cage", "cut"),
    ("fins-clean", "missing"), ("nuts-cold", "cracked"), ("clutch-inspection", "drives"),
    ("diaphragm-service", "torn"), ("cap-lead-and-stop", "weak"), ("flange-check", "bad"), ("tank-clean", "water"),
}  # fmt: skip


@ON_EACH
def test_no_dangerous_finding_lets_the_card_go_on_or_may_be_deferred(one: TypeSheet) -> None:
    for card, _ in cards(one):
        for step in card.steps:
            for finding in step.findings:
                if (card.id, finding.id) in DANGEROUS:
                    assert finding.action in BINDING, (card.id, step.id, finding.id)


@ON_EACH
def test_no_fuel_tap_is_tried_or_closed_and_left_so(one: TypeSheet) -> None:
    stop = next(s for s in one.card("throttle-and-stop").steps if s.id == "other-stop")
    assert stop.second_check and "open it again" in words(stop) and "see it open" in words(stop)
    closes = re.compile(r"[Cc]lose the fuel|[Ff]uel closed|[Ii]solate the fuel|close or clamp the line")
    opens = re.compile(r"[Oo]pen the fuel|fuel tap open|[Ff]uel open|Tag the machine|Fill with")
    for card, _ids in cards(one):
        shut = [
            n
            for n, s in enumerate(card.steps)
            if closes.search(f"{s.act} {s.how}") and s.id != "ground-again"
        ]
        if shut and card.id not in ("after-strike", "crank-overhaul", "lay-up"):
            assert any(opens.search(f"{s.act} {s.how}") for s in card.steps[shut[-1] :]), card.id


@ON_EACH
def test_the_inlet_is_put_under_pressure_after_the_pump_side_is_closed(one: TypeSheet) -> None:
    for card, ids in cards(one):
        if "pump-cover-off" in ids:
            tested = [n for n, s in enumerate(card.steps) if s.reading in ("pop-off", "reseat", "inlet-hold")]
            assert min(tested) > ids.index("pump-cover-again") > ids.index("pump-cover-on"), card.id
            metering = ids.index("metering-gasket")
            assert all(n < metering for n in tested if card.steps[n].reading != "inlet-hold"), card.id
    back = [step.id for step in one.card("return-to-service").steps]
    for name in (
        "hook-diaphragm",
        "metering-cover-on",
        "inlet-hold",
        "pump-flaps",
        "cable-slack",
        "exhaust-torque",
    ):
        assert name in back


@ON_EACH
def test_the_vent_is_tried_both_ways_and_never_by_mouth(one: TypeSheet) -> None:
    for name in ("fuel-hoses-look", "fuel-hose-renewal", "fuel-filter-renewal", "tank-clean"):
        vent = next(s for s in one.card(name).steps if s.id == "vent")
        assert "air passes into the tank" in vent.how and "a check valve holds" in vent.how
        assert "Never by mouth" in vent.caution and "pump" in vent.tools[0]
        wrong = next(f for f in vent.findings if f.id == "blocked")
        assert wrong.action == "do not release" and "passes when drawn" in wrong.title
    for card, _ in cards(one):
        for step in card.steps:
            assert not re.search(r"\bsuck|\bcheeks\b", words(step), re.I), (card.id, step.id)


@ON_EACH
def test_the_case_is_tested_with_flange_and_insulator_on_it(one: TypeSheet) -> None:
    for name in ("case-test", "top-end", "return-to-service"):
        ids = [step.id for step in one.card(name).steps]
        stack = next(n for n, step in enumerate(ids) if step.startswith("flange-gaskets"))
        assert stack < ids.index("plate-intake") < ids.index("pump-up") < ids.index("vacuum-loss"), name
        assert ids.index("plates-off") < ids.index("carburettor-on"), name
        plate = one.card(name).steps[ids.index("plate-intake")]
        assert plate.reading == "flange-torque" and plate.second_check
    for name in ("case-test", "top-end", "inlet-joint-renewal"):
        mist = next(s for s in one.card(name).steps if s.id == "mist")
        assert mist.runs_engine and {f.action for f in mist.findings} == {"continue", "do not release"}


@ON_EACH
def test_a_gearbox_that_is_drained_is_filled_and_looked_at_by_two(one: TypeSheet) -> None:
    filled = 0
    for card, _ in cards(one):
        drained = [n for n, s in enumerate(card.steps) if s.id.startswith("drain") and s.discards]
        if drained:
            after = card.steps[drained[0] + 1 :]
            level = [s for s in after if any(f.id == "level" for f in s.findings)]
            assert level and level[0].second_check, card.id
            filled += 1
    assert filled == (3 if one.geometry.reduction == "gear" else 0)


@ON_EACH
def test_a_flywheel_that_was_off_has_its_gap_and_timing_measured(one: TypeSheet) -> None:
    for card, ids in cards(one):
        if "flywheel-on" in ids:
            assert ids.index("flywheel-on") < ids.index("pick-up-again") < ids.index("timing"), card.id
            off = next(f for s in card.steps if s.id == "timing" for f in s.findings if f.id == "off")
            assert "1 degree" in off.title and off.action == "do not release"


@ON_EACH
def test_needles_are_counted_after_the_readings_they_belong_to(one: TypeSheet) -> None:
    ids = [step.id for step in one.card("running-baseline").steps]
    assert ids.index("needle-low") > ids.index("static-rpm") and ids.index("needle-high") > ids.index(
        "after-run"
    )


@ON_EACH
def test_a_seizure_is_tested_before_head_or_cylinder_is_off(one: TypeSheet) -> None:
    card = one.card("top-end")
    ids = [step.id for step in card.steps]
    assert ids.index("seized") < ids.index("block-out") < ids.index("head-off")
    to_test = next(f for s in card.steps if s.id == "seized" for f in s.findings if f.id == "to-test")
    assert (to_test.action, to_test.task) == ("do not release", "case-test")
    assert (
        ids.index("mouth-clean")
        < ids.index("mouth-flat")
        < ids.index("case-mouth")
        < ids.index("base-gasket")
    )
    assert ids.index("base-flat") < ids.index("case-mouth")
