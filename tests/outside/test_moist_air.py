"""Moist air against worked values, the handbook of air conditioning and a real-gas equation."""

import numpy as np
import psychrolib
import pytest

from tickover.science.atmosphere.dew_point import dew_point_k, humidity_from_dew_point
from tickover.science.atmosphere.moist_air import moist_air, moist_density_kg_m3, saturation_pressure_pa

MILLIMETRE_OF_MERCURY_PA = 133.322387415
psychrolib.SetUnitSystem(psychrolib.SI)


# S. V. Gupta, Mass Metrology, appendix (table of CIPM-2007 densities), as quoted in the tests of an open-source
# package for mass metrology. The digit printed for 40 °C differs from its own formula by 6 parts in 100,000.
@pytest.mark.parametrize(
    ("celsius", "millimetres", "humidity", "density", "within"),
    [(10.0, 730.0, 0.40, 1.19569, 2e-5), (40.0, 760.0, 0.40, 1.11497, 1e-4)],
)
def test_worked_densities_by_cipm_2007(
    celsius: float, millimetres: float, humidity: float, density: float, within: float
) -> None:
    pascal = millimetres * MILLIMETRE_OF_MERCURY_PA
    assert moist_density_kg_m3(celsius + 273.15, pascal, humidity) == pytest.approx(density, rel=within)


# F. E. Jones, "The air density equation and the transfer of the mass unit" (1978), appendix B, examples 1 and 3,
# an older equation for the same air; quoted in the same place.
@pytest.mark.parametrize(
    ("celsius", "millimetres", "humidity", "density", "within"),
    [(22.3, 748.1, 0.37, 1.17194, 2e-4), (23.4, 612.3, 0.23, 0.95632, 3e-4)],
)
def test_worked_densities_by_jones(
    celsius: float, millimetres: float, humidity: float, density: float, within: float
) -> None:
    pascal = millimetres * MILLIMETRE_OF_MERCURY_PA
    assert moist_density_kg_m3(celsius + 273.15, pascal, humidity) == pytest.approx(density, rel=within)


# OIML R 111-1:2004, equation E.3-1, (0.34848 p − 0.009 h exp(0.061 t))/(273.15 + t), good to 2 parts in 10,000
# where scales are tested, and 7 parts in 100,000 off since the argon of air was measured anew for CIPM-2007; its
# worked value 1.1787 at 25 °C, 1013.25 hPa, 40 %.
def test_the_short_formula_for_weighing_rooms() -> None:
    assert moist_density_kg_m3(298.15, 101_325.0, 0.40) == pytest.approx(1.1787, rel=1e-4)
    for celsius in (10.0, 20.0, 30.0):
        for percent in (20.0, 50.0, 80.0):
            short = (0.34848 * 1000.0 - 0.009 * percent * np.exp(0.061 * celsius)) / (273.15 + celsius)
            ours = moist_density_kg_m3(celsius + 273.15, 100_000.0, percent / 100.0)
            assert ours == pytest.approx(short, rel=3.5e-4)


# Real gas by CoolProp (HumidAir) over the whole range of use, far beyond the weighing room.
def test_a_grid_by_a_real_gas_equation() -> None:
    for kelvin in (233.15, 253.15, 273.16, 288.15, 303.15, 318.15, 333.15):
        for pascal in (45_000.0, 70_000.0, 90_000.0, 101_325.0, 110_000.0):
            # below freezing the library counts humidity over ice, so the grid is dry there
            for humidity in (0.0,) if kelvin < 273.16 else (0.0, 0.3, 0.6, 1.0):
                theirs = moist_by_coolprop(kelvin, pascal, humidity)
                assert moist_density_kg_m3(kelvin, pascal, humidity) == pytest.approx(theirs, rel=1e-3)


# The same in the weather in which people fly: within 1 part in 10,000.
def test_the_air_of_a_flying_day_by_a_real_gas_equation() -> None:
    for celsius, pascal, humidity in (
        (15, 101_325, 0.5),
        (30, 95_000, 0.8),
        (35, 85_000, 0.2),
        (0.1, 90_000, 0.6),
    ):
        theirs = moist_by_coolprop(celsius + 273.15, pascal, humidity)
        assert moist_density_kg_m3(celsius + 273.15, pascal, humidity) == pytest.approx(theirs, rel=1e-4)


def moist_by_coolprop(kelvin: float, pascal: float, humidity: float) -> float:
    """Mass of moist air in a cubic metre, from the volume that goes with a kilogram of moist air."""
    from CoolProp.HumidAirProp import HAPropsSI  # reading it takes two seconds

    return 1.0 / HAPropsSI("Vha", "T", kelvin, "P", pascal, "R", humidity)


# Ideal gas of the ASHRAE Handbook of Fundamentals (2017), chapter 1, by the library psychrolib.
def test_densities_of_the_handbook_of_air_conditioning() -> None:
    for celsius in (1.0, 15.0, 25.0, 40.0):
        for humidity in (0.0, 0.5, 1.0):
            ratio = psychrolib.GetHumRatioFromRelHum(celsius, humidity, 95_000.0)
            theirs = psychrolib.GetMoistAirDensity(celsius, ratio, 95_000.0)
            assert moist_density_kg_m3(celsius + 273.15, 95_000.0, humidity) == pytest.approx(
                theirs, rel=1e-3
            )


# Saturation over water of the ASHRAE Handbook of Fundamentals, by the library psychrolib.
@pytest.mark.parametrize(
    ("celsius", "pascal"),
    [(0, 611.2), (15, 1705.4), (20, 2338.8), (25, 3169.2), (30, 4246.0), (40, 7383.5)],
)
def test_saturation_pressure_of_the_handbook(celsius: float, pascal: float) -> None:
    assert saturation_pressure_pa(celsius + 273.15) == pytest.approx(pascal, rel=4e-4)


# 40 CFR 1065.645: dew point 9.5 °C is 1.186581 kPa by an older equation of saturation; the example's answer from
# memory.
def test_vapour_pressure_of_the_emission_rules() -> None:
    assert saturation_pressure_pa(282.65) / 1000.0 == pytest.approx(1.186581, rel=1e-3)


# 40 CFR 1065.645: 20 °C, 50.77 %, 99.98 kPa hold 0.011868 mol/mol of water (no enhancement factor there).
def test_mole_fraction_of_the_emission_rules() -> None:
    air = moist_air(293.15, 99_980.0, 0.5077)
    assert air.vapour_fraction == pytest.approx(0.011868, rel=5e-3)


def test_dew_points_by_the_library_psychrolib() -> None:
    for celsius in (5.0, 15.0, 30.0, 40.0):
        for humidity in (0.4, 0.6, 0.9, 1.0):
            theirs = psychrolib.GetTDewPointFromRelHum(celsius, humidity)
            if theirs > 0.01:
                ours = dew_point_k(celsius + 273.15, humidity) - 273.15
                assert ours == pytest.approx(theirs, abs=0.02)
                back = humidity_from_dew_point(celsius + 273.15, ours + 273.15)
                assert back == pytest.approx(humidity, abs=1e-9)


# Dry air in moist air: the humidity ratio of psychrolib says how much water goes with a kilogram of dry air.
def test_the_share_of_dry_air_by_the_library_psychrolib() -> None:
    ratio = psychrolib.GetHumRatioFromRelHum(30.0, 1.0, 101_325.0)
    assert moist_air(303.15, 101_325.0, 1.0).dry_share == pytest.approx(1.0 / (1.0 + ratio), rel=3e-4)
