"""What is typed, read field by field: what may be left out, in which unit, and what is asked about."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import pytest

from tickover.formats.text.number import ImplausibleNumber, NumberError
from tickover.sheets import LimitRow
from tickover.workshop.readings.computed import MeasurementContext
from tickover.workshop.readings.input_fields import TypedReading
from tickover.workshop.readings.judging import judge, parse


def site(**keys: Any) -> MeasurementContext:
    """A height of 1 to 2 mm, plausible from 0 to 5, known to a hundredth (one standard uncertainty)."""
    facts = {
        "id": "height",
        "title": "Height",
        "unit": "mm",
        "lower": 1.0,
        "upper": 2.0,
        "plausible_lower": 0.0,
        "plausible_upper": 5.0,
        "instrument": "Depth gauge",
        "resolution": 1e-9,
        "expanded_uncertainty": 0.02,
        "rule": "simple",
        "action_outside": "Set it.",
        "authority": "from memory",
    }
    blank: Any = SimpleNamespace()
    return MeasurementContext(LimitRow.model_validate(facts | keys), blank)


SQUISH = site(computed="squish-both-sides")
LOSS = site(unit="bar", lower=None, upper=0.1, computed="pressure-loss", plausible_upper=1.0)
ADAPTER = site(
    unit="N.m", lower=8.0, nominal=9.0, upper=10.0, computed="offset-adapter", plausible_upper=50.0
)


def sides(value: float) -> TypedReading:
    return TypedReading({"of-side-a": f"{value:.5f}", "of-side-b": f"{value:.5f}"})


@pytest.mark.parametrize(("typed", "taken"), [("0", True), ("5", True), ("5.1", False), ("-0.1", False)])
def test_a_number_far_off_is_asked_about_once(typed: str, taken: bool) -> None:
    if taken:
        assert parse(TypedReading.of(typed), site())[0].value == float(typed)
    else:
        with pytest.raises(ImplausibleNumber, match="far from"):
            parse(TypedReading.of(typed), site())
    assert parse(TypedReading.of(typed, confirmed=True), site())[0].value == float(typed)


def test_a_number_of_a_sum_is_not_asked_about_by_the_limits_of_its_result() -> None:
    assert [t.value for t in parse(sides(90.0), SQUISH)] == [90.0, 90.0]


@pytest.mark.parametrize(
    ("value", "taken"),
    [(5.0, True), (5.0299, True), (5.0301, False), (2.5, True), (-0.0299, True), (-0.0301, False)],
)
def test_a_result_is_asked_about_from_three_standard_uncertainties_on(value: float, taken: bool) -> None:
    fields = parse(sides(value), SQUISH)
    if taken:
        assert judge(fields, SQUISH, None, confirmed=False).value == pytest.approx(value)
    else:
        with pytest.raises(ImplausibleNumber, match="Height comes out at"):
            judge(fields, SQUISH, None, confirmed=False)
    assert judge(fields, SQUISH, None, confirmed=True).value == pytest.approx(value)


def test_a_number_that_was_read_itself_is_asked_about_when_read_and_not_again() -> None:
    fields = parse(TypedReading.of("9", confirmed=True), site())
    assert judge(fields, site(), None, confirmed=False).value == 9.0


def test_what_is_supposed_is_taken_and_what_may_be_left_out_is() -> None:
    fields = parse(TypedReading({"of-start": "0.5", "of-end": "0.45", "of-minutes": "1"}), LOSS)
    by_name = {t.name: (t.typed, t.value) for t in fields}
    assert by_name["of-start-temperature"] == ("", 20.0) and "of-volume" not in by_name
    assert by_name["of-minutes"] == ("1", 1.0)
    entry = {"of-start": "0.5", "of-end": "0.45", "of-minutes": "1"}
    more = parse(TypedReading(entry | {"of-volume": "300", "of-start-temperature": "25"}), LOSS)
    assert {"of-volume": 300.0, "of-start-temperature": 25.0}.items() <= {
        t.name: t.value for t in more
    }.items()


@pytest.mark.parametrize("left_out", ["of-start", "of-end", "of-minutes"])
def test_what_has_to_be_typed_is_refused_without(left_out: str) -> None:
    typed = {"of-start": "0.5", "of-end": "0.45", "of-minutes": "1"} | {left_out: ""}
    with pytest.raises(NumberError) as caught:
        parse(TypedReading(typed), LOSS)
    assert caught.value.field == left_out


def test_the_unit_that_is_chosen_is_that_of_the_limits_own_numbers() -> None:
    typed = {"of-start": "10", "of-end": "9", "of-minutes": "1"}
    fields = {t.name: t for t in parse(TypedReading(typed, unit="psi"), LOSS)}
    assert fields["of-start"].value == pytest.approx(0.689476) and fields["of-start"].unit == "psi"
    assert fields["of-minutes"].value == 1.0


def test_what_was_typed_is_kept_to_forty_characters() -> None:
    (field,) = parse(TypedReading.of("1." + "2" * 38 + " mm"), site())
    assert field.typed == "1." + "2" * 38


def test_a_field_is_named_as_it_is_asked() -> None:
    for where, entry, name in (
        (site(), TypedReading.of("x"), "Height"),
        (site(repeats=2), TypedReading({"typed_1": "x", "typed_2": "1"}), "Height, reading 1 of 2"),
        (LOSS, TypedReading({"of-start": "x"}), "Pressure at the start, by the gauge"),
    ):
        with pytest.raises(NumberError) as caught:
            parse(entry, where)
        assert name in str(caught.value)
    with pytest.raises(NumberError) as single:
        parse(TypedReading.of("x"), site())
    assert "reading" not in str(single.value)


def test_an_adapter_without_a_setting_is_answered_with_one() -> None:
    """9 N.m at the nut with 250 mm of wrench and 50 mm of adapter: 9 * 250/300 = 7.5."""
    arm = {"of-wrench-length": "250", "of-offset": "50"}
    with pytest.raises(NumberError, match=r"Set the wrench to 7\.5 N\.m: .* that is 9 N\.m at the nut"):
        parse(TypedReading(arm | {"of-setting": ""}), ADAPTER)
    taken = parse(TypedReading(arm | {"of-setting": "7.5"}), ADAPTER)
    assert judge(taken, ADAPTER, None, confirmed=False).value == pytest.approx(9.0)


def test_numbers_that_give_nothing_are_refused_with_the_name_of_the_limit() -> None:
    fields = parse(TypedReading({"of-start": "0.5", "of-end": "0.45", "of-minutes": "0"}), LOSS)
    with pytest.raises(NumberError, match="Height cannot be worked out from these numbers"):
        judge(fields, LOSS, None, confirmed=False)


@pytest.mark.parametrize(("value", "taken"), [(6.5, True), (6.50001, False), (-1.5, True), (-1.50001, False)])
def test_at_three_standard_uncertainties_exactly_a_result_is_taken(value: float, taken: bool) -> None:
    """Known to 0.5 mm: 5 + 1.5 and 0 - 1.5, all of them exact in binary."""
    rough = site(computed="squish-both-sides", expanded_uncertainty=1.0)
    fields = parse(sides(value), rough)
    if taken:
        assert judge(fields, rough, None, confirmed=False).value == value
    else:
        with pytest.raises(ImplausibleNumber):
            judge(fields, rough, None, confirmed=False)


def test_a_lost_decimal_mark_is_found_by_the_limits_of_what_is_read_itself() -> None:
    with pytest.raises(ImplausibleNumber, match=r"Did you mean 1\.4 mm"):
        parse(TypedReading.of("14"), site())


def test_a_reading_that_only_the_last_digit_of_a_conversion_parts_from_its_limit_is_on_it() -> None:
    """10 psi are 0.689 475 729 316 836 1 bar (NIST SP 811, appendix B); the limit is the next number a computer has."""
    upper = math.nextafter(0.6894757293168361, 1.0)
    (field,) = parse(TypedReading.of("10 psi"), site(unit="bar", lower=None, upper=upper))
    assert field.value == upper
