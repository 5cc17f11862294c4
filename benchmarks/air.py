"""Moist and standard air for many values at once: here, and with general libraries, one value after the other.

CoolProp and psychrolib are asked for what they are good at, the density of moist air; fluids and ambiance for the
standard atmosphere. Times are those of the processor; the slower ones are measured on fewer values.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from importlib.metadata import version

import ambiance
import numpy as np
import psychrolib
from CoolProp.HumidAirProp import HAPropsSI
from fluids import ATMOSPHERE_1976
from numpy.typing import NDArray

from tickover.science.atmosphere.altitudes import density_altitude
from tickover.science.atmosphere.moist_air import moist_density_kg_m3
from tickover.science.atmosphere.standard_atmosphere import standard_air

Array = NDArray[np.float64]

MANY = 1_000_000
FEW = 2_000
REPEATS = 5


def best_ns(action: Callable[[], object], values: int, repeats: int = REPEATS) -> float:
    """Shortest time for one value. [ns]"""
    times = []
    for _ in range(repeats):
        begin = time.process_time()
        action()
        times.append(time.process_time() - begin)
    return min(times) / values * 1e9


def weather(many: int) -> tuple[Array, Array, Array]:
    """Temperatures [K], pressures [Pa] and humidities of an invented year of flying, above freezing."""
    rng = np.random.default_rng(many)
    return rng.uniform(274.0, 313.0, many), rng.uniform(70e3, 104e3, many), rng.uniform(0.0, 1.0, many)


def by_coolprop(kelvin: Array, pascal: Array, humidity: Array) -> Array:
    """Densities of moist air as a real gas. [kg/m3]"""
    rows = zip(kelvin, pascal, humidity, strict=True)
    return np.array([1.0 / HAPropsSI("Vha", "T", t, "P", p, "R", h) for t, p, h in rows])


def by_psychrolib(kelvin: Array, pascal: Array, humidity: Array) -> Array:
    """Densities of moist air as an ideal gas. [kg/m3]"""
    found = []
    for t, p, h in zip(kelvin - 273.15, pascal, humidity, strict=True):
        found.append(psychrolib.GetMoistAirDensity(t, psychrolib.GetHumRatioFromRelHum(t, h, p), p))
    return np.array(found)


def by_fluids(heights: Array) -> Array:
    """Densities of the standard atmosphere. [kg/m3]"""
    return np.array([ATMOSPHERE_1976(height).rho for height in heights])


def row(name: str, time_ns: float, ours_ns: float, off: str = "") -> None:
    """One line of a table: time for one value, how many times ours, largest difference to ours."""
    print(f"{name:32}{time_ns:12.0f} ns{time_ns / ours_ns:10.0f}{off:>14}")


def largest(theirs: Array, ours: Array) -> str:
    """Largest relative difference."""
    return f"{np.max(np.abs(theirs / ours - 1.0)):.1e}"


def moist() -> None:
    """Density of moist air."""
    many, few = weather(MANY), weather(FEW)
    ours_ns = best_ns(lambda: moist_density_kg_m3(*many), MANY)
    reference = moist_density_kg_m3(*few)
    row("tickover, CIPM-2007", ours_ns, ours_ns)
    for name, function in (("CoolProp", by_coolprop), ("psychrolib", by_psychrolib)):
        theirs = function(*few)
        theirs_ns = best_ns(lambda function=function: function(*few), FEW, 2)  # type: ignore[misc]
        row(f"{name} {version(name)}", theirs_ns, ours_ns, largest(theirs, reference))


def standard() -> None:
    """Temperature, pressure, density and speed of sound of the standard atmosphere."""
    heights = np.linspace(0.0, 20_000.0, MANY)
    few = heights[:: MANY // FEW]
    ours_ns = best_ns(lambda: standard_air(heights, geometric=True), MANY)
    reference = standard_air(few, geometric=True).density_kg_m3
    row("tickover, ISO 2533", ours_ns, ours_ns)
    fluids_ns = best_ns(lambda: by_fluids(few), few.size, 2)
    row(f"fluids {version('fluids')}", fluids_ns, ours_ns, largest(by_fluids(few), reference))

    def by_ambiance() -> tuple[Array, Array]:
        air = ambiance.Atmosphere(heights)
        air.temperature, air.pressure, air.speed_of_sound  # noqa: B018  they are computed when asked for
        return air.h, air.density

    theirs_ns = best_ns(by_ambiance, MANY, 2)
    theirs = ambiance.Atmosphere(few).density
    row(f"ambiance {version('ambiance')} (arrays)", theirs_ns, ours_ns, largest(theirs, reference))


def main() -> None:
    """Print time for a value, ratio and largest difference."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    print(f"{MANY:,} values at once{'each':>19}{'times ours':>17}{'differs by':>14}")
    moist()
    standard()
    many = weather(MANY)
    print(f"density altitude with moisture  {best_ns(lambda: density_altitude(*many), MANY):12.0f} ns")


if __name__ == "__main__":
    main()
