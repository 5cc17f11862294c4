"""Oil in the petrol."""

import numpy as np
import pytest

from tickover.science.fuel_system.oil_mix import oil_for, oil_l, oil_percent, remix


def test_fifty_to_one_is_twenty_millilitres_a_litre() -> None:
    assert oil_l([1.0, 5.0, 10.0], 50.0) == pytest.approx([0.02, 0.1, 0.2])
    mix = oil_for(5.0, 40.0)
    assert float(mix.oil_l) == pytest.approx(0.125)
    assert mix.working().result.value == pytest.approx(125.0)


def test_two_percent_of_the_petrol_are_a_little_less_of_the_mix() -> None:
    assert float(oil_percent(50.0)) == pytest.approx(1.9608, abs=1e-4)


def test_a_ratio_off_the_usual_is_flagged_and_still_worked_out() -> None:
    assert oil_for(5.0, [20.0, 50.0, 100.0]).is_unusual == pytest.approx([1.0, 0.0, 1.0])
    assert float(remix(5.0, 50.0, 100.0).is_unusual) == 1.0


def test_five_litres_of_petrol_from_fifty_to_forty_need_25_millilitres() -> None:
    made = remix(5.1, 50.0, 40.0)
    assert float(made.oil_l) == pytest.approx(0.025)
    assert float(made.petrol_l) == 0.0
    assert made.working().result.value == pytest.approx(25.0)


@pytest.mark.parametrize(("start", "end", "fresh"), [(50.0, 40.0, 0.0), (40.0, 50.0, 0.0), (50.0, 50.0, 3.0)])
def test_the_tank_afterwards_has_the_ratio_wanted(start: float, end: float, fresh: float) -> None:
    made = remix(8.0, start, end, fresh)
    oil = 8.0 / (start + 1.0) + made.oil_l
    petrol = 8.0 * start / (start + 1.0) + fresh + made.petrol_l
    assert float(petrol / oil) == pytest.approx(end)
    assert float(made.total_l) == pytest.approx(float(petrol + oil))
    assert min(float(made.oil_l), float(made.petrol_l)) == 0.0


def test_many_tanks_at_once() -> None:
    made = remix(np.array([1.0, 10.0]), 50.0, 25.0)
    assert made.oil_l[1] == pytest.approx(10.0 * made.oil_l[0])
