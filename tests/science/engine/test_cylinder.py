"""Geometry of the cylinder as the bench asks for it."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.science.engine.compression import case_below_piston_cm3, compression
from tickover.science.engine.crank import (
    angle_at,
    crank_deg,
    piston_at,
    piston_moved,
    piston_speed_m_s,
    travel_mm,
)
from tickover.science.engine.cylinder import mean_piston_speed_m_s, ring_gap, squish_mm, swept_cm3
from tickover.science.engine.port_timing import edge_from_deck_mm, open_for_deg, port_timing
from tickover.science.engine.squish_velocity import peak_squish, squish_speed_m_s


def test_ignition_degrees_and_millimetres_go_both_ways() -> None:
    # Stroke 54, rod 110: the three pairs a workshop would read off its table, to 0.01 mm (recomputed by hand).
    assert travel_mm([16.0, 18.0, 20.0], 54.0, 110.0) == pytest.approx([1.30, 1.64, 2.02], abs=5e-3)
    assert crank_deg([1.30, 1.64, 2.02], 54.0, 110.0) == pytest.approx([16.0, 18.0, 20.0], abs=0.03)
    assert piston_at(18.0, 54.0, 110.0).working().result.value == pytest.approx(1.638, abs=1e-3)
    assert piston_moved(1.638, 54.0, 110.0).working().inputs[0].value == pytest.approx(18.0, abs=0.01)


@given(st.floats(0.0, 180.0), st.floats(20.0, 90.0), st.floats(0.75, 3.0))
def test_angle_to_height_and_back_is_the_same_angle(angle: float, stroke: float, rods: float) -> None:
    height = travel_mm(angle, stroke, rods * stroke)
    assert 0.0 <= float(height) <= stroke * (1 + 1e-15)
    # Near the dead centres the piston hardly moves: an angle there is only as sure as the root of the last digit.
    assert float(angle_at(height, stroke, rods * stroke)) == pytest.approx(angle, abs=3e-6)


def test_before_and_after_top_centre_are_at_one_height() -> None:
    assert (
        travel_mm(-18.0, 54.0, 110.0)
        == travel_mm(18.0, 54.0, 110.0)
        == pytest.approx(travel_mm(342.0, 54.0, 110.0))
    )


def test_the_piston_stands_still_at_the_dead_centres_and_mean_speed_is_its_mean() -> None:
    assert piston_speed_m_s([0.0, 180.0], 54.0, 110.0, 7000.0) == pytest.approx([0.0, 0.0], abs=1e-12)
    angles = np.linspace(0.0, 180.0, 20_001)
    mean = np.trapezoid(piston_speed_m_s(angles, 54.0, 110.0, 7000.0), angles) / 180.0
    assert mean == pytest.approx(float(mean_piston_speed_m_s(54.0, 7000.0)), rel=1e-6)


def test_squish_from_both_sides_gives_mean_and_tilt() -> None:
    squish = squish_mm(1.10, 1.30, apart_mm=50.0, u_reading_mm=0.02)
    assert float(squish.mean_mm) == pytest.approx(1.20)
    assert float(squish.least_mm) == 1.10
    assert float(squish.tilt_deg) == pytest.approx(0.2292, abs=1e-4)
    assert float(squish.mean_uncertainty_mm) == pytest.approx(0.01414, abs=1e-5)
    assert squish.working().result.value == pytest.approx(1.20)


def test_a_tilt_is_only_told_where_the_distance_is_known() -> None:
    told = [quantity.name for quantity in squish_mm(1.1, 1.3, u_reading_mm=0.0).working().inputs]
    assert "tilt" not in told
    assert "difference b − a" in told


def test_compression_ratios_and_what_was_not_given() -> None:
    ratios = compression(54.0, 54.0, 10.0, case_cm3=300.0)
    assert float(ratios.geometric) == pytest.approx(13.367, abs=1e-3)
    assert float(ratios.crankcase) == pytest.approx(1.4122, abs=1e-4)
    assert np.isnan(ratios.trapped)
    assert "trapped" not in [quantity.name for quantity in ratios.working().inputs]


def test_trapped_is_geometric_when_the_exhaust_is_at_the_bottom() -> None:
    ratios = compression(54.0, 54.0, 10.0, trapped_travel_mm=[54.0, 36.0])
    assert ratios.trapped[0] == pytest.approx(ratios.geometric[0])
    assert ratios.trapped[1] < ratios.geometric[1]


def test_crankcase_below_the_piston_is_the_whole_without_the_cylinder() -> None:
    below = case_below_piston_cm3(600.0, 60.0, 54.0, 15.0)
    assert float(below) == pytest.approx(600.0 - 15.0 - float(swept_cm3(60.0, 54.0)))


def test_ring_gap_against_its_bore() -> None:
    gap = ring_gap(0.24, 60.0)
    assert float(gap.per_bore) == pytest.approx(0.004)
    assert (*map(float, gap.new_mm), float(gap.service_mm)) == pytest.approx((0.18, 0.36, 0.66))
    assert gap.working().authority.startswith("common practice, no source")


def test_port_edges_and_angles_go_both_ways_over_the_deck() -> None:
    edges = edge_from_deck_mm([95.0, 118.0], 54.0, 110.0, deck_mm=0.4)
    timing = port_timing(edges[0], edges[1], 54.0, 110.0, deck_mm=0.4)
    assert float(timing.exhaust_opens_deg) == pytest.approx(95.0)
    assert float(timing.blowdown_deg) == pytest.approx(23.0)
    assert (float(timing.exhaust_deg), float(timing.transfer_deg)) == pytest.approx((170.0, 124.0))
    assert float(open_for_deg(95.0)) == 170.0
    assert timing.working().result.value == pytest.approx(23.0)


def test_a_closer_squish_flows_faster_and_later() -> None:
    flow = peak_squish([0.8, 1.2, 1.6], 0.5, 60.0, 54.0, 110.0, 15.0, 7000.0)
    assert np.all(np.diff(flow.speed_m_s) < 0.0)
    assert np.all(np.diff(flow.crank_deg) > 0.0)
    assert flow.working(1).result.value == pytest.approx(flow.speed_m_s[1])


def test_squish_flows_back_after_top_centre() -> None:
    inwards, outwards = squish_speed_m_s([10.0, -10.0], 1.2, 0.5, 60.0, 54.0, 110.0, 15.0, 7000.0)
    assert inwards == pytest.approx(-outwards)
    assert inwards > 0.0
