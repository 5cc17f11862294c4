"""Type K against the published table of the standard."""

import pytest
from scipy.optimize import brentq

from tickover.science.measurement.thermocouple import emf_mv, temperature_c

# NIST Monograph 175 / IEC 60584-1, table of type K, reference junction at 0 degrees Celsius: [degC] and [mV].
TABLE = {
    -200: -5.891,
    -100: -3.554,
    -40: -1.527,
    0: 0.0,
    25: 1.000,
    100: 4.096,
    200: 8.138,
    300: 12.209,
    400: 16.397,
    500: 20.644,
    600: 24.905,
    700: 29.129,
    800: 33.275,
    900: 37.326,
    1000: 41.276,
    1200: 48.838,
    1372: 54.886,
}


def test_voltages_of_the_table() -> None:
    assert emf_mv(list(TABLE)) == pytest.approx(list(TABLE.values()), abs=6e-4)


def test_temperatures_of_the_table() -> None:
    assert temperature_c(list(TABLE.values())) == pytest.approx(list(TABLE), abs=0.08)


# 4.096 mV read with the cold junction at 25 degrees: thermocouple-its90, a library of the same tables, gives 124.3.
def test_a_reading_with_a_warm_cold_junction() -> None:
    assert float(temperature_c(4.096, 25.0)) == pytest.approx(124.3, abs=0.1)


# scipy, root of the reference function: another road to the temperature.
@pytest.mark.parametrize("millivolts", [-4.0, -0.5, 0.3, 10.0, 20.6, 20.7, 50.0])
def test_the_inverse_by_a_general_library(millivolts: float) -> None:
    by_library = brentq(lambda t: float(emf_mv(t)) - millivolts, -200.0, 1372.0)
    assert float(temperature_c(millivolts)) == pytest.approx(by_library, abs=0.065)
