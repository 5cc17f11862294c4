"""What is never passed: the figure itself is allowed, and every number that was read counts."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from tickover.sheets import LimitRow
from tickover.workshop.readings.computed import MeasurementContext
from tickover.workshop.visits.steps.never import Never, beyond, never_at, sets_torque

BOTH = Never(2.0, 10.0, "N.m")
ABOVE, BELOW = Never(None, 10.0, "N.m"), Never(2.0, None, "N.m")


def limit(**keys: Any) -> LimitRow:
    facts = {
        "id": "nuts",
        "title": "Nuts",
        "unit": "N.m",
        "nominal": 8.0,
        "lower": 7.0,
        "upper": 9.0,
        "plausible_lower": 0.0,
        "plausible_upper": 50.0,
        "instrument": "Torque wrench",
        "instrument_kind": "torque-wrench",
        "resolution": 0.1,
        "expanded_uncertainty": 0.2,
        "rule": "simple",
        "action_outside": "Set it again.",
        "authority": "from memory",
    }
    return LimitRow.model_validate(facts | keys)


def step(moment: str = "as left") -> Any:
    return SimpleNamespace(moment=moment)


def joint(most: float | None) -> Any:
    return SimpleNamespace(fasteners=SimpleNamespace(torque_max_nm=most))


@pytest.mark.parametrize(
    ("value", "held"),
    [
        (10.0, (True, True, True)),
        (10.01, (False, False, True)),
        (2.0, (True, True, True)),
        (1.99, (False, True, False)),
        (5.0, (True, True, True)),
    ],
)
def test_the_figure_itself_is_allowed_on_either_side(value: float, held: tuple[bool, ...]) -> None:
    assert tuple(never.holds(value) for never in (BOTH, ABOVE, BELOW)) == held


def test_where_nothing_is_stated_nothing_is_passed() -> None:
    assert Never().holds(1e9) and Never().holds(-1e9)
    assert not Never().surely_passed(1e9, 0.0)


@pytest.mark.parametrize(
    ("value", "expanded", "sure"),
    [
        (10.5, 0.5, (False, False, False)),
        (10.75, 0.5, (True, True, False)),
        (10.25, 0.5, (False, False, False)),
        (1.5, 0.5, (False, False, False)),
        (1.25, 0.5, (True, False, True)),
        (1.75, 0.5, (False, False, False)),
        (5.0, 0.5, (False, False, False)),
    ],
)
def test_it_is_surely_passed_by_more_than_the_doubt(
    value: float, expanded: float, sure: tuple[bool, ...]
) -> None:
    assert tuple(never.surely_passed(value, expanded) for never in (BOTH, ABOVE, BELOW)) == sure


def test_it_is_said_with_its_unit() -> None:
    assert Never().words == ""
    assert ABOVE.words == "never more than 10 N.m"
    assert BELOW.words == "never less than 2 N.m"
    assert BOTH.words == "never less than 2 N.m, never more than 10 N.m"


def test_the_limits_own_figure_counts_before_the_joints() -> None:
    assert never_at(step(), limit(never_above=9.5), joint(10.0)).above == 9.5
    assert never_at(step(), limit(never_below=1.0), joint(10.0)) == Never(1.0, 10.0, "N.m")


def test_else_it_is_what_the_joint_may_be_tightened_to() -> None:
    assert never_at(step(), limit(), joint(10.0)).above == 10.0
    assert never_at(step(), limit(unit="N.cm", nominal=8.0), joint(10.0)).above == pytest.approx(1000.0)
    assert never_at(step(), limit(), joint(None)).above is None
    assert never_at(step(), limit(), None).above is None


def test_a_nut_that_is_tried_as_found_has_no_such_figure() -> None:
    assert never_at(step("as found"), limit(), joint(10.0)).above is None


def test_only_a_wrench_that_tightens_sets_a_torque() -> None:
    assert sets_torque(step(), limit()) and sets_torque(step(""), limit())
    assert not sets_torque(step("as found"), limit())
    assert not sets_torque(step(), limit(instrument_kind="scale"))
    assert not sets_torque(step(), limit(unit="mm"))


def site(**keys: Any) -> MeasurementContext:
    blank: Any = SimpleNamespace()
    return MeasurementContext(limit(**keys), blank)


def test_each_of_several_numbers_counts_by_itself() -> None:
    read = {"typed_1": 9.0, "typed_2": 10.5, "typed_3": 1.0}
    assert beyond(site(repeats=3), BOTH, read, 9.0) == (10.5, 1.0)


def test_of_a_pressure_that_is_lost_the_pressures_count() -> None:
    read = {"of-start": 0.7, "of-end": 0.3, "of-minutes": 10.0}
    lost = site(unit="bar", lower=0.0, nominal=0.0, upper=0.1, computed="pressure-loss", instrument_kind=None)
    assert beyond(lost, Never(None, 0.5, "bar"), read, 0.4) == (0.7,)
    assert beyond(lost, Never(0.35, None, "bar"), read, 0.4) == (0.3,)
    assert beyond(lost, Never(None, 0.5, "bar"), {"of-start": 0.7}, 0.4) == (0.7,)


def test_of_any_other_sum_its_result_counts() -> None:
    read = {"of-wrench-length": 250.0, "of-offset": 40.0, "of-setting": 9.0}
    adapter = site(computed="offset-adapter")
    assert beyond(adapter, ABOVE, read, 10.4) == (10.4,)
    assert beyond(adapter, ABOVE, read, 9.9) == ()
