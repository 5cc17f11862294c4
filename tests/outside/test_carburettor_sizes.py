"""Sizes of venturi and jet from textbook examples, and what a filter does; answers read in open companions."""

import math

import pytest

from tickover.science.fuel_system.carburettor import behind_a_filter, jet_diameter_mm
from tickover.science.fuel_system.venturi import throat_mm

MM_HG = 1e5 / 750.0
"""As both books take it: 750 mm of mercury to the bar."""


# Mathur & Sharma, Internal Combustion Engine, 11.1 (H. N. Gupta, Fundamentals of Internal Combustion Engines, 9.1)
# and 11.2: air of 27 °C and 1.013 bar, 90 and 92 m/s in the throat, coefficient 0.8: 3.251 and 3.526 cm; the jet
# at three quarters of that suction, coefficient 0.6: 2.2 and 2.34 mm.
@pytest.mark.parametrize(
    ("air_kg_min", "speed", "throat_cm", "fuel_kg_min", "fuel_kg_m3", "jet_mm"),
    [(5.0, 90.0, 3.251, 0.4, 780.0, 2.2), (6.0, 92.0, 3.526, 0.45, 740.0, 2.34)],
)
def test_throat_and_jet_of_two_textbooks(
    air_kg_min: float, speed: float, throat_cm: float, fuel_kg_min: float, fuel_kg_m3: float, jet_mm: float
) -> None:
    pascal, kelvin = 101_300.0, 300.0
    suction = pascal * (1.0 - (1.0 - (speed / 0.8) ** 2 / (2.0 * 1005.0 * kelvin)) ** 3.5)
    throat = throat_mm(air_kg_min / 60.0, 0.8, suction, pascal, pascal / (287.0 * kelvin))
    assert float(throat) == pytest.approx(10.0 * throat_cm, rel=2e-3)
    jet = jet_diameter_mm(fuel_kg_min / 60.0, 0.6, 0.75 * suction, fuel_kg_m3)
    assert float(jet) == pytest.approx(jet_mm, abs=0.02)


# Rajput, A Textbook of Internal Combustion Engines, 11.3: 7.2 kg/h of fuel of 750 kg/m3, ratio 15, choke 24 mm with
# coefficient 0.8, jet 0.7, lip 4.2 mm, air at 300 K and (as the companion takes it) 1.013 bar: jet of 1.32 mm.
def test_a_jet_by_the_suction_of_its_choke() -> None:
    air_kg_s, density = 15.0 * 7.2 / 3600.0, 101_300.0 / (287.0 * 300.0)
    area_m2 = math.pi / 4.0 * 0.024**2
    suction = (air_kg_s / (0.8 * area_m2)) ** 2 / (2.0 * density)
    assert float(jet_diameter_mm(7.2 / 3600.0, 0.7, suction, 750.0, 4.2)) == pytest.approx(1.32, abs=0.006)


# Rajput 11.5: 15 to 1, 1 bar, 0.8 bar in the throat, 30 mm of mercury at the air cleaner: 13.69. Gupta 9.8: 14.5,
# 1.013 and 0.825 bar, 37.5 mm: 12.887. Mathur & Sharma 11.9: 14, 1.013 and 0.834 bar, 30 mm: 12.66.
@pytest.mark.parametrize(
    ("ratio", "before_bar", "throat_bar", "cleaner_mm", "published"),
    [(15.0, 1.0, 0.8, 30.0, 13.69), (14.5, 1.013, 0.825, 37.5, 12.887), (14.0, 1.013, 0.834, 30.0, 12.66)],
)
def test_an_air_cleaner_of_three_textbooks(
    ratio: float, before_bar: float, throat_bar: float, cleaner_mm: float, published: float
) -> None:
    suction = (before_bar - throat_bar) * 1e5
    richer = float(behind_a_filter(ratio, suction, cleaner_mm * MM_HG))
    assert richer == pytest.approx(published, abs=0.015)
    assert float(behind_a_filter(ratio, suction, 0.0)) == pytest.approx(ratio)
