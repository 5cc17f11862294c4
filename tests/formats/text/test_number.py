"""Numbers as people type them at a bench."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.formats.text.number import AmbiguousNumber, ImplausibleNumber, NumberError, read_number


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
        ("1 9/8", "is not a number"),
        ("5/12", "is not a number"),
        ("1/0", "is not a number"),
        ("1/8/2", "is not a number"),
        ("50:1", "is not a number"),
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


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("1 1/8", 1.125),
        ("1⅛", 1.125),
        ("1 ⅛ turns", 1.125),
        ("⅛", 0.125),
        ("1/8", 0.125),
        ("1 3 / 4", 1.75),
        ("-1 1/2", -1.5),
        ("\N{MINUS SIGN}½", -0.5),
        ("2 1\N{FRACTION SLASH}4", 2.25),
        ("1,125", 1.125),
        ("1,125 turns", 1.125),
    ],
)
def test_turns_of_a_needle_are_read_as_they_are_counted(text: str, value: float) -> None:
    assert read_number(text, unit="turns", plausible=(-6.0, 6.0), name="High needle") == value


@pytest.mark.parametrize(
    ("text", "span", "value"),
    [
        ("2,500", (300.0, 6000.0), 2500.0),
        ("2,500", (0.0, 6.0), 2.5),
        ("-1,500", (-2000.0, -100.0), -1500.0),
        ("1,125", (1.125, 1124.9), 1.125),
        ("1,125", (1.1251, 1125.0), 1125.0),
    ],
)
def test_of_two_readings_the_only_plausible_one_is_taken(
    text: str, span: tuple[float, float], value: float
) -> None:
    assert read_number(text, unit="", plausible=span, name="x") == value


@pytest.mark.parametrize("span", [None, (0.0, 5000.0), (5000.0, 6000.0)])
def test_what_stays_ambiguous_offers_both_readings(span: tuple[float, float] | None) -> None:
    with pytest.raises(AmbiguousNumber) as caught:
        read_number("1,400", unit="mm", plausible=span, name="Lever height")
    assert str(caught.value) == 'Lever height: "1,400" can mean 1400 or 1.400. Type one of the two.'
    assert caught.value.values == (1400.0, 1.4)
    assert [choice.text for choice in caught.value.choices] == ["1400", "1.400"]


@pytest.mark.parametrize(("text", "value"), [("50:1", 50.0), ("1:50", 50.0), ("2,6 : 1", 2.6), ("1:1", 1.0)])
def test_a_ratio_is_so_many_parts_to_one(text: str, value: float) -> None:
    assert read_number(text, unit="", ratio=True, name="Petrol to oil") == value


@pytest.mark.parametrize("text", ["2:100", ":50", "50:", "50:1:1", "1:fifty"])
def test_a_ratio_of_something_else_is_refused(text: str) -> None:
    with pytest.raises(NumberError, match="is not a number"):
        read_number(text, unit="", ratio=True, name="Petrol to oil")


@given(st.integers(0, 999), st.integers(1, 63), st.sampled_from([2, 4, 8, 16, 32, 64]), st.booleans())
def test_a_whole_and_a_part_are_their_sum(whole: int, over: int, under: int, minus: bool) -> None:
    """Binary fractions, so that the sum is exact."""
    over %= under
    typed = f"{'-' * minus}{whole} {over}/{under}"
    value = (whole + over / under) * (-1 if minus else 1)
    assert read_number(typed, unit="turns", name="Needle") == value


@given(st.integers(1, 999), st.integers(0, 999), st.floats(0.0, 5000.0), st.floats(0.0, 5000.0))
def test_a_mark_before_three_digits_is_never_read_against_the_range(
    large: int, small: int, one_end: float, other_end: float
) -> None:
    span = (min(one_end, other_end), max(one_end, other_end))
    readings = (float(f"{large}{small:03}"), float(f"{large}.{small:03}"))
    fit = [value for value in readings if span[0] <= value <= span[1]]
    try:
        value = read_number(f"{large},{small:03}", unit="", plausible=span, name="x")
    except AmbiguousNumber as error:
        assert len(fit) != 1 and error.values == readings
    else:
        assert fit == [value]


@given(st.text(max_size=60))
def test_any_text_is_a_finite_number_or_a_sentence(text: str) -> None:
    try:
        value = read_number(text, unit="mm", ratio=True, name="Lever height")
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
