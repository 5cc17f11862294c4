"""Readings typed in one unit and kept in another: exact, there and back, and never across a limit."""

from __future__ import annotations

import doctest
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.formats import amount as amounts
from tickover.formats.amount import Amount, read_amount, written_unit
from tickover.formats.text import units
from tickover.formats.text.number import AmbiguousNumber, Choice, ImplausibleNumber, NumberError
from tickover.formats.text.units import (
    CHOICES,
    alternatives,
    convert,
    convert_width,
    convertible,
    settled,
    shown_limit,
)
from tickover.science.measurement.conformity import Rule, decide

PAIRS = st.sampled_from(CHOICES)
DECIMALS = st.decimals(min_value=-500, max_value=500, places=4)


def test_the_examples_hold() -> None:
    assert doctest.testmod(units).failed == doctest.testmod(amounts).failed == 0


@given(PAIRS, DECIMALS)
def test_there_and_back_is_where_it_began(pair: tuple[str, str], typed: Decimal) -> None:
    value = float(typed)
    there = convert(value, *pair)
    assert settled(convert(there, pair[1], pair[0]), value) == value


@given(PAIRS, DECIMALS, st.booleans())
def test_a_limit_that_is_converted_and_typed_is_inside(
    pair: tuple[str, str], limit: Decimal, is_lower: bool
) -> None:
    """By the simple rule, which the last binary digit would decide."""
    unit, other = pair
    lower, upper = (float(limit), None) if is_lower else (None, float(limit))
    typed = f"{convert(float(limit), unit, other):.17f}"
    read = read_amount(typed, unit=unit, typed_in=other, limits=(lower, upper), name="x")
    verdict = decide(read.value, lower, upper, resolution=0.01, expanded_uncertainty=0.01, rule=Rule.SIMPLE)
    assert verdict.decision == "inside"


LBF = Fraction("0.45359237") * Fraction("9.80665")
EXACT = {
    ("mm", "in"): Fraction("25.4"),
    ("bar", "psi"): LBF / Fraction("0.0254") ** 2 / 100_000,
    ("N.m", "in-lb"): LBF * Fraction("0.0254"),
}
"""By the definitions of inch, pound and standard gravity."""


@given(st.sampled_from(list(EXACT)), DECIMALS, DECIMALS)
def test_the_decision_is_the_same_in_either_unit(
    pair: tuple[str, str], typed: Decimal, limit: Decimal
) -> None:
    read = read_amount(str(typed), unit=pair[0], typed_in=pair[1], limits=(float(limit), None), name="x")
    exact = Fraction(typed) * EXACT[pair]
    if exact == Fraction(limit) or abs(exact - Fraction(limit)) > Fraction(1, 10**9):
        assert (read.value >= float(limit)) == (exact >= Fraction(limit))


@given(PAIRS, DECIMALS.filter(bool), st.booleans())
def test_a_limit_is_shown_rounded_to_the_inside(
    pair: tuple[str, str], limit: Decimal, is_lower: bool
) -> None:
    told = float(shown_limit(float(limit), *pair, lower=is_lower))
    back = settled(convert(told, pair[1], pair[0]), float(limit))
    assert back >= float(limit) if is_lower else back <= float(limit)


@pytest.mark.parametrize(
    ("typed", "amount"),
    [
        ("0.055", Amount(1.397, "in")),
        ("0,055 in", Amount(1.397, "in")),
        ('0.055"', Amount(1.397, "in")),
        ("1.4 mm", Amount(1.4, "mm")),
    ],
)
def test_the_unit_that_is_written_counts_before_the_one_that_is_chosen(typed: str, amount: Amount) -> None:
    assert read_amount(typed, unit="mm", typed_in="in", name="Lever height") == amount


@pytest.mark.parametrize("typed", ["10 Nm", "10 N·m", "10 N.m", "10N m"])
def test_torque_is_spelled_in_many_ways(typed: str) -> None:
    assert read_amount(typed, unit="N.m", name="Torque") == Amount(10.0, "N.m")


def test_a_slip_is_told_in_the_unit_that_was_typed() -> None:
    with pytest.raises(ImplausibleNumber, match=r"5.5 in is far .*0 to 0.1575 in.*Did you mean 0.055 in"):
        read_amount("5.5", unit="mm", typed_in="in", plausible=(0.0, 4.0), name="Lever height")


def test_the_sheets_own_unit_is_asked_for_where_another_was_left_on() -> None:
    with pytest.raises(ImplausibleNumber, match=r"Did you mean 0\.55 mm, or 0\.055 in\?"):
        read_amount("0.55", unit="mm", typed_in="in", plausible=(0.0, 4.0), name="Lever height")


@pytest.mark.parametrize("typed", ["1.4 psi", "1.4 kg", "in", ""])
def test_a_unit_of_something_else_is_no_number(typed: str) -> None:
    with pytest.raises(NumberError):
        read_amount(typed, unit="mm", name="Lever height")


def test_a_unit_that_is_not_offered_is_refused() -> None:
    with pytest.raises(NumberError, match=r'"psi" is not a unit it is read in\. Choose mm or in'):
        read_amount("1.4", unit="mm", typed_in="psi", name="Lever height")


def test_what_may_be_typed_instead() -> None:
    assert alternatives("mm") == ("mm", "in") and alternatives("psi") == ("psi", "bar")
    assert alternatives("turns") == ("turns",)


def test_what_measures_the_same_is_convertible() -> None:
    assert convertible("kPa", "psi") and convertible("turns", "turns")
    assert not convertible("bar", "mm") and not convertible("turns", "mm")
    with pytest.raises(ValueError, match="bar cannot be converted to mm"):
        convert(1.0, "bar", "mm")


def test_an_uncertainty_has_no_zero_point() -> None:
    assert convert_width(1.8, "deg F", "deg C") == 1.0
    assert convert_width(0.001, "in", "mm") == 0.0254


HEAD = {"unit": "deg C", "plausible": (-20.0, 300.0), "name": "Head temperature"}


def test_a_number_that_can_only_be_in_the_other_unit_asks_for_that_unit() -> None:
    """365 deg F is 185 deg C: (365 - 32) / 1.8."""
    with pytest.raises(ImplausibleNumber) as caught:
        read_amount("365", **HEAD)  # type: ignore[arg-type]
    assert "365 °C is far from anything" in str(caught.value)
    assert "Did you mean 365 °F (185 °C), or 36.5 °C?" in str(caught.value)
    assert caught.value.choices == (Choice("365 deg F", "365 °F (185 °C)"), Choice("36.5 deg C", "36.5 °C"))
    again = read_amount(caught.value.choices[0].text, **HEAD)  # type: ignore[arg-type]
    assert again == Amount(185.0, "deg F")


@pytest.mark.parametrize("typed", ["300", "-20", "572 deg F"])
def test_what_is_plausible_as_typed_is_not_asked_about(typed: str) -> None:
    assert -20.0 <= read_amount(typed, **HEAD).value <= 300.0  # type: ignore[arg-type]


@pytest.mark.parametrize("typed", ["365 deg C", "365 °C", "900"])
def test_a_unit_that_was_written_or_that_does_not_help_is_not_doubted(typed: str) -> None:
    with pytest.raises(ImplausibleNumber) as caught:
        read_amount(typed, **HEAD)  # type: ignore[arg-type]
    assert caught.value.choices == ()


def test_both_readings_of_a_number_keep_the_unit_behind_it() -> None:
    with pytest.raises(AmbiguousNumber) as caught:
        read_amount("1,250 in", unit="mm", name="Span")
    assert [c.text for c in caught.value.choices] == ["1250 in", "1.250 in"]
    assert [read_amount(c.text, unit="mm", name="Span").value for c in caught.value.choices] == [31750, 31.75]


def test_an_eighth_of_an_inch_is_read_exactly() -> None:
    """1 1/8 in is 28.575 mm."""
    for typed in ("1 1/8 in", "1⅛ in", '1⅛"', "1.125 in"):
        assert read_amount(typed, unit="mm", name="Span") == Amount(28.575, "in")


def test_the_gauges_own_unit_is_read_too() -> None:
    assert read_amount("50 kPa", unit="bar", also=("kPa",), name="Pressure") == Amount(0.5, "kPa")
    assert written_unit("50 kPa", "bar", ("kPa",)) == "kPa" and written_unit("50", "bar") == ""
    with pytest.raises(NumberError, match="Choose bar or psi"):
        read_amount("50", unit="bar", typed_in="kPa", name="Pressure")


@given(
    st.floats(-1000.0, 1000.0).map(lambda x: round(x, 2)), PAIRS, st.floats(0.0, 100.0), st.floats(1.0, 500.0)
)
def test_a_unit_that_is_asked_for_makes_the_number_plausible(
    number: float, pair: tuple[str, str], lower: float, width: float
) -> None:
    span = (lower, lower + width)
    try:
        read_amount(f"{number:.2f}", unit=pair[0], plausible=span, name="x")
    except ImplausibleNumber as error:
        for choice in error.choices:
            assert (
                span[0] <= read_amount(choice.text, unit=pair[0], plausible=span, name="x").value <= span[1]
            )
