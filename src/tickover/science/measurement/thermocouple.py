"""Which temperature does a type K thermocouple mean by its voltage, with a cold junction that is not at 0 °C?

References
----------
NIST Monograph 175 / NIST ITS-90 thermocouple database, type K: reference function and approximate inverse; the same
functions stand in IEC 60584-1. Coefficients are facts of that standard. Tolerances of the wire: IEC 60584-1, classes
1 and 2 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tickover.science.core.arrays import Array, broadcast, quantity_at
from tickover.science.core.input_checks import OutOfRangeError, checked
from tickover.science.core.working import Quantity, Working

__all__ = ["TypeKReading", "emf_mv", "read_type_k", "temperature_c", "wire_tolerance_k"]

LOWEST_C, HIGHEST_C = -200.0, 1372.0
NEAR_NOTHING_MV = 0.1
LOWEST_MV, HIGHEST_MV = -5.891, 54.886
COLD_JUNCTION_C = (-60.0, 150.0)
TOLERANCES = {1: (1.5, 0.004, 1000.0), 2: (2.5, 0.0075, 1200.0)}
"""Of a class: least tolerance [K], share of the temperature, up to where [degC]."""
# Coefficients from the constant upwards: mV of degrees Celsius, then the inverse below 0, below 20.644 and above.
_BELOW_ZERO = (
    0.0,
    3.94501280250e-02,
    2.36223735980e-05,
    -3.28589067840e-07,
    -4.99048287770e-09,
    -6.75090591730e-11,
    -5.74103274280e-13,
    -3.10888728940e-15,
    -1.04516093650e-17,
    -1.98892668780e-20,
    -1.63226974860e-23,
)
_ABOVE_ZERO = (
    -1.76004136860e-02,
    3.89212049750e-02,
    1.85587700320e-05,
    -9.94575928740e-08,
    3.18409457190e-10,
    -5.60728448890e-13,
    5.60750590590e-16,
    -3.20207200030e-19,
    9.71511471520e-23,
    -1.21047212750e-26,
)
_BUMP = (1.18597600000e-01, -1.18343200000e-04, 1.26968600000e02)
_INVERSE = (
    (
        0.0,
        25.173462,
        -1.1662878,
        -1.0833638,
        -0.89773540,
        -0.37342377,
        -0.086632643,
        -0.010450598,
        -5.1920577e-4,
    ),
    (
        0.0,
        25.08355,
        7.860106e-2,
        -2.503131e-1,
        8.315270e-2,
        -1.228034e-2,
        9.804036e-4,
        -4.413030e-5,
        1.057734e-6,
        -1.052755e-8,
    ),
    (-131.8058, 48.30222, -1.646031, 5.464731e-2, -9.650715e-4, 8.802193e-6, -3.110810e-8),
)
_INVERSE_FROM_MV = (0.0, 20.644)


@dataclass(frozen=True, eq=False)
class TypeKReading:
    """Temperature of a type K hot junction from its voltage; all of one shape."""

    voltage_mv: Array
    cold_junction_c: Array
    total_mv: Array
    temperature_c: Array

    @property
    def doubts(self) -> tuple[str, ...]:
        """What may be wrong with the voltage: volts look like a probe that is as warm as the instrument."""
        size = np.abs(self.voltage_mv)
        if not np.any((size > 0.0) & (size < NEAR_NOTHING_MV)):
            return ()
        return (
            f"Less than {NEAR_NOTHING_MV:g} mV: the probe is within 3 °C of the instrument, or volts were taken for "
            "millivolts.",
        )

    def working(self, at: int = 0) -> Working:
        """How one temperature came about."""
        return Working(
            title="temperature from a type K thermocouple",
            formula="t = t90(E + E90(t_cold))",
            inputs=(
                quantity_at("voltage read E", self.voltage_mv, at, "mV"),
                quantity_at("cold junction t_cold", self.cold_junction_c, at, "deg C"),
                quantity_at("voltage against 0 °C", self.total_mv, at, "mV"),
                *self._wire(at),
            ),
            result=quantity_at("temperature t", self.temperature_c, at, "deg C"),
            validity="−200 to 1372 °C; the inverse is within 0.06 °C of the reference function, the wire itself is "
            "allowed far more",
            source="NIST ITS-90, type K; IEC 60584-1",
            authority="standard",
        )

    def _wire(self, at: int) -> tuple[Quantity, ...]:
        """What a wire of class 2 may be off, where the standard says."""
        hot = float(np.ravel(self.temperature_c)[at])
        if not -40.0 <= hot <= TOLERANCES[2][2]:
            return ()
        return (Quantity("wire of class 2, plus and minus", float(wire_tolerance_k(hot)), "K"),)


def wire_tolerance_k(temperature_c: ArrayLike, tolerance_class: int = 2) -> Array:
    """How far a type K wire may be off, plus and minus. [K]

    Parameters
    ----------
    temperature_c : array_like
        Of the hot junction, -40 to 1000 for class 1, to 1200 for class 2. [degC]
    tolerance_class : int
        1 or 2; what is sold without one is mostly class 2.

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [K]

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> print(f"{wire_tolerance_k(temperature_c=600.0, tolerance_class=2):.4g}")
    4.5
    """
    if type(tolerance_class) is not int or tolerance_class not in TOLERANCES:
        raise OutOfRangeError(f"tolerance class must be 1 or 2; got {tolerance_class!r}")
    least, share, highest = TOLERANCES[tolerance_class]
    celsius = checked("temperature", temperature_c, -40.0, highest, "deg C")
    return np.maximum(least, share * np.abs(celsius))


def emf_mv(temperature_c: ArrayLike) -> Array:
    """Voltage of a type K thermocouple against a junction at 0 °C.

    Parameters
    ----------
    temperature_c : array_like
        -200 to 1372. [degC]

    Returns
    -------
    numpy.ndarray
        Shape of the input. [mV]

    Raises
    ------
    OutOfRangeError
    """
    return _emf(checked("temperature", temperature_c, LOWEST_C, HIGHEST_C, "deg C"))


def temperature_c(voltage_mv: ArrayLike, cold_junction_c: ArrayLike = 0.0) -> Array:
    """Temperature of the hot junction; inputs as for `read_type_k`. [degC]

    Parameters
    ----------
    voltage_mv : array_like
        Voltage, -15 to 61. [mV]
    cold_junction_c : array_like
        Cold junction, -60 to 150. [degC]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [degC]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> print(f"{temperature_c(voltage_mv=4.0, cold_junction_c=20.0):.4g}")
    117
    """
    return read_type_k(voltage_mv, cold_junction_c).temperature_c


def read_type_k(voltage_mv: ArrayLike, cold_junction_c: ArrayLike = 0.0) -> TypeKReading:
    """Temperature of the hot junction of a type K thermocouple, with its working.

    Parameters
    ----------
    voltage_mv : array_like
        As read, below 0 where the hot junction is the colder one. [mV]
    cold_junction_c : array_like
        Temperature where the wires end at the instrument, -60 to 150. [degC]

    Returns
    -------
    TypeKReading
        `temperature_c` [degC], in the common shape of the inputs; `working()`.

    Raises
    ------
    OutOfRangeError
        Also for a voltage that, with the cold junction, is outside -200 to 1372 degC.

    References
    ----------
    NIST ITS-90, type K; IEC 60584-1.

    Examples
    --------
    >>> round(float(read_type_k(6.94, cold_junction_c=21.0).temperature_c))
    191
    """
    voltage = checked("voltage", voltage_mv, -15.0, 61.0, "mV", "millivolts are wanted")
    cold = checked("cold junction", cold_junction_c, *COLD_JUNCTION_C, "deg C")
    total = voltage + _emf(cold)
    advice = "beyond what type K is defined for: wires exchanged, a broken wire, or another type?"
    checked("voltage against 0 deg C", total, LOWEST_MV - 5e-4, HIGHEST_MV + 5e-4, "mV", advice)
    return TypeKReading(*broadcast(voltage, cold, total, _inverse(total)))


def _emf(celsius: Array) -> Array:
    size, at, bend = _BUMP
    warm = np.maximum(celsius, 0.0)
    above = np.polynomial.polynomial.polyval(warm, _ABOVE_ZERO) + size * np.exp(at * (warm - bend) ** 2)
    if celsius.min() >= 0.0:
        return above
    below = np.polynomial.polynomial.polyval(np.minimum(celsius, 0.0), _BELOW_ZERO)
    return np.where(celsius < 0.0, below, above)


def _inverse(total_mv: Array) -> Array:
    flat = np.atleast_1d(total_mv)
    piece = np.searchsorted(_INVERSE_FROM_MV, flat, side="right")
    found = np.empty_like(flat)
    for number, coefficients in enumerate(_INVERSE):
        here = piece == number
        if here.any():
            found[here] = np.polynomial.polynomial.polyval(flat[here], coefficients)
    return found.reshape(np.shape(total_mv))
