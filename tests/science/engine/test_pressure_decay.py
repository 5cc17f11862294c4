"""What a pressure test says: the leak, what was only temperature, how sure it is, and what it means at idle."""

import numpy as np
import pytest

from tickover.science.engine.induction_leak import engine_air_l_min, induction_leak
from tickover.science.engine.pressure_decay import PressureDecay, leak_from_decay
from tickover.science.fuel_system.orifice import air_through_hole_kg_s, hole_m, is_choked
from tickover.science.measurement.propagation import Unsure, propagate

KELVIN = 273.15
SURE = {"u_pressure_pa": 0.0, "u_temperature_k": 0.0, "u_volume_m3": 0.0, "u_time_min": 0.0}
"""As if every input were known exactly, which has to be said."""


def case_test(end_pa: float = 31_500.0, end_c: float = 20.0, **unsure: float) -> PressureDecay:
    """0.35 bar for ten minutes in 0.6 litres."""
    return leak_from_decay(35e3, end_pa, 10.0, 6e-4, 20.0 + KELVIN, end_c + KELVIN, **SURE | unsure)


def test_one_degree_moves_the_gauge_by_five_millibar() -> None:
    cooled = case_test(end_pa=35e3 - 465.0, end_c=19.0)
    assert float(cooled.drift_pa) == pytest.approx(-460.0, abs=6.0)
    assert abs(float(cooled.loss_pa)) < 2.0


def test_what_was_lost_is_drift_and_leak_together() -> None:
    test = case_test(end_c=18.0)
    by_leak = float(test.loss_pa) * float(test.end_k / test.start_k)
    assert float(test.read_loss_pa) == pytest.approx(by_leak - float(test.drift_pa), rel=1e-12)


def test_thirty_millilitres_are_what_half_a_tenth_of_a_bar_is_worth() -> None:
    test = leak_from_decay(
        35e3,
        30e3,
        1.0,
        6e-4,
        288.15,
        288.15,
        u_pressure_pa=0.0,
        u_temperature_k=0.0,
        u_volume_m3=0.0,
        u_time_min=0.0,
    )
    assert float(test.leak_l_min) == pytest.approx(0.0296, abs=1e-4)


def test_a_vacuum_test_leaks_inwards_through_a_hole_of_the_same_kind() -> None:
    test = leak_from_decay(
        -35e3,
        -30e3,
        5.0,
        6e-4,
        293.15,
        293.15,
        u_pressure_pa=0.0,
        u_temperature_k=0.0,
        u_volume_m3=0.0,
        u_time_min=0.0,
    )
    assert float(test.leak_pa_m3_s) < 0.0 < float(test.hole_m)


def test_a_rise_without_a_reason_is_no_leak() -> None:
    risen = case_test(end_pa=36e3)
    assert float(risen.hole_m) == 0.0


def test_the_hole_found_would_leak_what_was_lost() -> None:
    test = case_test(end_pa=33e3)
    mean = 101_325.0 + 34e3
    kg_s = air_through_hole_kg_s(mean, 101_325.0, 293.15, test.hole_m)
    assert float(kg_s) * 287.05287 * 293.15 == pytest.approx(float(test.leak_pa_m3_s), rel=1e-12)


def test_uncertainty_agrees_with_moving_every_input() -> None:
    given = {
        "start_pa": Unsure(35e3, 500.0),
        "end_pa": Unsure(31.5e3, 500.0),
        "time_min": Unsure(10.0, 0.03),
        "volume_m3": Unsure(6e-4, 2e-5),
        "start_k": Unsure(293.15, 0.3),
        "end_k": Unsure(292.15, 0.3),
    }
    moved = propagate(lambda a: float(leak_from_decay(**SURE | a).leak_pa_m3_s), given)
    unsure = {"u_pressure_pa": 500.0, "u_temperature_k": 0.3, "u_volume_m3": 2e-5, "u_time_min": 0.03}
    test = case_test(end_c=19.0, **unsure)
    assert float(test.u_leak_pa_m3_s) == pytest.approx(moved.standard_uncertainty, rel=1e-3)
    assert float(test.u_hole_m / test.hole_m) == pytest.approx(
        float(test.u_leak_l_min / test.leak_l_min) / 2.0
    )


def test_many_tests_at_once_are_the_same_as_one_by_one() -> None:
    ends = np.array([34e3, 33e3, 31e3])
    together = leak_from_decay(
        35e3,
        ends,
        10.0,
        6e-4,
        293.15,
        293.15,
        u_pressure_pa=0.0,
        u_temperature_k=0.0,
        u_volume_m3=0.0,
        u_time_min=0.0,
    )
    assert together.hole_m == pytest.approx([float(case_test(end).hole_m) for end in ends], rel=1e-12)
    assert together.working(2).result.value == pytest.approx(float(case_test(31e3).leak_l_min))


def test_a_hole_gets_through_no_more_once_it_is_choked() -> None:
    assert not is_choked(150e3, 101_325.0)
    assert is_choked(250e3, 101_325.0)
    flows = air_through_hole_kg_s(300e3, [50e3, 100e3, 150e3], 293.15, 1e-3)
    assert flows == pytest.approx(flows[0], rel=1e-12)


def test_without_pressure_nothing_flows_and_no_hole_explains_a_flow() -> None:
    assert float(air_through_hole_kg_s(1e5, 1e5, 293.15, 1e-3)) == 0.0
    assert float(hole_m(0.0, 1e5, 1e5, 293.15)) == 0.0
    assert float(hole_m(1e-6, 1e5, 1e5, 293.15)) == np.inf


def test_five_litres_a_minute_spoil_the_idle_and_not_full_throttle() -> None:
    # The figures of a worked example of common practice, recomputed by hand: 0.18 x 2000 x 0.17, 0.18 x 8000 x 0.8.
    leak = induction_leak(5.0, 180.0)
    assert (float(leak.idle_l_min), float(leak.full_l_min)) == pytest.approx((61.2, 1152.0))
    assert (float(leak.idle_share), float(leak.full_share)) == pytest.approx((0.0817, 0.00434), rel=1e-3)
    assert leak.working().result.value == pytest.approx(0.0817, rel=1e-3)


def test_an_engine_breathes_one_filling_in_a_turn() -> None:
    assert engine_air_l_min([180.0, 130.0], 6000.0, 0.5) == pytest.approx([540.0, 390.0])
