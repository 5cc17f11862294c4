"""Inputs that cannot be true are refused in words that help."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.science.core.input_checks import OutOfRangeError, checked, checked_choice, checked_one


def refused(value: object, lower: float, upper: float, unit: str = "") -> str:
    with pytest.raises(OutOfRangeError) as told:
        checked("air pressure", value, lower, upper, unit)  # type: ignore[arg-type]
    return str(told.value)


def test_an_array_comes_out_as_it_went_in() -> None:
    given_array = np.array([1.0, 2.0])
    assert checked("lift", given_array, 0.0, 2.0) is given_array
    assert checked("lift", 1, 0.0, 2.0).dtype == np.float64


def test_the_message_names_quantity_value_place_range_and_what_to_do() -> None:
    told = refused([101_325.0, 1013.0, 990.0], 45_000.0, 110_000.0, "Pa")
    assert told == (
        "air pressure must be between 45000 and 110000 Pa; got 1013 Pa at index 1 (and 1 more): "
        "this looks like hectopascals (millibar): multiply by 100"
    )


@pytest.mark.parametrize(
    ("value", "lower", "upper", "unit", "hint"),
    [
        (15.0, 233.0, 333.0, "K", "degrees Celsius"),
        (29.92, 45e3, 110e3, "Pa", "inches of mercury"),
        (101.3, 45e3, 110e3, "Pa", "kilopascals"),
        (1.013, 45e3, 110e3, "Pa", "bar"),
        (55.0, 0.0, 1.0, "1", "percent"),
        (30_000.0, -2e3, 2e4, "m", "feet"),
        (0.745, 600.0, 900.0, "kg/m3", "kilograms a litre"),
        (1_000.0, 233.0, 333.0, "K", "kelvin"),
        (np.nan, 0.0, 1.0, "1", "missing"),
        (np.inf, 0.0, np.inf, "h", "missing"),
    ],
)
def test_the_likely_slip_is_told(value: float, lower: float, upper: float, unit: str, hint: str) -> None:
    assert hint in refused(value, lower, upper, unit)


@pytest.mark.parametrize("value", ["12", True, [True, False], None, [], 1j, [[1.0, 2.0], [3.0]], {}, b"1"])
def test_what_is_not_a_number_is_refused(value: object) -> None:
    assert "air pressure" in refused(value, 0.0, 1e6)


def test_one_sided_ranges_read_well() -> None:
    assert "0 h or more" in refused(-1.0, 0.0, np.inf, "h")
    assert "5 N or less" in refused(6.0, -np.inf, 5.0, "N")
    assert "a finite number" in refused(np.nan, -np.inf, np.inf)


def test_a_place_in_a_table_is_told_by_row_and_column() -> None:
    assert "at index [1, 0]" in refused([[0.1, 0.2], [3.0, 0.1]], 0.0, 1.0)


def test_the_callers_hint_comes_before_a_guess() -> None:
    with pytest.raises(OutOfRangeError, match="ask the tower"):
        checked("QNH", 1013.0, 87e3, 109e3, "Pa", "ask the tower")


def test_one_number_is_one_number() -> None:
    assert checked_one("lift", [0.5], 0.0, 1.0) == 0.5
    with pytest.raises(OutOfRangeError, match="one number, not 2"):
        checked_one("lift", [0.5, 0.6], 0.0, 1.0)


def test_a_word_must_be_one_of_the_choices() -> None:
    assert checked_choice("method", "cover on", ("cover on", "cover off")) == "cover on"
    with pytest.raises(OutOfRangeError, match="one of cover on, cover off; got 'dry'"):
        checked_choice("method", "dry", ("cover on", "cover off"))
    with pytest.raises(OutOfRangeError, match=r"xxx\.\.\."):
        checked_choice("method", "x" * 100, ("cover on",))


@given(st.lists(st.floats(allow_nan=True, allow_infinity=True), min_size=1, max_size=5))
def test_either_all_values_are_inside_or_it_is_refused(values: list[float]) -> None:
    if all(-1e3 <= value <= 1e3 for value in values):
        assert checked("x", values, -1e3, 1e3).tolist() == values
    else:
        refused(values, -1e3, 1e3)
