"""Numbers as people type them at a bench."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.formats.number import ImplausibleNumber, NumberError, read_number


def lever(text: str) -> float:
    return read_number(text, unit="mm", plausible=(0.0, 5.0), name="Lever height")


@pytest.mark.parametrize(
    "text", ["1.4", "1,4", " 1.4 ", "1.4mm", "1,4 mm", "+1.40 MM", "\u00a01.4\tmm ", "01.4", "1.400"]
)
def test_comma_point_blanks_and_unit_are_all_taken(text: str) -> None:
    assert lever(text) == 1.4


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("-12.5", "°C", -12.5),
        ("\N{MINUS SIGN}12,5 °C", "°C", -12.5),
        ("180 C", "°C", 180.0),
        ("8 Nm", "N·m", 8.0),
        ("6200 rpm", "r/min", 6200.0),
        (".5", "mm", 0.5),
        ("5.", "mm", 5.0),
        ("0,125", "mm", 0.125),
        ("12", "", 12.0),
    ],
)
def test_the_spellings_of_a_bench_are_taken(text: str, unit: str, value: float) -> None:
    assert read_number(text, unit=unit, name="Reading") == value


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "Lever height: nothing is typed. Type a number in mm."),
        (" mm ", "Lever height: nothing is typed. Type a number in mm."),
        ("abc", 'Lever height: "abc" is not a number. Type a number in mm, such as 1.4 or 1,4.'),
        ("1.2.3", '"1.2.3" is not a number'),
        ("1,400.5", '"1,400.5" has both a comma and a point'),
        ("1.400,5", "has both a comma and a point"),
        ("1,400", '"1,400" can mean 1400 or 1.400. Type one of the two.'),
        ("nan", "is not a number"),
        ("inf", "is not a number"),
        ("1e3", "is not a number"),
        ("1_4", "is not a number"),
        ("1 4", "is not a number"),
        ("1.4 in", '"1.4 in" is not a number. Type a number in mm'),
        ("١٫٤", "is not a number"),
        ("-", "is not a number"),
        (",", "is not a number"),
        ("9" * 400, "goes on too long"),
    ],
)
def test_what_would_need_a_guess_is_refused(text: str, sentence: str) -> None:
    with pytest.raises(NumberError) as caught:
        lever(text)
    assert sentence in str(caught.value)


@pytest.mark.parametrize(("text", "unit"), [("5 kPa", "Pa"), ("5 mbar", "bar"), ("5 kg", "g"), ("5 mm", "m")])
def test_a_number_in_a_larger_or_smaller_unit_is_not_taken_for_the_one_wanted(text: str, unit: str) -> None:
    with pytest.raises(NumberError, match="is not a number"):
        read_number(text, unit=unit, name="Reading")


def test_a_lost_decimal_point_is_asked_about() -> None:
    with pytest.raises(ImplausibleNumber) as caught:
        lever("14")
    assert str(caught.value) == (
        "14 mm is far from anything this gauge can find here (0 to 5 mm). "
        "Did you mean 1.4 mm? Type it again, or confirm it."
    )
    assert (caught.value.value, caught.value.meant) == (14.0, 1.4)


def test_a_wrong_sign_is_asked_about() -> None:
    with pytest.raises(ImplausibleNumber, match=r"Did you mean 1.4 mm"):
        lever("-1.4")


def test_no_guess_is_offered_where_none_fits() -> None:
    with pytest.raises(ImplausibleNumber) as caught:
        read_number("0", unit="kPa", plausible=(20.0, 90.0), name="Pop-off pressure")
    assert "Did you mean" not in str(caught.value)
    assert caught.value.meant is None


def test_the_ends_of_the_plausible_range_belong_to_it() -> None:
    assert (lever("0"), lever("5")) == (0.0, 5.0)


@given(st.text(max_size=60))
def test_any_text_is_a_finite_number_or_a_sentence(text: str) -> None:
    try:
        value = read_number(text, unit="mm", name="Lever height")
    except NumberError as error:
        assert str(error).startswith("Lever height: ")
        assert str(error).endswith(".")
    else:
        assert math.isfinite(value)


@given(st.decimals(-9999, 9999, places=2), st.sampled_from(".,"), st.sampled_from(["", " ", " mm", "mm "]))
def test_what_is_shown_can_be_typed_back(value: object, mark: str, behind: str) -> None:
    typed = f"{value}".replace(".", mark) + behind
    assert read_number(typed, unit="mm", name="Lever height") == float(f"{value}")


@given(st.floats(-1e6, 1e6), st.floats(0.1, 50.0))
def test_a_guess_that_is_offered_is_plausible(value: float, upper: float) -> None:
    try:
        read_number(f"{value:.4f}", unit="mm", plausible=(0.05, upper), name="Lever height")
    except ImplausibleNumber as error:
        assert error.meant is None or 0.05 <= error.meant <= upper
