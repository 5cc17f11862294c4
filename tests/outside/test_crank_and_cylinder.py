"""Slider-crank and cylinder against textbook examples and other roads to the same number."""

import numpy as np
import pytest
from scipy.optimize import brentq

from tickover.science.engine.compression import compression
from tickover.science.engine.crank import crank_deg, piston_speed_m_s, travel_mm
from tickover.science.engine.cylinder import mean_piston_speed_m_s, swept_cm3
from tickover.science.engine.port_timing import port_timing
from tickover.science.engine.squish_velocity import squish_speed_m_s


# Khurmi and Gupta, Theory of Machines, chapter 15 (answers read in an open companion to the book). The book uses the
# series sin θ + sin 2θ/2n, which is near, not exact: hence half a percent.
def test_piston_speed_of_a_textbook() -> None:
    assert float(piston_speed_m_s(40.0, 600.0 / 2, 750.0, 180.0)) * 2.0 == pytest.approx(4.19, rel=5e-3)
    angles = np.linspace(0.0, 180.0, 3_601)
    fastest = piston_speed_m_s(angles, 300.0, 500.0, 200.0).max() * 2.0
    assert fastest == pytest.approx(6.54, rel=5e-3)


# Kates and Luck, Diesel and High Compression Gas Engines, chapter 4: 9 inch stroke at 800 rpm, 1200 ft/min.
# H. N. Gupta, Fundamentals of Internal Combustion Engines, example 11.3: 9 m/s at 3000 rpm is a stroke of 9 cm.
def test_mean_piston_speed_of_two_textbooks() -> None:
    assert float(mean_piston_speed_m_s(9.0 * 25.4, 800.0)) / 0.3048 * 60.0 == pytest.approx(1_200.0)
    assert float(mean_piston_speed_m_s(90.0, 3_000.0)) == pytest.approx(9.0)


# H. N. Gupta, same book, example 11.2: bore 12 cm, stroke 15 cm, ratio 16: the cylinder holds 16/15 of the swept
# volume at bottom centre, so what is left at the top is a fifteenth.
def test_compression_ratio_of_a_textbook() -> None:
    swept = float(swept_cm3(120.0, 150.0))
    assert swept == pytest.approx(1_696.46, abs=0.01)
    assert float(compression(120.0, 150.0, swept / 15.0).geometric) == pytest.approx(16.0)


# scipy, root of the textbook equation of the slider-crank: another road to the angle.
@pytest.mark.parametrize("height", [0.5, 1.64, 20.0, 40.0, 53.9])
def test_the_angle_by_a_general_library(height: float) -> None:
    r, rod = 27.0, 110.0

    def off(theta: float) -> float:
        return r + rod - r * np.cos(theta) - np.sqrt(rod**2 - (r * np.sin(theta)) ** 2) - height

    by_library = np.degrees(brentq(off, 0.0, np.pi, xtol=1e-14))
    assert float(crank_deg(height, 2 * r, rod)) == pytest.approx(by_library, abs=1e-9)
    timing = port_timing(height, height, 2 * r, rod)
    assert float(timing.exhaust_deg) == pytest.approx(360.0 - 2.0 * by_library, abs=1e-9)


# Slope of the way of the piston, by difference: another road to its speed.
def test_speed_is_the_slope_of_the_way() -> None:
    angles, step, rpm = np.array([5.0, 40.0, 90.0, 150.0]), 1e-4, 7_000.0
    slope = travel_mm(angles + step, 54.0, 110.0) - travel_mm(angles - step, 54.0, 110.0)
    by_difference = slope / 1000.0 / (2.0 * step / (6.0 * rpm))
    assert piston_speed_m_s(angles, 54.0, 110.0, rpm) == pytest.approx(by_difference, rel=1e-8)


# Continuity, written out: with one density everywhere, what leaves the band is the change of its share of the mass.
def test_squish_speed_by_continuity() -> None:
    bore, band, gap, head, rpm, at, step = 60.0, 0.5, 1.2, 15.0, 7_000.0, 12.0, 1e-4
    whole, ring = np.pi / 4 * bore**2, band * np.pi / 4 * bore**2
    inner = bore * np.sqrt(1.0 - band)

    def share(angle: float) -> float:
        way = float(travel_mm(angle, 54.0, 110.0))
        return ring * (gap + way) / (1000.0 * head + whole * way)

    a_second = (share(at + step) - share(at - step)) / (2.0 * step) * 6.0 * rpm
    way = float(travel_mm(at, 54.0, 110.0))
    by_continuity = a_second * (1000.0 * head + whole * way) / (np.pi * inner * (gap + way)) / 1000.0
    ours = float(squish_speed_m_s(at, gap, band, bore, 54.0, 110.0, head, rpm))
    assert ours == pytest.approx(by_continuity, rel=1e-6)
