"""The standard atmosphere and the altitudes of a field against tables, examples and general libraries."""

import ambiance
import numpy as np
import pytest
from fluids import ATMOSPHERE_1976

from tickover.science.atmosphere.altitudes import density_altitude, pressure_altitude_m, qfe_pa, qnh_pa
from tickover.science.atmosphere.dew_point import humidity_from_dew_point
from tickover.science.atmosphere.standard_atmosphere import (
    altitude_of_density_m,
    altitude_of_pressure_m,
    geometric_altitude_m,
    geopotential_altitude_m,
    standard_air,
)

FOOT_M = 0.3048
INCH_OF_MERCURY_PA = 3386.389

# ISO 2533:1975, table against geopotential altitude (the same digits in ICAO Doc 7488): temperature, pressure,
# density. The digits up to 5 km are confirmed by the library ambiance; 11 and 20 km are from memory.
ISO_2533 = [
    (-500, 291.40, 107_478.0, 1.28489),
    (0, 288.15, 101_325.0, 1.22500),
    (500, 284.90, 95_460.8, 1.16727),
    (1_000, 281.65, 89_874.6, 1.11164),
    (1_500, 278.40, 84_556.0, 1.05807),
    (2_000, 275.15, 79_495.2, 1.00649),
    (2_500, 271.90, 74_682.5, 0.956859),
    (3_000, 268.65, 70_108.5, 0.909122),
    (4_000, 262.15, 61_640.2, 0.819129),
    (5_000, 255.65, 54_019.9, 0.736116),
    (11_000, 216.65, 22_632.0, 0.363918),
    (20_000, 216.65, 5_474.88, 0.0880349),
]


@pytest.mark.parametrize(("height_m", "kelvin", "pascal", "density"), ISO_2533)
def test_rows_of_the_standard(height_m: float, kelvin: float, pascal: float, density: float) -> None:
    air = standard_air(height_m)
    assert air.temperature_k == pytest.approx(kelvin, abs=1e-3)
    assert air.pressure_pa == pytest.approx(pascal, rel=1e-5)
    assert air.density_kg_m3 == pytest.approx(density, rel=1e-5)


@pytest.mark.parametrize(("height_m", "kelvin", "pascal", "density"), ISO_2533)
def test_rows_of_the_standard_backwards(
    height_m: float, kelvin: float, pascal: float, density: float
) -> None:
    assert altitude_of_pressure_m(pascal) == pytest.approx(height_m, abs=0.1)
    assert altitude_of_density_m(density) == pytest.approx(height_m, abs=0.15)


# ISO 2533:1975, speed of sound against geopotential altitude, confirmed by the library ambiance.
@pytest.mark.parametrize(
    ("height_m", "metres_a_second"),
    [(0, 340.294), (1_000, 336.434), (1_500, 334.487), (3_000, 328.578), (5_000, 320.529)],
)
def test_speed_of_sound(height_m: float, metres_a_second: float) -> None:
    assert standard_air(height_m).speed_of_sound_m_s == pytest.approx(metres_a_second, abs=1e-3)


# U.S. Standard Atmosphere in feet as printed at engineeringtoolbox.com (standard-atmosphere-d_604): degrees
# Fahrenheit, psi, 1e-4 slug/ft3. Its heading says geopotential; its digits fit geometric altitude.
@pytest.mark.parametrize(
    ("feet", "fahrenheit", "psi", "slugs"),
    [(-5_000, 76.84, 17.554, 27.45), (5_000, 41.17, 12.228, 20.48), (10_000, 23.36, 10.108, 17.56)],
)
def test_the_american_table_in_feet(feet: float, fahrenheit: float, psi: float, slugs: float) -> None:
    air = standard_air(feet * FOOT_M, geometric=True)
    assert air.temperature_k * 1.8 - 459.67 == pytest.approx(fahrenheit, abs=0.02)
    assert air.pressure_pa / 6894.757 == pytest.approx(psi, abs=0.002)
    assert air.density_kg_m3 / 515.3788 * 1e4 == pytest.approx(slugs, abs=0.01)


# The library ambiance follows ICAO Doc 7488 (1993) with geometric altitudes; it begins each layer with the six
# digits printed for it.
def test_a_grid_by_the_library_ambiance() -> None:
    heights = np.linspace(-1_999.0, 20_000.0, 500)
    theirs = ambiance.Atmosphere(heights)
    ours = standard_air(heights, geometric=True)
    np.testing.assert_allclose(ours.temperature_k, theirs.temperature, rtol=1e-9)
    np.testing.assert_allclose(ours.pressure_pa, theirs.pressure, rtol=3e-6)
    np.testing.assert_allclose(ours.density_kg_m3, theirs.density, rtol=3e-6)
    np.testing.assert_allclose(ours.speed_of_sound_m_s, theirs.speed_of_sound, rtol=1e-7)
    np.testing.assert_allclose(geopotential_altitude_m(heights), theirs.H, rtol=1e-9, atol=1e-6)


# The library fluids has the U.S. Standard Atmosphere 1976, whose gas constant differs in the seventh digit.
def test_a_grid_by_the_library_fluids() -> None:
    for height in np.linspace(0.0, 20_000.0, 41):
        theirs, ours = ATMOSPHERE_1976(height), standard_air(height, geometric=True)
        assert ours.pressure_pa == pytest.approx(theirs.P, rel=3e-6)
        assert ours.density_kg_m3 == pytest.approx(theirs.rho, rel=4e-6)


def test_the_two_kinds_of_altitude_go_back_and_forth() -> None:
    heights = np.array([-1_000.0, 0.0, 5_000.0, 19_900.0])
    np.testing.assert_allclose(geometric_altitude_m(geopotential_altitude_m(heights)), heights, atol=1e-7)


# FAA, Pilot's Handbook of Aeronautical Knowledge, table "field elevation versus pressure": feet to be added.
# The rows 29.7 and 30.1 were read at flightlearnings.com and flyinhighokc.com, the others are from memory.
@pytest.mark.parametrize(
    ("inches", "feet"),
    [
        (28.0, 1824),
        (28.5, 1340),
        (29.0, 863),
        (29.5, 392),
        (29.7, 205),
        (30.0, -73),
        (30.1, -165),
        (30.5, -531),
        (31.0, -983),
    ],
)
def test_the_correction_for_the_altimeter_setting(inches: float, feet: float) -> None:
    assert pressure_altitude_m(inches * INCH_OF_MERCURY_PA, 0.0) / FOOT_M == pytest.approx(feet, abs=2.0)


# FAA, Pilot's Handbook of Aeronautical Knowledge, sample problem of the density altitude chart: 5883 ft, 30.10
# inHg, 70 °F; answer 5718 ft pressure altitude, 7700 ft density altitude (read off a chart). Read at
# flightlearnings.com, "Performance charts".
def test_the_sample_problem_of_the_density_altitude_chart() -> None:
    setting = 30.10 * INCH_OF_MERCURY_PA
    assert pressure_altitude_m(setting, 5883 * FOOT_M) / FOOT_M == pytest.approx(5718, abs=3)
    found = density_altitude((70.0 + 459.67) / 1.8, qfe_pa(setting, 5883 * FOOT_M), 0.0)
    assert found.dry_m / FOOT_M == pytest.approx(7700, abs=150)


# Algorithm of American automatic weather stations, as worked in J. Denker's pages on barometry (av8n.com):
# 30.20 inHg at 5045 ft are 84,977 Pa, 30.37 inHg at 7014 ft are 79,375 Pa.
@pytest.mark.parametrize(("inches", "feet", "pascal"), [(30.20, 5045, 84_977.0), (30.37, 7014, 79_375.0)])
def test_station_pressure_from_the_altimeter_setting(inches: float, feet: float, pascal: float) -> None:
    assert qfe_pa(inches * INCH_OF_MERCURY_PA, feet * FOOT_M) == pytest.approx(pascal, abs=12.0)


# QFE from QNH; the library MetPy 1.7.1 gives these within 0.3 hPa, by the convention of the Smithsonian tables.
@pytest.mark.parametrize(
    ("qnh_hpa", "elevation_m", "qfe_hpa"),
    [(1013.25, 500, 954.8775), (1005.0, 300, 969.9922), (1030.0, 1000, 914.1884), (995.0, 1200, 861.1526)],
)
def test_field_pressure_from_qnh(qnh_hpa: float, elevation_m: float, qfe_hpa: float) -> None:
    found = qfe_pa(qnh_hpa * 100.0, elevation_m)
    assert found / 100.0 == pytest.approx(qfe_hpa, abs=0.5)
    assert qnh_pa(found, elevation_m) / 100.0 == pytest.approx(qnh_hpa, abs=1e-6)


# Formula of the U.S. National Weather Service as printed at 4wx.com (density altitude with dew point), whose
# results were computed from it. It uses a simpler vapour pressure and rounded constants: within 30 ft.
@pytest.mark.parametrize(
    ("celsius", "dew_celsius", "inches", "feet"),
    [
        (15, 0, 29.92, 97.4),
        (35, 20, 29.92, 2587.3),
        (30, 24, 28.86, 3341.9),
        (25, 5, 25.84, 6186.4),
        (0, -5, 29.92, -1763.5),
    ],
)
def test_density_altitude_with_dew_point(
    celsius: float, dew_celsius: float, inches: float, feet: float
) -> None:
    kelvin, pascal = celsius + 273.15, inches * INCH_OF_MERCURY_PA
    wet = humidity_from_dew_point(kelvin, dew_celsius + 273.15, pascal)
    assert density_altitude(kelvin, pascal, wet).moist_m / FOOT_M == pytest.approx(feet, abs=30.0)
