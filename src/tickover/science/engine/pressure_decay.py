"""How large is a leak, from the pressure a closed engine loses?

The gas left in a closed volume is p V/(R T): what the gauge loses by cooling is no leak, and is told apart.
Pressures are gauge pressures against the air outside; a vacuum test begins below 0.

References
----------
Leak by pressure change, scope of ASTM E2930-13 and ASME BPVC V, article 10 (the principle; the texts not read):
the pressure should change by less than a tenth, and the gauge resolve a tenth of the limit.
JCGM 100:2008, 5.1.2 for the uncertainty, inputs independent.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tickover.science.atmosphere.standard_atmosphere import GAS_CONSTANT_J_KG_K, SEA_LEVEL_K, SEA_LEVEL_PA
from tickover.science.core.arrays import Array, broadcast, given_only, quantity_at
from tickover.science.core.input_checks import OutOfRangeError, checked
from tickover.science.core.working import Working
from tickover.science.fuel_system.orifice import SHARP_EDGED, hole_m

__all__ = ["LITRES_A_MINUTE", "PressureDecay", "leak_from_decay"]

LITRES_A_MINUTE = 60_000.0
"""In one cubic metre a second."""
GAUGE_PA = (-95_000.0, 1e6)
LEAST_START_PA = 1_000.0
"""No test begins nearer to the air outside: 0.35 is bar, 35 is kPa, 350 is hPa. [Pa]"""
VOLUME_M3 = (1e-6, 0.02)
"""A case with its hose holds a litre or two; 0.5 is litres. [m3]"""
TIMES_MIN = (0.25, 120.0)
"""In less than 15 s nobody reads two gauges; over hours the weather moves the gauge more than a leak does.

Common practice, no source. [min]
"""
SECONDS = 60.0
"""In one minute."""
OUTSIDE_PA = (45_000.0, 110_000.0)
ENGINE_K = (223.15, 423.15)


@dataclass(frozen=True, eq=False)
class PressureDecay:
    """A pressure or vacuum test and what it says; all fields of one shape.

    The leak counts above 0 outwards, below 0 inwards (a vacuum test). `u_*` are standard uncertainties of the
    inputs: of each pressure, each temperature, volume and time.
    """

    start_pa: Array
    end_pa: Array
    time_min: Array
    volume_m3: Array
    start_k: Array
    end_k: Array
    outside_pa: Array
    discharge: Array
    u_pressure_pa: Array
    u_temperature_k: Array
    u_volume_m3: Array
    u_time_min: Array

    @property
    def read_loss_pa(self) -> Array:
        """What the gauge fell, above 0 for falling. [Pa]"""
        return self.start_pa - self.end_pa

    @property
    def drift_pa(self) -> Array:
        """What the change of temperature alone does to the gauge, above 0 for rising. [Pa]"""
        return (self.start_pa + self.outside_pa) * (self.end_k / self.start_k - 1.0)

    @property
    def loss_pa(self) -> Array:
        """What the gauge would have fallen had the temperature stayed. [Pa]"""
        return self._start - self._end * self.start_k / self.end_k

    @property
    def leak_pa_m3_s(self) -> Array:
        """Leak at the temperature of the start. [Pa m3/s]"""
        return self.volume_m3 * self.loss_pa / (SECONDS * self.time_min)

    @property
    def u_leak_pa_m3_s(self) -> Array:
        """Standard uncertainty of the leak. [Pa m3/s]"""
        rate = self.volume_m3 / (SECONDS * self.time_min)
        warmer = self.start_k / self.end_k
        by_pressure = rate * self.u_pressure_pa * np.hypot(1.0, warmer)
        by_temperature = rate * self._end / self.end_k * self.u_temperature_k * np.hypot(1.0, warmer)
        by_volume = self.leak_pa_m3_s * self.u_volume_m3 / self.volume_m3
        by_time = self.leak_pa_m3_s * self.u_time_min / self.time_min
        total: Array = np.sqrt(by_pressure**2 + by_temperature**2 + by_volume**2 + by_time**2)
        return total

    @property
    def leak_l_min(self) -> Array:
        """Leak as air at 15 °C and 1013.25 hPa. [l/min]"""
        return self.leak_pa_m3_s * self._as_litres

    @property
    def u_leak_l_min(self) -> Array:
        """Standard uncertainty of the leak as air at 15 °C and 1013.25 hPa. [l/min]"""
        return self.u_leak_pa_m3_s * self._as_litres

    @property
    def hole_m(self) -> Array:
        """Diameter of the one round hole that would leak so; 0 for a leak against the pressure. [m]"""
        outwards = self._mean >= self.outside_pa
        driven = np.maximum(0.0, np.where(outwards, 1.0, -1.0) * self.leak_pa_m3_s)
        kg_s = driven / (GAS_CONSTANT_J_KG_K * self.start_k)
        high, low = np.maximum(self._mean, self.outside_pa), np.minimum(self._mean, self.outside_pa)
        return hole_m(kg_s, high, low, self.start_k, self.discharge)

    @property
    def u_hole_m(self) -> Array:
        """Standard uncertainty of the hole, by the leak alone: its area goes with the leak. [m]

        NaN for a hole of 0 by unsure readings: what they may hide is not a width to both sides of it.
        """
        leak = np.abs(self.leak_pa_m3_s)
        sure = np.where(self.u_leak_pa_m3_s > 0.0, np.nan, 0.0)
        share = np.divide(self.u_leak_pa_m3_s, leak, out=sure, where=self.hole_m > 0.0)
        return self.hole_m * share / 2.0

    def working(self, at: int = 0) -> Working:
        """How one leak came about."""
        return Working(
            title="leak from the loss of pressure",
            formula="Q = V (p1 − p2 T1/T2)/t, p = gauge + outside; drift = p1 (T2/T1 − 1)",
            inputs=given_only(
                quantity_at("gauge at the start", self.start_pa, at, "Pa"),
                quantity_at("gauge at the end", self.end_pa, at, "Pa"),
                quantity_at("air outside", self.outside_pa, at, "Pa"),
                quantity_at("time between t", self.time_min, at, "min"),
                quantity_at("closed volume V", self.volume_m3, at, "m3"),
                quantity_at("temperature at the start T1", self.start_k, at, "K"),
                quantity_at("temperature at the end T2", self.end_k, at, "K"),
                quantity_at("fall of the gauge as read", self.read_loss_pa, at, "Pa"),
                quantity_at("rise by the temperature alone", self.drift_pa, at, "Pa"),
                quantity_at("fall without the temperature", self.loss_pa, at, "Pa"),
                quantity_at("leak Q", self.leak_pa_m3_s, at, "Pa m3/s"),
                quantity_at("standard uncertainty of Q", self.u_leak_pa_m3_s, at, "Pa m3/s"),
                quantity_at("discharge coefficient", self.discharge, at, ""),
                quantity_at("one round hole of", 1e3 * self.hole_m, at, "mm"),
                quantity_at("standard uncertainty of the hole", 1e3 * self.u_hole_m, at, "mm"),
            ),
            result=quantity_at("leak as air at 15 °C, 1013.25 hPa", self.leak_l_min, at, "l/min"),
            validity="one volume that does not give and has one temperature; best when it loses less than a tenth; "
            "the air outside stays the same; the hole is a way to picture it, at the mean pressure of the test",
            source="ideal gas; principle of ASTM E2930-13; JCGM 100:2008, 5.1.2",
            authority="standard",
        )

    @property
    def _start(self) -> Array:
        return self.start_pa + self.outside_pa

    @property
    def _end(self) -> Array:
        return self.end_pa + self.outside_pa

    @property
    def _mean(self) -> Array:
        return (self._start + self._end) / 2.0

    @property
    def _as_litres(self) -> Array:
        return LITRES_A_MINUTE / SEA_LEVEL_PA * SEA_LEVEL_K / self.start_k


def leak_from_decay(
    start_pa: ArrayLike,
    end_pa: ArrayLike,
    time_min: ArrayLike,
    volume_m3: ArrayLike,
    start_k: ArrayLike,
    end_k: ArrayLike,
    *,
    outside_pa: ArrayLike = SEA_LEVEL_PA,
    discharge: ArrayLike = SHARP_EDGED,
    u_pressure_pa: ArrayLike,
    u_temperature_k: ArrayLike,
    u_volume_m3: ArrayLike,
    u_time_min: ArrayLike,
) -> PressureDecay:
    """Leak of a closed volume from its pressure at two times.

    Parameters
    ----------
    start_pa, end_pa : array_like
        Gauge pressures, below 0 for vacuum; -95 kPa to 1 MPa, the first 1 kPa or more from 0. [Pa]
    time_min : array_like
        Between the two, 0.25 to 120: as pages, steps and the command line ask for it. [min]
    volume_m3 : array_like
        Closed volume, hose and gauge included; 1 cm3 to 20 l. [m3]
    start_k, end_k : array_like
        Temperatures of the air inside, -50 to 150 degrees Celsius. [K]
    outside_pa : array_like
        Pressure of the air outside. [Pa]
    discharge : array_like
        Of the equivalent hole, see `orifice.air_through_hole_kg_s`. [-]
    u_pressure_pa, u_temperature_k, u_volume_m3, u_time_min : array_like
        Standard uncertainties.

    Returns
    -------
    PressureDecay

    Raises
    ------
    OutOfRangeError
        Also for a gauge pressure that would leave no air inside, for bar, kPa or hPa in place of Pa, and for seconds in
        place of minutes.

    Examples
    --------
    >>> found = leak_from_decay(
    ...     start_pa=35000.0, end_pa=33000.0, time_min=10.0, volume_m3=0.0006, start_k=293.0,
    ...     end_k=293.0, outside_pa=101000.0, discharge=0.62, u_pressure_pa=200.0,
    ...     u_temperature_k=0.5, u_volume_m3=2e-05, u_time_min=0.02
    ... )
    >>> print(f"{found.leak_l_min:.4g}")
    0.001165
    """
    outside = checked("pressure of the air outside", outside_pa, *OUTSIDE_PA, "Pa")
    gauges = [
        checked(f"gauge at the {when}", value, *GAUGE_PA, "Pa")
        for when, value in (("start", start_pa), ("end", end_pa))
    ]
    if np.any(np.abs(gauges[0]) < LEAST_START_PA):
        raise OutOfRangeError(
            f"gauge at the start must be {LEAST_START_PA:g} Pa or more from 0; got {_nearest(gauges[0]):g} Pa: "
            "it is asked for in pascals, 1 bar is 100000"
        )
    if np.any((gauges[1] != 0.0) & (np.abs(gauges[1]) < 1.0)):
        raise OutOfRangeError("gauge at the end must be in pascals as that at the start: 1 bar is 100000")
    for gauge in gauges:
        left = sum(broadcast(gauge, outside))
        checked(
            "pressure left inside", left, 2_000.0, np.inf, "Pa", "the vacuum is deeper than the air outside"
        )
    return PressureDecay(
        *broadcast(
            *gauges,
            checked(
                "time between the readings", time_min, *TIMES_MIN, "min", "minutes are wanted: 600 s are 10"
            ),
            checked(
                "closed volume", volume_m3, *VOLUME_M3, "m3", "cubic metres are wanted: 600 cm3 are 0.0006"
            ),
            checked("temperature at the start", start_k, *ENGINE_K, "K"),
            checked("temperature at the end", end_k, *ENGINE_K, "K"),
            outside,
            checked("discharge coefficient", discharge, 0.3, 1.0, "1"),
            checked("uncertainty of a pressure", u_pressure_pa, 0.0, 1e5, "Pa"),
            checked("uncertainty of a temperature", u_temperature_k, 0.0, 100.0, "K"),
            checked("uncertainty of the volume", u_volume_m3, 0.0, 1.0, "m3"),
            checked("uncertainty of the time", u_time_min, 0.0, 10.0, "min"),
        )
    )


def _nearest(gauge: Array) -> float:
    """The pressure nearest to that of the air outside. [Pa]"""
    return float(np.ravel(gauge)[int(np.argmin(np.abs(gauge)))])
