"""A type K probe as it is used: an instrument at room temperature, both signs, many samples."""

import numpy as np
import pytest

from tickover.science.measurement.thermocouple import emf_mv, read_type_k, temperature_c


def test_there_and_back_stays_within_the_stated_error() -> None:
    # Errors of the inverse as NIST states them, to two decimals, in degrees Celsius.
    for lower, upper, least, most in (
        (-200, 0, -0.02, 0.04),
        (0, 500, -0.05, 0.04),
        (500, 1372, -0.05, 0.06),
    ):
        at = np.linspace(lower, upper, 5_001)
        off = temperature_c(emf_mv(at)) - at
        assert off.min() > least - 5e-3
        assert off.max() < most + 5e-3


def test_the_cold_junction_is_added_as_voltage() -> None:
    probe = emf_mv(580.0) - emf_mv(32.0)
    assert float(temperature_c(probe, 32.0)) == pytest.approx(580.0, abs=0.06)
    reading = read_type_k(float(probe), 32.0)
    assert reading.working().result.value == pytest.approx(580.0, abs=0.06)


def test_no_voltage_means_as_warm_as_the_instrument() -> None:
    assert temperature_c(0.0, [-10.0, 20.0, 40.0]) == pytest.approx([-10.0, 20.0, 40.0], abs=0.05)


def test_any_shape_comes_back_in_its_shape() -> None:
    grid = np.linspace(-150.0, 1300.0, 60).reshape(3, 4, 5)
    assert emf_mv(grid).shape == temperature_c(emf_mv(grid)).shape == (3, 4, 5)
    assert np.shape(emf_mv(20.0)) == np.shape(temperature_c(1.0)) == ()


def test_the_voltage_rises_all_the_way() -> None:
    assert np.all(np.diff(emf_mv(np.arange(-200.0, 1372.5, 0.5))) > 0.0)
