"""A limit of a type sheet: what it may hold, each rule from both sides."""

from __future__ import annotations

import math
from typing import Any

import pytest
from pydantic import ValidationError

from tickover.sheets.schema.limits import Condition, LimitRow


def row(**keys: Any) -> LimitRow:
    whole = {
        "id": "gap", "title": "Gap", "unit": "mm", "lower": 0.4, "upper": 0.5, "plausible_lower": 0.0,
        "plausible_upper": 5.0, "instrument": "Feeler gauge", "resolution": 0.05, "expanded_uncertainty": 0.02,
        "rule": "guarded", "action_outside": "Set it.", "authority": "maker",
    }  # fmt: skip
    return LimitRow(**{name: value for name, value in {**whole, **keys}.items() if value is not ...})


def refused(words: str, **keys: Any) -> None:
    with pytest.raises(ValidationError, match=words):
        row(**keys)


@pytest.mark.parametrize(
    "keys",
    [
        {"lower": 0.5, "upper": 0.5},
        {"lower": None},
        {"upper": None},
        {"lower": ..., "upper": 0.0},
        {"upper": ..., "lower": 0.0},
        {"nominal": 0.4},
        {"nominal": 0.5},
        {"lower": None, "nominal": -1.0},
        {"upper": None, "nominal": 9.0},
        {"never_below": 0.4},
        {"never_above": 0.5},
        {"never_below": 0.1, "never_above": 1.0},
        {"lower": None, "never_above": 0.5, "never_below": 0.5},
        {"upper": None, "never_below": 0.4, "never_above": 0.4},
        {"lower": None, "nominal": 0.45, "never_below": 0.45},
        {"upper": None, "nominal": 0.45, "never_above": 0.45},
        {"repeats": 2, "spread_max": 0.1},
        {"repeats": 1},
        {"plausible_lower": 0.4, "plausible_upper": 0.5},
        {"lower": None, "plausible_lower": 0.5, "plausible_upper": 0.5},
        {"expanded_uncertainty": 0.0},
    ],
)  # fmt: skip
def test_a_limit_that_makes_sense_is_taken(keys: dict[str, Any]) -> None:
    held = row(**keys)
    assert all(getattr(held, name) == (None if value is ... else value) for name, value in keys.items())


@pytest.mark.parametrize(
    ("words", "keys"),
    [
        ("needs a lower or an upper", {"lower": None, "upper": None}),
        ("needs a lower or an upper", {"lower": ..., "upper": ...}),
        ("are they swapped", {"lower": 0.51, "upper": 0.5}),
        ("outside 0.4 to 0.5", {"nominal": 0.39}),
        ("outside 0.4 to 0.5", {"nominal": 0.51}),
        ("outside its limit, at most 0.5", {"lower": None, "nominal": 0.51}),
        ("outside its limit, at least 0.4", {"upper": None, "nominal": 0.39}),
        ("never_below 0.41 is above 0.4", {"never_below": 0.41}),
        ("never_above 0.49 is below 0.5", {"never_above": 0.49}),
        ("never_below 0.46 is above 0.45", {"lower": None, "nominal": 0.45, "never_below": 0.46}),
        ("never_above 0.44 is below 0.45", {"upper": None, "nominal": 0.45, "never_above": 0.44}),
        ("never_below 0.51 is above 0.5", {"lower": None, "never_below": 0.51}),
        ("never_above 0.39 is below 0.4", {"upper": None, "never_above": 0.39}),
        ("one reading has no spread", {"spread_max": 0.1}),
        ("one reading has no spread", {"repeats": 1, "spread_max": 0.1}),
        ("greater than or equal to 1", {"repeats": 0}),
        ("greater than 0", {"resolution": 0.0}),
        ("greater than 0", {"repeats": 2, "spread_max": 0.0}),
        ("greater than or equal to 0", {"expanded_uncertainty": -0.01}),
        ("lower value 0.4 is not within 0.41 to 5", {"plausible_lower": 0.41}),
        ("upper value 0.5 is not within 0 to 0.49", {"plausible_upper": 0.49}),
        ("upper value 0.5 is not within 0.51 to 5", {"lower": None, "plausible_lower": 0.51}),
        ("lower value 0.4 is not within 0 to 0.39", {"upper": None, "plausible_upper": 0.39}),
        ("finite", {"upper": math.inf}),
        ("finite", {"lower": math.nan}),
        ("valid number", {"upper": "0.5"}),
        ("Extra inputs", {"never_over": 1.0}),
    ],
)  # fmt: skip
def test_a_limit_that_makes_none_is_refused_in_words(words: str, keys: dict[str, Any]) -> None:
    refused(words, **keys)


def test_without_a_word_on_it_one_reading_counts_and_nothing_is_computed() -> None:
    held = row()
    assert (held.repeats, held.take, held.spread_max, held.computed) == (1, "median", None, "")


@pytest.mark.parametrize("ends", [(0.5, 0.5), (None, 0.5), (0.5, None)])
def test_a_condition_has_one_end_or_two(ends: tuple[float | None, float | None]) -> None:
    held = Condition(of="start", lower=ends[0], upper=ends[1])
    assert (held.lower, held.upper) == ends


@pytest.mark.parametrize(
    ("words", "ends"), [("needs a lower or an upper", (None, None)), ("are they swapped", (0.51, 0.5))]
)
def test_a_condition_without_an_end_or_with_swapped_ones_is_refused(
    words: str, ends: tuple[float | None, float | None]
) -> None:
    with pytest.raises(ValidationError, match=words):
        Condition(of="start", lower=ends[0], upper=ends[1])


def test_a_condition_that_names_no_end_is_refused() -> None:
    with pytest.raises(ValidationError, match="needs a lower or an upper"):
        Condition(of="start")


def test_a_wrong_number_of_readings_is_named_alone() -> None:
    with pytest.raises(ValidationError) as caught:
        row(repeats=0, spread_max=0.1)
    assert caught.value.error_count() == 1


def test_a_wrong_lower_value_is_named_alone() -> None:
    with pytest.raises(ValidationError) as caught:
        row(lower="0.4", upper=None)
    assert caught.value.error_count() == 1
    with pytest.raises(ValidationError) as caught:
        Condition(of="start", lower="0.4")  # type: ignore[arg-type]
    assert caught.value.error_count() == 1


# A figure that only the maker can give


def test_a_limit_that_only_the_maker_knows_has_no_figure_and_takes_none_beside_it() -> None:
    limit = row(lower=..., upper=..., makers_figure=True)
    assert (limit.lower, limit.nominal, limit.upper) == (None, None, None)
    for figure in ({"lower": 0.4}, {"upper": 0.5}, {"nominal": 0.45}):
        keys = {"lower": ..., "upper": ..., "makers_figure": True} | figure
        refused("a figure is given; leave makers_figure out", **keys)
    refused("a limit needs a lower or an upper value", lower=..., upper=...)
