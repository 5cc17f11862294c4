"""Standard air, moist air, dew point and the altitudes of a field: shapes, inverses, workings, bad input."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.science.atmosphere.altitudes import density_altitude, pressure_altitude_m, qfe_pa, qnh_pa
from tickover.science.atmosphere.dew_point import dew_point_k, humidity_from_dew_point
from tickover.science.atmosphere.moist_air import (
    BLOCK,
    moist_air,
    moist_density_kg_m3,
    saturation_pressure_pa,
    vapour_fraction,
)
from tickover.science.atmosphere.standard_atmosphere import (
    altitude_of_density_m,
    altitude_of_pressure_m,
    geometric_altitude_m,
    geopotential_altitude_m,
    standard_air,
    standard_pressure_pa,
)
from tickover.science.core.input_checks import OutOfRangeError

heights = st.floats(-2_000.0, 20_000.0)
kelvins = st.floats(233.15, 333.15)
pascals = st.floats(45_000.0, 110_000.0)
humidities = st.floats(0.0, 1.0)


@given(heights)
def test_altitude_and_pressure_are_inverse(height_m: float) -> None:
    air = standard_air(height_m)
    assert altitude_of_pressure_m(standard_pressure_pa(height_m)) == pytest.approx(height_m, abs=1e-6)
    assert altitude_of_density_m(air.density_kg_m3) == pytest.approx(height_m, abs=1e-6)


@given(heights, heights)
def test_higher_air_is_thinner(one_m: float, other_m: float) -> None:
    lower, upper = sorted((one_m, other_m))
    if upper - lower > 1e-3:
        assert standard_air(upper).density_kg_m3 < standard_air(lower).density_kg_m3
        assert standard_pressure_pa(upper) < standard_pressure_pa(lower)


def test_no_step_at_the_tropopause() -> None:
    below, above = standard_air(np.array([10_999.999, 11_000.001])).pressure_pa
    assert below == pytest.approx(above, rel=1e-6)


@given(kelvins, pascals, humidities, humidities)
def test_moisture_makes_air_lighter(kelvin: float, pascal: float, one: float, other: float) -> None:
    drier, wetter = sorted((one, other))
    assert moist_density_kg_m3(kelvin, pascal, wetter) <= moist_density_kg_m3(kelvin, pascal, drier)
    found = density_altitude(kelvin, pascal, wetter) if 0.3 < pascal / kelvin / 287 < 1.4 else None
    assert found is None or found.moisture_m >= 0.0


@given(kelvins, st.floats(0.02, 1.0), pascals)
def test_dew_point_and_humidity_are_inverse(kelvin: float, humidity: float, pascal: float) -> None:
    dew = dew_point_k(kelvin, humidity, pascal)
    assert dew <= kelvin + 1e-9
    back = humidity_from_dew_point(kelvin, np.minimum(dew, kelvin), pascal)
    assert back == pytest.approx(humidity, rel=1e-8)


def test_everything_broadcasts() -> None:
    kelvin, pascal = np.array([[273.15], [293.15]]), np.array([90_000.0, 95_000.0, 101_325.0])
    air = moist_air(kelvin, pascal, 0.5)
    assert air.density_kg_m3.shape == air.dry_share.shape == air.humidity.shape == (2, 3)
    assert density_altitude(kelvin, pascal, 0.5).moist_m.shape == (2, 3)
    assert standard_air(np.zeros((4, 1))).pressure_pa.shape == (4, 1)


def test_many_values_in_blocks_are_the_same_as_one_by_one() -> None:
    many = 2 * BLOCK + 7
    kelvin = np.linspace(240.0, 330.0, many)
    found = moist_density_kg_m3(kelvin, 95_000.0, 0.5)
    assert found.shape == (many,)
    for at in (0, BLOCK - 1, BLOCK, many - 1):
        assert found[at] == moist_density_kg_m3(kelvin[at], 95_000.0, 0.5)


def test_a_standard_day_has_density_altitude_zero() -> None:
    found = density_altitude(288.15, 101_325.0, 0.0)
    assert found.dry_m == pytest.approx(0.0, abs=1e-6)
    assert found.moist_m == pytest.approx(0.0, abs=1e-6)


def test_a_hot_wet_day_is_higher_than_a_dry_one() -> None:
    found = density_altitude(308.15, 97_000.0, 0.9)
    assert found.moist_m > found.dry_m > found.pressure_altitude_m


def test_workings_hold_their_result_and_where_it_holds() -> None:
    high = standard_air([0.0, 12_000.0])
    assert high.working(1).result.value == high.density_kg_m3[1]
    assert "exp" in high.working(1).formula and "exp" not in high.working(0).formula
    moist = moist_air(293.15, [90_000.0, 101_325.0], 0.5)
    assert moist.working(1).result.value == pytest.approx(1.19931, abs=1e-5)
    assert moist.dry_density_kg_m3[1] < moist.density_kg_m3[1]
    altitude = density_altitude(303.15, 95_000.0, 0.6)
    assert altitude.working().result.value == altitude.moist_m
    assert altitude.working().authority == "standard"


BAD = [
    (standard_air, (30_000.0,), "feet"),
    (standard_air, ("high",), "must be a number"),
    (standard_air, ([],), "empty"),
    (standard_air, (True,), "must be a number"),
    (standard_pressure_pa, (np.nan,), "missing"),
    (altitude_of_pressure_m, (1013.25,), "hectopascals"),
    (altitude_of_pressure_m, (-5.0,), "between"),
    (altitude_of_density_m, (1225.0,), "1.2 kg/m3"),
    (geopotential_altitude_m, (30_000.0,), "feet"),
    (geometric_altitude_m, (-5_000.0,), "between"),
    (moist_density_kg_m3, (15.0, 101_325.0, 0.5), "degrees Celsius"),
    (moist_density_kg_m3, (288.15, 1013.25, 0.5), "hectopascals"),
    (moist_density_kg_m3, (288.15, -101_325.0, 0.5), "air pressure"),
    (moist_density_kg_m3, (288.15, 101_325.0, 55.0), "percent"),
    (moist_density_kg_m3, (288.15, 101_325.0, 0.5, 400.0), "400e-6"),
    (moist_air, (np.nan, 101_325.0, 0.5), "missing"),
    (moist_air, (288.15, [], 0.5), "empty"),
    (moist_air, ("warm", 101_325.0, 0.5), "must be a number"),
    (vapour_fraction, (288.15, 101_325.0, 1.01), "percent"),
    (saturation_pressure_pa, (20.0,), "degrees Celsius"),
    (dew_point_k, (293.15, 0.0), "relative humidity"),
    (dew_point_k, (233.15, 0.002), "cold and dry"),
    (dew_point_k, (20.0, 0.5), "degrees Celsius"),
    (humidity_from_dew_point, (293.15, 295.0), "swapped"),
    (humidity_from_dew_point, (293.15, 12.0), "degrees Celsius"),
    (density_altitude, (30.0, 101_325.0, 0.5), "degrees Celsius"),
    (density_altitude, (303.15, 101_325.0, 60.0), "percent"),
    (density_altitude, (303.15, np.inf, 0.6), "missing"),
    (pressure_altitude_m, (1013.25, 500.0), "hectopascals"),
    (pressure_altitude_m, (101_325.0, 30_000.0), "feet"),
    (qfe_pa, (101_325.0, [np.nan]), "missing"),
    (qnh_pa, (101_325.0, 4_000.0), "do not belong together"),
    (qnh_pa, ("1013", 0.0), "must be a number"),
]


@pytest.mark.parametrize(("function", "given_values", "told"), BAD)
def test_wrong_inputs_are_refused_in_words(
    function: Callable[..., object], given_values: tuple[object, ...], told: str
) -> None:
    with pytest.raises(OutOfRangeError, match=told):
        function(*given_values)


def test_without_a_humidity_the_thinnest_air_is_taken_and_said() -> None:
    unknown = density_altitude(303.15, 100_000.0, None)
    assert unknown.moist_m == density_altitude(303.15, 100_000.0, 1.0).moist_m
    assert unknown.moist_m > density_altitude(303.15, 100_000.0, 0.6).moist_m
    assert not unknown.humidity_known
    assert any("not known" in quantity.source for quantity in unknown.working().inputs)
    assert not any("not known" in q.source for q in density_altitude(303.15, 100_000.0, 1.0).working().inputs)
