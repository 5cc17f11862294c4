"""Calculations of the bench: each answers, shows its working, keeps its intervals honest and refuses what cannot be."""

from __future__ import annotations

import importlib
import re
from collections.abc import Callable
from itertools import product
from typing import Any
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.workshop.calculations import units
from tickover.workshop.calculations.calculation import Calculation, Field
from tickover.workshop.calculations.catalogue import SUMS
from tickover.workshop.calculations.working_out import WorkedOut, plain, work_out

EVERY = [pytest.param(found, id=found.id) for found in SUMS.values()]
NEVER = ("", "hot", "NaN", "inf", "-1e9999", "1 9/8", "12 bananas", "9" * 39, "-99999999999", "<b>", "1.2.3")


def numbers(found: Calculation) -> list[Field]:
    return [field for field in found.fields if field.is_number]


@pytest.fixture
def ask() -> Callable[..., WorkedOut]:
    return lambda sum_id, **given: work_out(SUMS[sum_id], {k.replace("_", "-"): v for k, v in given.items()})


def value(done: WorkedOut, result_id: str) -> float:
    assert done.answer is not None, done.refused
    return next(result.value for result in done.answer.results if result.id == result_id)


@pytest.mark.parametrize("found", EVERY)
def test_each_sum_answers_with_what_stands_in_its_fields(found: Calculation) -> None:
    done = work_out(found, {}, draw=True)
    assert done.refused == {} and done.answer is not None
    assert done.sentences and not any(re.search(r"[{}]|nan|inf\b", sentence) for sentence in done.sentences)
    assert done.answer.results and all(
        r.lower is None or r.lower <= r.value <= (r.upper or r.value) for r in done.answer.results
    )
    assert all(working.formula and working.validity and working.authority for working in done.answer.workings)
    assert done.answer.workings, "every number shows its working"
    if found.picture:
        assert ElementTree.fromstring(done.picture).tag.endswith("svg")


@pytest.mark.parametrize("found", EVERY)
def test_each_sum_names_a_function_of_the_science(found: Calculation) -> None:
    module, _, name = found.python.rpartition(".")
    assert callable(getattr(importlib.import_module(module), name))


@pytest.mark.parametrize("found", EVERY)
def test_what_cannot_be_is_refused_at_its_field_and_never_fails(found: Calculation) -> None:
    for field, typed in product(numbers(found), NEVER):
        done = work_out(found, {field.name: typed})
        if typed == "" and field.optional:
            assert not done.refused
        else:
            assert field.label in done.refused.get(field.name, ""), (field.name, typed)


@pytest.mark.parametrize("found", EVERY)
def test_the_ends_of_each_range_are_answered_or_refused_in_words(found: Calculation) -> None:
    for field, end in product(numbers(found), ("lower", "upper")):
        at = units.convert(getattr(field, end), field.inside or field.unit, field.unit)
        done = work_out(found, {field.name: f"{at:.8f}".rstrip("0").rstrip(".")}, draw=True)
        assert done.answer is not None or all(len(words) > 20 for words in done.refused.values())


@pytest.mark.parametrize(
    ("sum_id", "given", "field", "says"),
    [
        ("air-density", {"temperature": "298"}, "temperature", "Did you mean 298 K (24.85 °C)?"),
        ("air-density", {"pressure": "-1013"}, "pressure", "between 450 and 1100 hPa; got -1013 hPa"),
        ("air-density", {"pressure": "29.92"}, "pressure", "Did you mean 29.92 inHg (1013 hPa)?"),
        ("air-density", {"humidity": "101"}, "humidity", "between 0 and 100 %; got 101 %"),
        ("air-density", {"elevation": "30000"}, "elevation", "between -500 and 6000 m"),
        ("air-density", {"pressure": "600"}, "pressure", "QNH must be between"),
        ("air-density", {"temperature.unit": "bar"}, "temperature", "is not a unit it is read in"),
        ("air-density", {"temperature.give-or-take": "-3"}, "temperature", "give or take must be 0 or more"),
        ("mixture-today", {"now-elevation": "30000"}, "now-elevation", "between -500 and 6000 m"),
        ("mixture-today", {"pitch": "0"}, "pitch", "between 0.1 and 2 mm; got 0 mm"),
        ("mixture-today", {"then-fuel": "lemonade"}, "then-fuel", "is none of e0"),
        ("screw-preload", {"pitch": "0"}, "pitch", "between 0.2 and 4 mm; got 0 mm"),
        ("screw-preload", {"pitch": "3"}, "pitch", "pitch"),
        ("tightening-order", {"count": "4.5"}, "count", "must be a whole number; got 4.5"),
        ("static-balance", {"masses": "4 500"}, "masses", "row 1: 3 figures are wanted"),
        ("static-balance", {"masses": "4 500 north"}, "masses", "is not a number"),
        ("static-balance", {"masses": "4 0 10"}, "masses", "radius must be between 0.1"),
        ("static-balance", {"masses": ";"}, "masses", "At least one row"),
        ("dynamic-balance", {"runs": "8 35 0 0"}, "runs", "A trial run with another mass is missing"),
        ("metering-lever", {"readings": "pop-off 1.3 0 0"}, "readings", "give or take must be between"),
        ("metering-lever", {"readings": "spring 1.3 0.1 0"}, "readings", "is none of pop-off"),
        ("unit-conversion", {"from": "bar", "to": "kg"}, "to", "do not measure the same"),
        ("oil-mix", {"ratio": "2"}, "ratio", "between 5 and 200"),
    ],
)  # fmt: skip
def test_the_sentence_names_quantity_value_and_range(
    sum_id: str, given: dict[str, str], field: str, says: str
) -> None:
    done = work_out(SUMS[sum_id], given)
    assert done.answer is None
    assert says.casefold() in " ".join(done.refused.values()).casefold(), done.refused
    assert field == "" or field in done.refused


def test_units_of_the_technician_give_the_same_air(ask: Callable[..., WorkedOut]) -> None:
    plain_si = ask("air-density", temperature="30", pressure="1013.25", elevation="304.8")
    same = ask("air-density", temperature="86 °F", pressure="29.92126 inHg", elevation="1000ft")
    assert value(same, "density") == pytest.approx(value(plain_si, "density"), rel=1e-6)
    chosen = work_out(
        SUMS["air-density"], {"temperature": "86", "temperature.unit": "deg F", "elevation": "304.8"}
    )
    assert value(chosen, "density") == pytest.approx(value(plain_si, "density"), rel=1e-6)


def test_a_standard_day_has_no_density_altitude(ask: Callable[..., WorkedOut]) -> None:
    # ISO 2533:1975: dry air of 15 degC and 1013.25 hPa has 1.225 kg/m3, at altitude 0.
    done = ask("air-density", humidity="0")
    assert value(done, "height") == pytest.approx(0.0, abs=0.5)
    assert value(done, "density") == pytest.approx(1.225, abs=0.001)


def test_an_interval_is_the_root_of_the_squares(ask: Callable[..., WorkedOut]) -> None:
    # JCGM 100:2008, 5.1.2: T = 4 m L² f², so 1 % of the tone and 1 % of the span are 2 % each, 2.83 % together.
    given = {"span": "200", "span.give-or-take": "2", "frequency": "100", "frequency.give-or-take": "1"}
    done = work_out(SUMS["belt-tension"], given)
    assert done.answer is not None
    tension = done.answer.results[0]
    assert tension.lower is not None
    assert (tension.value - tension.lower) / tension.value == pytest.approx(0.02 * 2**0.5, rel=1e-3)


def test_a_sure_input_gives_a_number_and_no_interval(ask: Callable[..., WorkedOut]) -> None:
    done = work_out(SUMS["ignition-height"], {"before-top.give-or-take": "0"})
    assert done.answer is not None and done.answer.results[0].lower is None


@pytest.mark.parametrize(
    ("sum_id", "given", "result", "expected"),
    [
        # 50 parts of petrol to one of oil: 20 ml to the litre, by the meaning of the ratio.
        ("oil-mix", {"petrol": "5", "ratio": "50"}, "oil", 100.0),
        # NIST SP 811, appendix B.8: 1 inHg (conventional) is 3.386389 kPa.
        ("unit-conversion", {"value": "1", "from": "inHg", "to": "kPa"}, "converted", 3.386389),
        # NIST ITS-90 table, type K: 8.138 mV is 200 degC with the cold junction at 0.
        ("thermocouple", {"voltage": "8.138", "cold-junction": "0"}, "hot", 200.0),
        # Lever arms: an adapter straight out of a quarter of the wrench takes a fifth off the setting.
        ("torque-adapter", {"target": "20", "wrench": "400", "offset": "100"}, "setting", 16.0),
        # ISO 21940-11: G 6.3 at 3000 rpm allows 20.05 um.
        ("residual-unbalance", {"grade": "6.3", "rpm": "3000", "mass": "1"}, "offset", 20.05),
        # Two strokes in a turn: 50 mm at 6000 rpm are 10 m/s.
        ("piston-speed", {"stroke": "50", "rpm": "6000"}, "mean", 10.0),
    ],
)  # fmt: skip
def test_figures_from_outside(sum_id: str, given: dict[str, str], result: str, expected: float) -> None:
    assert value(work_out(SUMS[sum_id], given), result) == pytest.approx(expected, rel=1e-3)


def test_height_and_angle_of_the_ignition_point_go_both_ways(ask: Callable[..., WorkedOut]) -> None:
    height = value(ask("ignition-height", before_top="20"), "height")
    assert value(ask("ignition-angle", height=f"{height:.8f}"), "angle") == pytest.approx(20.0, abs=1e-4)


def test_ports_go_both_ways(ask: Callable[..., WorkedOut]) -> None:
    edges = ask("port-edges", exhaust_opens="92", transfer_opens="115")
    given = {f"{port}_edge": f"{value(edges, port):.8f}" for port in ("exhaust", "transfer")}
    assert value(ask("port-timing", **given), "exhaust-opens") == pytest.approx(92.0, abs=1e-4)


def test_a_low_lever_is_leanest_at_full_throttle_and_a_high_one_rich(ask: Callable[..., WorkedOut]) -> None:
    # Common practice: low is lean, most at full throttle; high is rich.
    low, high = ask("metering-lever", height="-0.4"), ask("metering-lever", height="0.4")
    assert value(low, "full") < value(low, "idle") < 0 < value(high, "idle")
    assert "illustrative" not in low.cautions and any("no particular carburettor" in c for c in low.cautions)


def test_own_readings_take_the_place_of_the_illustrative_figures(ask: Callable[..., WorkedOut]) -> None:
    done = ask("metering-lever", height="0", readings="pop-off 1.30 0.05 0; pop-off 1.34 0.05 0")
    assert value(done, "pop") == pytest.approx(1.32, abs=0.01)
    assert not any("which way and why, not how much" in caution for caution in done.cautions)


def test_hot_and_high_makes_rich_and_the_needle_is_never_closed_without_a_run_up() -> None:
    given = {"now-temperature": "38", "now-elevation": "1500", "now-pressure": "1008"}
    given |= {"then-humidity": "50", "now-humidity": "60"}
    done = work_out(SUMS["mixture-today"], given)
    assert value(done, "change") > 5.0 and value(done, "step") <= 0.0
    assert any("run-up" in caution for caution in done.cautions)
    assert any("run-up" in sentence for sentence in done.sentences)


def test_a_cold_dense_day_opens_the_needle() -> None:
    done = work_out(SUMS["mixture-today"], {"now-temperature": "-10", "now-pressure": "1030"})
    assert value(done, "change") < 0.0 < value(done, "step")


def test_numbers_are_written_without_exponents() -> None:
    assert [plain(x) for x in (1234567.0, 0.00012345, -3.0, 0.0)] == ["1 234 567", "0.0001234", "−3.000", "0"]


def test_case_volume_of_a_sheet_includes_the_cylinder(ask: Callable[..., WorkedOut]) -> None:
    # Below the piston: 450 − 184.7 swept − 18 left above it = 247 cm3, so (247 + 184.7)/247.
    done = ask("compression", bore="66", stroke="54", head="18", whole="450")
    assert value(done, "crankcase") == pytest.approx((247.26 + 184.74) / 247.26, rel=1e-3)


def test_no_two_fields_of_a_sum_share_a_name() -> None:
    assert all(len({field.name for field in found.fields}) == len(found.fields) for found in SUMS.values())


def test_the_documents_name_every_sum_and_no_other(sums_document: Any) -> None:
    told = re.findall(r"^### (.+?) \(`([a-z-]+)`\)$", sums_document, re.M)
    assert told == [(found.title.replace("’", "'"), found.id) for found in SUMS.values()]
    for found in SUMS.values():
        assert f"`{found.python}`" in sums_document


@pytest.fixture
def sums_document() -> str:
    from pathlib import Path

    document = Path(__file__).resolve().parents[3] / "docs" / "calculations-and-sources.md"
    return document.read_text(encoding="utf-8").partition("## Calculations of the bench")[2]


# What is typed


@pytest.mark.parametrize("typed", ["50:1", "1:50", "50 : 1", "50"])
def test_a_ratio_is_typed_as_it_is_said(typed: str) -> None:
    assert work_out(SUMS["oil-mix"], {"ratio": typed}).typed["ratio"].value == 50.0


def test_an_elevation_in_feet_needs_no_question() -> None:
    """Nobody knows the elevation of a field to a thousandth of a foot."""
    for found in SUMS.values():
        for name in (f.name for f in found.fields if f.name.endswith("elevation")):
            read = work_out(found, {name: "2,500 ft"}).typed[name]
            assert read.refused == "" and read.value == pytest.approx(2500 * 0.3048)


@pytest.mark.parametrize("typed", ["1 1/8", "1⅛", "1,125", "1.125"])
def test_turns_of_a_needle_in_a_sum(typed: str) -> None:
    asked = next(s for s in SUMS.values() if s.field("turns"))
    assert work_out(asked, {"turns": typed}).typed["turns"].value == 1.125


def test_blanks_part_thousands_and_never_join_a_fraction() -> None:
    assert work_out(SUMS["air-density"], {"elevation": "2 500 ft"}).typed["elevation"].value == 762.0
    assert work_out(SUMS["oil-mix"], {"petrol": "1 1/2"}).typed["petrol"].value == 1.5


def test_what_stays_ambiguous_offers_both_with_their_unit() -> None:
    field = SUMS["oil-mix"].field("petrol")
    assert field is not None and field.lower <= 1.25 < 1250 <= field.upper
    read = work_out(SUMS["oil-mix"], {"petrol": "1,250 l", "petrol.give-or-take": "0"}).typed["petrol"]
    assert "can mean 1250 or 1.250" in read.refused
    assert [c.text for c in read.choices] == ["1250 l", "1.250 l"]
    for choice, value in zip(read.choices, (1250.0, 1.25), strict=True):
        assert work_out(SUMS["oil-mix"], {"petrol": choice.text}).typed["petrol"].value == value


@given(st.text(alphabet="0123456789.,:/ -⅛½ftl", max_size=12))
def test_any_text_is_a_value_or_a_sentence(text: str) -> None:
    for name, field in (("air-density", "elevation"), ("oil-mix", "ratio"), ("oil-mix", "petrol")):
        read = work_out(SUMS[name], {field: text}).typed[field]
        assert read.refused or isinstance(read.value, float)


def test_a_density_without_a_humidity_is_that_of_saturated_air_and_says_so(
    ask: Callable[..., WorkedOut],
) -> None:
    blank, wet = ask("air-density", temperature="30"), ask("air-density", temperature="30", humidity="100")
    assert blank.answer is not None and wet.answer is not None
    assert [r.value for r in blank.answer.results] == [r.value for r in wet.answer.results]
    assert any("saturated air is taken" in words for words in blank.sentences)
    assert not any("saturated" in words for words in wet.sentences)
