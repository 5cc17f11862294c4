"""The metering lever by a balance of forces: what low and high levers do must come out, it is not put in."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.fuel_system.fuels import PETROL, Premix
from tickover.science.fuel_system.metering.flow import POINTS, FlowPoint, flow
from tickover.science.fuel_system.metering.lever_balance import ILLUSTRATIVE, Metering, pop_off
from tickover.science.fuel_system.metering.mixture_by_lever import (
    lowest_height_mm,
    mixture_by_height_percent,
    suction_for_flow_pa,
)

IDLE, HALF, FULL = POINTS
heights = st.floats(-0.8, 0.6).map(lambda mm: round(mm, 2))
systems = st.builds(
    Metering,
    seat_mm=st.floats(1.0, 1.6),
    half_angle_deg=st.floats(15.0, 45.0),
    spring_n=st.floats(0.08, 0.3),
    spring_n_mm=st.floats(0.0, 0.2),
    lever_ratio=st.floats(1.5, 3.5),
    diaphragm_mm2=st.floats(100.0, 400.0),
    diaphragm_n_mm=st.floats(0.001, 0.03),
    diaphragm_n_mm3=st.floats(0.0, 0.2),
    travel_mm=st.floats(0.5, 1.5),
    pump_pa=st.floats(15_000.0, 40_000.0),
)


# Arithmetic of the forces: 1.0 bar on a seat of 1.2 mm is 0.11 N.
def test_one_bar_on_the_seat_is_a_tenth_of_a_newton() -> None:
    assert 1e5 * ILLUSTRATIVE.seat_mm2 * 1e-6 == pytest.approx(0.113, abs=5e-4)
    assert pop_off(ILLUSTRATIVE).pop_off_pa == pytest.approx(1e5, rel=2e-3)


# Arithmetic: pump at 0.3 bar, ratio 2.29 and half of a 22 mm diaphragm want about 180 Pa, 18 mm of water.
def test_the_suction_that_opens_the_needle() -> None:
    half_of_22_mm = 0.5 * 0.25 * np.pi * 22.0**2
    system = replace(ILLUSTRATIVE, diaphragm_mm2=half_of_22_mm)
    found = system.suction_pa(0.0)
    assert found == pytest.approx(180.0, rel=0.02)
    assert found / 9.80665 == pytest.approx(18.5, abs=0.5)


# Arithmetic: a seat of 1.2 times the diameter pops at 1/1.44 of the pressure, 31 % less.
def test_a_larger_seat_pops_earlier() -> None:
    larger = replace(ILLUSTRATIVE, seat_mm=1.2 * ILLUSTRATIVE.seat_mm)
    assert 1.0 - pop_off(larger).pop_off_pa / pop_off(ILLUSTRATIVE).pop_off_pa == pytest.approx(
        0.31, abs=0.006
    )


# Common practice, no source: pop-off 1.0 bar, reseat 0.7 bar on a wetted seat.
def test_it_reseats_at_less_than_it_popped() -> None:
    found = pop_off(ILLUSTRATIVE, [0.0, 0.2])
    assert found.reseat_pa[0] / 1e5 == pytest.approx(0.70, abs=0.01)
    assert found.working(1).result.value == pytest.approx(found.pop_off_pa[1] / 1e5)


def test_with_the_cover_on_a_high_lever_pops_early_and_a_low_one_as_before() -> None:
    on, off = (pop_off(ILLUSTRATIVE, [-0.3, 0.0, 0.3], method) for method in ("cover on", "cover off"))
    assert on.pop_off_pa[0] == on.pop_off_pa[1] == off.pop_off_pa[2]
    assert on.pop_off_pa[2] < off.pop_off_pa[2]


# What the trade says of levers (common practice, no source).
def test_a_low_lever_is_lean_most_at_full_throttle() -> None:
    idle, half, full = mixture_by_height_percent(ILLUSTRATIVE, [-0.3, -0.2])
    assert np.all(idle < 0.0) and np.all(half < 0.0)
    assert np.all(full < idle) and np.all(full < half)


def test_a_high_lever_is_rich_and_most_at_idle() -> None:
    idle, half, full = mixture_by_height_percent(ILLUSTRATIVE, [0.2, 0.4])
    assert np.all(idle > half) and np.all(half > 0.0) and np.all(full > 0.0)


def test_a_lever_far_too_high_floods_at_rest() -> None:
    assert ILLUSTRATIVE.floods_at_rest([0.0, 0.3, 0.8]).tolist() == [False, False, True]


def test_pop_off_rules_idle_and_hardly_full_throttle() -> None:
    stiff = replace(ILLUSTRATIVE, spring_n=1.2 * ILLUSTRATIVE.spring_n)
    losses = [1.0 - flow(stiff, point).fuel_l_h / flow(ILLUSTRATIVE, point).fuel_l_h for point in POINTS]
    assert losses[0] > 5.0 * losses[2] > 0.0


def test_needles_rule_full_throttle() -> None:
    open_jet = replace(FULL, jet_mm2=1.1 * FULL.jet_mm2)
    gained = flow(ILLUSTRATIVE, open_jet).fuel_l_h / flow(ILLUSTRATIVE, FULL).fuel_l_h
    assert gained == pytest.approx(1.1, abs=0.02)


def test_what_comes_in_goes_out() -> None:
    found = flow(ILLUSTRATIVE, HALF, np.linspace(-0.3, 0.3, 7), [[273.15], [303.15]])
    assert found.fuel_l_h.shape == (2, 7)
    suction = suction_for_flow_pa(ILLUSTRATIVE, found.fuel_l_h, found.height_mm, found.temperature_k)
    np.testing.assert_allclose(suction, found.chamber_suction_pa, rtol=1e-6)


def test_the_flow_through_two_fixed_openings_at_the_stop() -> None:
    found = flow(ILLUSTRATIVE, FULL, -0.4)
    assert found.at_stop
    assert "at its stop" in found.working().validity
    inlet = ILLUSTRATIVE.discharge * ILLUSTRATIVE.opening_mm2(found.lift_mm) * 1e-6
    density = Premix(PETROL, 50.0).density_kg_m3(293.15)
    passing = inlet * np.sqrt(2.0 * (ILLUSTRATIVE.pump_pa + found.chamber_suction_pa) / density) * 3.6e6
    assert passing == pytest.approx(float(found.fuel_l_h), rel=1e-9)


def test_a_lever_that_starves_the_engine_is_found_and_told() -> None:
    lowest = lowest_height_mm(ILLUSTRATIVE, FULL)
    assert -0.3 < lowest < 0.0
    wanted = float(flow(ILLUSTRATIVE, FULL).fuel_l_h)
    assert flow(ILLUSTRATIVE, FULL, lowest - 0.02).fuel_l_h < 0.98 * wanted
    with pytest.raises(OutOfRangeError, match="starves the engine"):
        suction_for_flow_pa(ILLUSTRATIVE, wanted, -0.4)
    with pytest.raises(OutOfRangeError, match="no lever down to"):
        lowest_height_mm(replace(ILLUSTRATIVE, travel_mm=5.0, diaphragm_n_mm=0.0, diaphragm_n_mm3=0.0), FULL)


def test_too_little_suction_draws_nothing() -> None:
    found = flow(ILLUSTRATIVE, FlowPoint("cranking", 100.0, 0.25))
    assert found.fuel_l_h == 0.0
    assert not found.at_stop
    with pytest.raises(OutOfRangeError, match="no fuel flows at cranking"):
        mixture_by_height_percent(ILLUSTRATIVE, 0.1, points=(FlowPoint("cranking", 100.0, 0.25),))


def test_a_diaphragm_stiff_with_cold_leans() -> None:
    rubber = replace(ILLUSTRATIVE, stiffer_per_k=-0.01)
    cold, warm = flow(rubber, FULL, 0.0, [263.15, 303.15]).chamber_suction_pa
    assert cold > warm


def test_figures_are_illustrative_until_calibrated() -> None:
    assert ILLUSTRATIVE.authority == "illustrative until calibrated"
    assert flow(ILLUSTRATIVE, FULL).working().authority == "illustrative until calibrated"
    assert replace(ILLUSTRATIVE, calibrated="own readings").authority == "calibrated: own readings"


@settings(max_examples=80, deadline=None)
@given(systems, st.sampled_from(POINTS), heights, heights)
def test_a_higher_lever_never_leans(system: Metering, point: FlowPoint, one: float, other: float) -> None:
    low, high = flow(system, point, sorted((one, other))).fuel_l_h
    assert high >= low * (1.0 - 1e-9)


@settings(max_examples=50, deadline=None)
@given(systems, heights, st.floats(300.0, 10_000.0), st.floats(1.05, 2.0))
def test_more_suction_never_draws_less(system: Metering, height: float, suction: float, more: float) -> None:
    less, much = (flow(system, FlowPoint("p", s, 0.8), height).fuel_l_h for s in (suction, suction * more))
    assert much >= less * (1.0 - 1e-9)


@settings(max_examples=50, deadline=None)
@given(systems, st.sampled_from(POINTS), heights)
def test_the_chamber_never_draws_harder_than_the_venturi(
    system: Metering, point: FlowPoint, height: float
) -> None:
    found = flow(system, point, height)
    assert found.fuel_l_h >= 0.0
    assert found.fuel_l_h == 0.0 or found.chamber_suction_pa <= point.suction_pa
    assert 0.0 <= found.lift_mm <= system.greatest_lift_mm(height) + 1e-12


@settings(max_examples=50, deadline=None)
@given(systems, st.floats(1.01, 2.0))
def test_a_stiffer_spring_pops_later(system: Metering, stiffer: float) -> None:
    spring = replace(system, spring_n=system.spring_n * stiffer)
    assert pop_off(spring).pop_off_pa > pop_off(system).pop_off_pa
    assert pop_off(system).reseat_pa <= pop_off(system).pop_off_pa


BAD: list[tuple[Callable[..., object], tuple[object, ...], str]] = [
    (pop_off, (ILLUSTRATIVE, 16.0), "against the nominal height"),
    (pop_off, (ILLUSTRATIVE, np.nan), "lever height"),
    (pop_off, (ILLUSTRATIVE, []), "empty"),
    (pop_off, (ILLUSTRATIVE, 0.0, "dry"), "cover off, cover on"),
    (flow, (ILLUSTRATIVE, FULL, 0.0, 20.0), "degrees Celsius"),
    (flow, (ILLUSTRATIVE, FULL, "low"), "must be a number"),
    (suction_for_flow_pa, (ILLUSTRATIVE, -1.0), "fuel flow"),
    (suction_for_flow_pa, (ILLUSTRATIVE, True), "must be a number"),
    (mixture_by_height_percent, (ILLUSTRATIVE, 5.0), "lever height"),
    (lowest_height_mm, (ILLUSTRATIVE, FULL, 20.0), "percent|between"),
    (FlowPoint, ("full", -5.0, 1.0), "thousands of pascals"),
    (FlowPoint, ("full", 5_000.0, 50.0), "jet area"),
    (ILLUSTRATIVE.suction_pa, (-0.1,), "needle lift"),
    (ILLUSTRATIVE.suction_pa, (0.1, 0.0, 15.0), "degrees Celsius"),
]


@pytest.mark.parametrize(("function", "given_values", "told"), BAD)
def test_wrong_inputs_are_refused_in_words(
    function: Callable[..., object], given_values: tuple[object, ...], told: str
) -> None:
    with pytest.raises(OutOfRangeError, match=told):
        function(*given_values)


@pytest.mark.parametrize(
    "wrong",
    [{"seat_mm": 0.0012}, {"spring_n": -0.1}, {"pump_pa": 0.3}, {"travel_mm": np.nan}, {"lever_ratio": "2"}],
)
def test_wrong_figures_of_a_system_are_refused(wrong: dict[str, object]) -> None:
    with pytest.raises(OutOfRangeError, match=next(iter(wrong))):
        replace(ILLUSTRATIVE, **wrong)  # type: ignore[arg-type]
