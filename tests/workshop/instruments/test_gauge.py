"""What an instrument can tell: its range, its uncertainty, its step, and the day its calibration runs out."""

from __future__ import annotations

from dataclasses import FrozenInstanceError, replace
from datetime import date
from typing import Any

import pytest

from tickover.workshop.instruments.gauge import Gauge

GAUGE = Gauge("G", "Gauge", "mm", 0.01, 0.02, 1.0, 1.0, 25.0, True, "2025-05-09", "C")


@pytest.mark.parametrize(
    ("value", "says"),
    [
        (0.9999, "is below its range, which begins at 1"),
        (1.0, ""),
        (25.0, ""),
        (25.0001, "is above its range, which ends at 25"),
    ],
)
def test_its_range_holds_both_its_ends(value: float, says: str) -> None:
    said = GAUGE.out_of_range(value, "mm")
    assert (says in said) if says else said == ""
    assert replace(GAUGE, lower=None, upper=None).out_of_range(value, "mm") == ""
    assert bool(replace(GAUGE, lower=None).out_of_range(value, "mm")) is (value > 25.0)
    assert bool(replace(GAUGE, upper=None).out_of_range(value, "mm")) is (value < 1.0)


@pytest.mark.parametrize(("value", "expanded"), [(0.0, 0.02), (10.0, 0.12), (-10.0, 0.12)])
def test_its_uncertainty_is_a_fixed_part_and_a_share_of_what_it_reads(value: float, expanded: float) -> None:
    assert GAUGE.expanded_at(value, "mm") == pytest.approx(expanded)


def test_a_gauge_is_kept_with_a_reading_and_comes_back_whole() -> None:
    assert Gauge.kept(GAUGE.facts()) == GAUGE
    assert Gauge.kept({}) is None
    assert GAUGE.name == "Gauge, G"


def test_its_sentences_name_it_and_the_day() -> None:
    assert GAUGE.uncalibrated(date(2025, 5, 9)) == ""
    assert GAUGE.uncalibrated(date(2025, 5, 10)) == (
        "Gauge, G: out of calibration, which ran out on 9 May 2025."
    )
    assert replace(GAUGE, calibrated=False).uncalibrated(date(2025, 5, 9)) == (
        "Gauge, G: no calibration recorded."
    )
    assert replace(GAUGE, due_on="").uncalibrated(date(2099, 1, 1)) == ""
    assert GAUGE.out_of_range(0.5, "mm") == "Gauge, G: 0.5 mm is below its range, which begins at 1."
    assert GAUGE.out_of_range(30.0, "mm") == "Gauge, G: 30 mm is above its range, which ends at 25."


@pytest.mark.parametrize(("unit", "step"), [("mm", 0.01), ("in", 0.01 / 25.4)])
def test_its_step_in_another_unit(unit: str, step: float) -> None:
    assert GAUGE.step(unit) == pytest.approx(step)


def test_its_uncertainty_in_another_unit_is_of_what_it_reads() -> None:
    assert GAUGE.expanded_at(10.0 / 25.4, "in") == pytest.approx(0.12 / 25.4)


WRENCH = replace(GAUGE, unit="N.m", upper=10.0, tool_class="II A")


@pytest.mark.parametrize(
    ("change", "share"),
    [
        ({}, 0.06),
        ({"upper": 10.1}, 0.04),
        ({"unit": "kgf.m", "upper": 10.0}, 0.04),
        ({"tool_class": ""}, None),
        ({"upper": None}, None),
        ({"unit": "mm"}, None),
    ],
)
def test_a_torque_tool_deviates_by_its_class_and_its_largest_torque(
    change: dict[str, Any], share: float | None
) -> None:
    """ISO 6789-1:2017, from memory: class A of type II, 6 % up to 10 N.m and 4 % above."""
    assert replace(WRENCH, **change).deviation() == share


@pytest.mark.parametrize(("tool_class", "indicates"), [("I B", True), ("II A", False), ("", False)])
def test_a_tool_of_type_one_is_read_and_one_of_type_two_is_set(tool_class: str, indicates: bool) -> None:
    assert replace(WRENCH, tool_class=tool_class).indicates is indicates


def test_a_gauge_that_is_kept_cannot_be_changed() -> None:
    with pytest.raises(FrozenInstanceError):
        GAUGE.fixed = 0.0  # type: ignore[misc]
