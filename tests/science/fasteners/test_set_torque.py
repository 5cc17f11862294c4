"""A torque that is set: by the class of the tool, on both sides of each figure.

6 % up to 10 N.m and 4 % above for type II class A: ISO 6789-1:2017, 5.1.5, as a wrench's user manual quotes it; the
other classes are from memory.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.fasteners.set_torque import (
    CLASSES,
    INDICATING,
    Conformity,
    SetTorque,
    largest_setting,
    permissible_deviation,
    torque_given,
)


@pytest.mark.parametrize(
    ("tool_class", "largest", "share"),
    [
        ("II A", 9.99, 0.06),
        ("II A", 10.0, 0.06),
        ("II A", 10.01, 0.04),
        ("II A", 25.0, 0.04),
        ("II D", 10.0, 0.06),
        ("II D", 10.01, 0.06),
        ("I B", 10.0, 0.06),
        ("I B", 10.01, 0.04),
        ("I A", 100.0, 0.06),
    ],
)
def test_the_largest_torque_of_the_tool_decides_not_its_setting(
    tool_class: str, largest: float, share: float
) -> None:
    assert permissible_deviation(tool_class, largest) == share


def test_every_class_has_its_two_figures_and_only_type_one_is_read() -> None:
    assert len(CLASSES) == 12 and len(INDICATING) == 5
    assert all(0.04 <= large <= small <= 0.06 for _, small, large in CLASSES.values())
    assert not INDICATING & {name for name in CLASSES if name.startswith("II")}


@pytest.mark.parametrize("wrong", ["", "A", "III A", "II H", "ii a"])
def test_a_class_that_is_none_is_refused(wrong: str) -> None:
    with pytest.raises(OutOfRangeError, match="tool class must be one of"):
        permissible_deviation(wrong, 25.0)


@pytest.mark.parametrize("wrong", [0.0, -1.0, math.nan, math.inf, 1e9])
def test_a_largest_torque_that_cannot_be_is_refused(wrong: float) -> None:
    with pytest.raises(OutOfRangeError, match="largest torque of the tool"):
        permissible_deviation("II A", wrong)


def test_what_a_setting_gives_by_hand() -> None:
    """9.4/0.94 = 10 and 9.6/0.96 = 10: the deviation is a share of what is given, not of the setting."""
    assert tuple(torque_given(9.4, 0.06)) == (pytest.approx(9.4 / 1.06), pytest.approx(10.0))
    assert torque_given(9.6, 0.04).most == pytest.approx(10.0)
    assert tuple(torque_given(10.0, 0.04)) == (
        pytest.approx(9.6154, abs=1e-4),
        pytest.approx(10.4167, abs=1e-4),
    )


@pytest.mark.parametrize(
    ("deviation", "step", "most"), [(0.06, 0.0, 9.4), (0.06, 0.2, 9.4), (0.06, 0.5, 9.0), (0.04, 0.2, 9.6)]
)
def test_the_greatest_setting_for_ten_newton_metres_and_no_more(
    deviation: float, step: float, most: float
) -> None:
    assert largest_setting(10.0, deviation, step) == pytest.approx(most)


@given(
    st.floats(0.1, 200.0), st.sampled_from([0.04, 0.06]), st.sampled_from([0.0, 0.05, 0.1, 0.2, 0.25, 0.5])
)
def test_the_greatest_setting_leaves_room_and_the_next_step_does_not(
    never: float, deviation: float, step: float
) -> None:
    most = largest_setting(never, deviation, step)
    assert torque_given(most, deviation).most <= never * (1.0 + 1e-8)
    assert torque_given(most + (step or 1e-3 * never), deviation).most > never


KNOWN = {"lower": 9.0, "upper": 10.0, "never_above": 10.0, "deviation": 0.04, "step": 0.2}


@pytest.mark.parametrize(
    ("setting", "conformity"),
    [
        (8.99, Conformity.DOES_NOT_CONFORM),
        (9.0, Conformity.CONFORMS),
        (10.0, Conformity.CONFORMS),
        (10.01, Conformity.DOES_NOT_CONFORM),
    ],
)
def test_a_setting_on_its_limits_conforms_and_beyond_does_not(setting: float, conformity: Conformity) -> None:
    assert SetTorque(setting, **KNOWN).conformity is conformity


@pytest.mark.parametrize(("setting", "room"), [(9.6, True), (9.61, False), (10.0, False)])
def test_the_ordered_ten_conforms_but_leaves_no_room_for_the_tool(setting: float, room: bool) -> None:
    """Both facts are said: the order of the trade is a setting of 10, and at 4 % that may be 10.42 at the nut."""
    found = SetTorque(setting, **KNOWN)
    assert found.conformity is Conformity.CONFORMS
    assert found.leaves_room is room and found.at_most == pytest.approx(9.6)


def test_a_tool_that_is_not_known_conforms_to_nothing() -> None:
    unknown = SetTorque(10.0, 9.0, 10.0, 10.0)
    doubtful = SetTorque(10.0, **KNOWN, why_not="out of calibration")
    for found in (unknown, doubtful):
        assert found.conformity is Conformity.WRENCH_NOT_KNOWN
        assert found.given is None and found.at_most is None and found.leaves_room
    assert SetTorque(12.0, 9.0, 10.0).conformity is Conformity.DOES_NOT_CONFORM


def test_a_limit_of_one_side_holds_on_that_side() -> None:
    assert SetTorque(50.0, 20.0, None, deviation=0.04).conformity is Conformity.CONFORMS
    assert SetTorque(19.9, 20.0, None, deviation=0.04).conformity is Conformity.DOES_NOT_CONFORM
    assert SetTorque(1.0, None, 20.0, deviation=0.04).conformity is Conformity.CONFORMS


def test_the_working_shows_what_it_rests_on() -> None:
    working = SetTorque(10.0, **KNOWN).working("N.m", "Flange nuts")
    assert {"4 %", "10.42", "9.615"} <= {str(q.value) for q in working.inputs}
    assert working.result.value == "conforms" and "ISO 6789-1:2017" in working.source


def test_the_figures_of_every_class() -> None:
    """From memory but for II A; a change of any one is a change of what is let pass."""
    both = {"I A", "I D", "II D", "II E", "II F", "II G"}
    for name, (_, small, large) in CLASSES.items():
        assert (small, large) == (0.06, 0.06 if name in both else 0.04), name


@pytest.mark.parametrize(("largest", "share"), [(0.5, 0.06), (1.0, 0.06), (3_000.0, 0.04)])
def test_tools_of_every_size_are_known(largest: float, share: float) -> None:
    assert permissible_deviation("II A", largest) == share


@pytest.mark.parametrize("wrong", [-0.5, 100_000.1])
def test_a_torque_that_cannot_be_is_refused(wrong: float) -> None:
    with pytest.raises(OutOfRangeError, match="setting"):
        torque_given(wrong, 0.04)


@pytest.mark.parametrize("wrong", [-0.001, 0.501])
def test_a_deviation_that_cannot_be_is_refused(wrong: float) -> None:
    with pytest.raises(OutOfRangeError, match="permissible deviation"):
        torque_given(10.0, wrong)


def test_the_widest_deviation_is_taken() -> None:
    assert tuple(torque_given(9.0, 0.5)) == (pytest.approx(6.0), pytest.approx(18.0))


def test_without_a_step_nothing_is_rounded() -> None:
    assert largest_setting(10.0, 0.061) == pytest.approx(9.39)
    found = SetTorque(9.0, 8.0, 10.0, 10.0, 0.061)
    assert found.at_most == pytest.approx(9.39)


def test_the_working_names_the_limits_that_are_there_and_those_that_are_not() -> None:
    def given(found: SetTorque) -> list[object]:
        return [q.value for q in found.working("N.m", "Nuts").inputs[1:4]]

    assert given(SetTorque(8.0, 7.0, 9.0, 10.0)) == [7.0, 9.0, 10.0]
    assert given(SetTorque(8.0, None, None)) == ["none", "none", "not stated"]
