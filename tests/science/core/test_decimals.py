"""Digits on the bench: none too many, and never moved across a limit."""

from __future__ import annotations

import doctest

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.science.core import decimals as module
from tickover.science.core.decimals import format_reading


def test_the_examples_hold() -> None:
    assert doctest.testmod(module).failed == 0


@pytest.mark.parametrize(
    ("value", "step", "text"),
    [
        (1.4, 0.02, "1.40"),
        (2104.0, 10.0, "2104"),
        (1.125, 0.125, "1.125"),
        (10.0, 0.2, "10.0"),
        (1.4, 0.0, "1.4"),
    ],
)
def test_as_many_decimals_as_were_read(value: float, step: float, text: str) -> None:
    assert format_reading(value, step) == text


@given(
    st.floats(-100.0, 100.0),
    st.sampled_from([0.01, 0.02, 0.125, 0.5, 10.0]),
    st.floats(-100.0, 0.0),
    st.floats(0.0, 100.0),
)
def test_what_is_shown_lies_where_the_value_does(
    value: float, step: float, lower: float, upper: float
) -> None:
    told = float(format_reading(value, step, lower, upper))
    assert (lower <= told <= upper) == (lower <= value <= upper)
    assert (told < lower) == (value < lower)


@given(st.sampled_from([1.2, 1.6, 0.7, 230.0]), st.integers(1, 12))
def test_a_hair_outside_is_shown_outside(limit: float, hair: int) -> None:
    assert float(format_reading(limit + 10.0**-hair, 0.02, None, limit)) > limit
    assert float(format_reading(limit - 10.0**-hair, 0.02, limit, None)) < limit


def test_nothing_has_no_sign() -> None:
    assert format_reading(-0.0000005, 0.01) == "0.0000"
