"""Speed over ground."""

from __future__ import annotations

import numpy as np
import pytest

from tickover.science.engine_time.ground_speed import great_circle_m, ground_speed_m_s


def one(value: float) -> np.ndarray:
    return np.array([value])


def test_a_minute_of_latitude_is_a_nautical_mile() -> None:
    """International nautical mile, 1852 m exactly (SI brochure, 8th edition, table 8, from memory)."""
    assert great_circle_m(one(48.0), one(9.0), one(48.0 + 1 / 60), one(9.0))[0] == pytest.approx(
        1852, rel=1e-3
    )


def test_a_quarter_of_the_meridian_is_ten_thousand_kilometres() -> None:
    """WGS 84 meridian quadrant, 10 001 965.7 m (from memory); a sphere of mean radius is 0.1 % off."""
    assert great_circle_m(one(0.0), one(0.0), one(90.0), one(0.0))[0] == pytest.approx(10_001_965.7, rel=2e-3)


def test_a_parallel_shrinks_with_the_cosine() -> None:
    across = great_circle_m(one(60.0), one(10.0), one(60.0), one(10.01))[0]
    along = great_circle_m(one(0.0), one(10.0), one(0.0), one(10.01))[0]
    assert across == pytest.approx(along / 2, rel=1e-6)


@pytest.mark.parametrize("step_s", [0.2, 1.0, 4.0, 30.0])
def test_a_steady_speed_is_found_at_every_fix(step_s: float) -> None:
    t_s = np.arange(0.0, 300.0, step_s)
    lat_deg = 50.0 + np.degrees(10.0 * t_s / 6_371_008.8)
    speed = ground_speed_m_s(t_s, lat_deg, np.full(t_s.size, 10.0))
    assert speed == pytest.approx(np.full(t_s.size, 10.0), rel=1e-6)


def test_no_position_is_no_speed() -> None:
    assert np.isnan(ground_speed_m_s(np.array([0.0]), one(50.0), one(10.0))).all()
    assert np.isnan(ground_speed_m_s(np.arange(2.0), np.array([50.0, np.nan]), np.array([10.0, 10.0]))).all()
