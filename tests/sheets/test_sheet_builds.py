"""A sheet cut down to one build, its kit, its joints, and what a sheet answers when it is asked."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest

from tickover.sheets import Build, Fasteners, Joint, Layer, LimitRow, TypeSheet, UnknownRowError, load_sheet
from tickover.sheets.schema.joints import Hole

BUILDS = ("external-pulse", "internal-pulse")
HOSE_STEPS = {
    "photograph-hose",
    "pulse-hose-off",
    "pump-gasket-plain",
    "flange-gaskets-plain",
    "pulse-hose-on",
}
PASSAGE_STEPS = {"photograph-passage", "pump-gasket-pulse", "flange-gaskets-pulse", "look-through"}


def step_ids(sheet: TypeSheet, build: str) -> set[str]:
    return {step.id for step in sheet.for_build(build).card("diaphragm-service").steps}


def test_only_the_build_with_a_hose_has_steps_on_a_hose(sheet: TypeSheet) -> None:
    hose, passage = (step_ids(sheet, build) for build in BUILDS)
    assert hose - passage == HOSE_STEPS
    assert passage - hose == PASSAGE_STEPS


def test_the_order_of_the_steps_stays(sheet: TypeSheet) -> None:
    whole = [step.id for step in sheet.card("diaphragm-service").steps]
    for build in BUILDS:
        kept = [step.id for step in sheet.for_build(build).card("diaphragm-service").steps]
        assert kept == [step_id for step_id in whole if step_id in set(kept)]


def test_a_sheet_for_one_build_names_that_build_only(sheet: TypeSheet) -> None:
    for build in BUILDS:
        assert [row.id for row in sheet.for_build(build).builds] == [build]


def test_cutting_down_twice_changes_nothing_more(sheet: TypeSheet) -> None:
    once = sheet.for_build("internal-pulse")
    assert once.for_build("internal-pulse") == once


@pytest.mark.parametrize("build", BUILDS)
def test_every_piece_of_the_kit_is_used_or_laid_aside_with_a_reason(sheet: TypeSheet, build: str) -> None:
    use, aside = sheet.kit_for_build("diaphragm-kit", build)
    assert len(use) + len(aside) == len(sheet.kit("diaphragm-kit").pieces) == 16
    assert all(piece.laid_aside_because for piece in aside)
    # Common practice, no source: a general kit leaves 20 to 50 % over (from memory).
    assert Fraction(30, 100) <= Fraction(len(aside), 16) <= Fraction(45, 100)


def test_the_kit_asked_through_one_build_is_still_the_whole_bag(sheet: TypeSheet) -> None:
    asked = sheet.for_build("external-pulse").kit_for_build("diaphragm-kit", "external-pulse")
    assert asked == sheet.kit_for_build("diaphragm-kit", "external-pulse")


@pytest.mark.parametrize("build", BUILDS)
def test_the_card_fits_exactly_what_the_build_uses_of_the_kit(sheet: TypeSheet, build: str) -> None:
    use, _ = sheet.kit_for_build("diaphragm-kit", build)
    steps = sheet.for_build(build).card("diaphragm-service").steps
    assert sorted(part for step in steps for part in step.fits) == sorted(piece.part for piece in use)


@pytest.mark.parametrize("build", BUILDS)
def test_every_old_soft_part_is_thrown_away_when_its_new_one_goes_in(sheet: TypeSheet, build: str) -> None:
    steps = sheet.for_build(build).card("diaphragm-service").steps
    fitted = {part for step in steps for part in step.fits}
    assert fitted == {part for step in steps for part in step.discards}


@pytest.mark.parametrize("build", BUILDS)
def test_as_many_gaskets_in_the_kit_as_in_the_stacks(sheet: TypeSheet, build: str) -> None:
    use, _ = sheet.kit_for_build("diaphragm-kit", build)
    soft = [layer.part for joint in sheet.for_build(build).joints for layer in joint.stack if layer.part]
    for piece in use:
        if piece.part.endswith(("gasket-plain", "gasket-pulse", "gasket-fibre", "diaphragm", "o-ring")):
            assert soft.count(piece.part) == piece.quantity, piece.part


def test_the_pulse_runs_through_the_flange_of_later_builds_only(sheet: TypeSheet) -> None:
    hose, passage = (sheet.for_build(build).joint("intake-flange") for build in BUILDS)
    assert not any("pulse" in layer.holes for layer in hose.stack)
    assert all("pulse" in layer.holes for layer in passage.stack)
    assert [hole.id for hole in hose.holes] == ["bore"]


def test_a_layer_between_two_open_ones_closes_a_hole() -> None:
    screws = Fasteners(count=2, size="M6", pattern="pair", authority="own data")
    body = Layer(title="Body", kind="body", holes=("pulse",))
    gasket = Layer(title="Gasket", kind="gasket")
    ring = Layer(title="Ring in its groove", kind="o-ring")
    joint = Joint(
        id="flange",
        title="Flange",
        holes=(Hole(id="pulse", title="Pulse"),),
        fasteners=screws,
        stack=(gasket, body, ring, gasket, body),
    )
    assert joint.closed_layers("pulse") == (3,)
    assert joint.closed_layers("fuel") == ()


def test_the_serial_number_tells_the_build(sheet: TypeSheet) -> None:
    found = [sheet.build_of_serial(serial) for serial in (0, 1, 1499, 1500, 2999, 3000, 99999)]
    told = [None, *BUILDS[:1] * 2, *BUILDS[1:] * 2, *["electric-start"] * 2]
    assert [build.id if build else None for build in found] == told


def test_a_build_without_serial_numbers_is_told_by_eye_alone(text: str) -> None:
    unnumbered = re.sub(r"serial_(from|to) = \d+\n", "", text)
    assert load_sheet(unnumbered, "x.toml").build_of_serial(12) is None


@pytest.mark.parametrize(
    ("kind", "near", "meant"),
    [
        ("build", "internal", "internal-pulse"),
        ("limit", "lever-hight", "lever-height"),
        ("part", "welch-plugs", "welch-plug"),
        ("kit", "diaphragm", "diaphragm-kit"),
        ("joint", "intake-flang", "intake-flange"),
        ("access_group", "plug-off", "plug-out"),
        ("task", "plug-renewl", "plug-renewal"),
        ("card", "flange-chek", "flange-check"),
    ],
)
def test_rows_are_found_by_id_and_near_misses_are_offered(
    sheet: TypeSheet, kind: str, near: str, meant: str
) -> None:
    find = getattr(sheet, kind)
    assert find(meant).id == meant
    with pytest.raises(UnknownRowError, match=f'called "{near}"; did you mean "{meant}"'):
        find(near)


def test_a_limit_may_be_one_sided() -> None:
    row = LimitRow(
        id="hold",
        title="Loss in a minute",
        unit="bar",
        nominal=0.0,
        upper=0.03,
        plausible_lower=0.0,
        plausible_upper=1.0,
        instrument="Gauge",
        resolution=0.02,
        expanded_uncertainty=0.04,
        rule="guarded",
        action_outside="Find the bubble.",
        authority="from memory",
    )
    assert row.lower is None
    assert row.on(Build(id="any", title="Any", recognise="By eye"))
    with pytest.raises(ValueError, match=r"the nominal value 0 is outside its limit, at least 0\.5"):
        LimitRow.model_validate({**row.model_dump(), "lower": 0.5, "upper": None})
