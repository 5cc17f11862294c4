"""The sums of the bench for a million inputs at once, and general libraries beside them.

One value after the other: fluids for the flow through a hole, scipy for the root of the slider-crank equation, pint
for torque units, numpy's least squares for trial runs. All at once: a spline of scipy through the table of type K.
Times are those of the processor; the slower ones are measured on fewer values.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from importlib.metadata import version
from math import cos, degrees, pi, sin, sqrt

import fluids
import numpy as np
import pint
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline
from scipy.optimize import brentq

from tickover.science.engine.balance import permissible_unbalance
from tickover.science.engine.crank import crank_deg
from tickover.science.engine.drive import belt_tension_n
from tickover.science.engine.pressure_decay import leak_from_decay
from tickover.science.engine.propeller import ideal_thrust_n
from tickover.science.engine.trial_runs import trial_runs
from tickover.science.fasteners.preload_and_torque import to_nm
from tickover.science.fasteners.preload_scatter import clamping
from tickover.science.fuel_system.oil_mix import remix
from tickover.science.fuel_system.orifice import GAS_CONSTANT_J_KG_K, air_through_hole_kg_s
from tickover.science.measurement.thermocouple import emf_mv, temperature_c

Array = NDArray[np.float64]

MANY = 1_000_000
FEW = 2_000
REPEATS = 3


def best_ns(action: Callable[[], object], values: int, repeats: int = REPEATS) -> float:
    """Shortest time for one value. [ns]"""
    times = []
    for _ in range(repeats):
        begin = time.process_time()
        action()
        times.append(time.process_time() - begin)
    return min(times) / values * 1e9


def row(what: str, ours_ns: float, name: str = "", theirs_ns: float = 0.0, off: str = "") -> None:
    """One line: what, our time for one value, theirs, the ratio, and the largest difference."""
    theirs = f"{name:22}{theirs_ns:10.1f} ns{theirs_ns / ours_ns:9.1f}{off:>16}" if name else ""
    print(f"{what:34}{ours_ns:8.1f} ns   {theirs}")


def spread(lower: float, upper: float, many: int = MANY) -> Array:
    """Values all over a range, the same in every run."""
    return np.random.default_rng(7).uniform(lower, upper, many)


def compare(
    what: str,
    ours: Callable[[Array], Array],
    name: str,
    theirs: Callable[[float], float],
    values: Array,
    unit: str,
) -> None:
    """Our function of an array and a library's of one value; unit "" tells the difference as a share."""
    few = values[:FEW]
    ours_ns = best_ns(lambda: ours(values), MANY)
    theirs_ns = best_ns(lambda: [theirs(value) for value in few], FEW, 1)
    reference = np.array([theirs(value) for value in few])
    off = np.abs(ours(few) - reference) if unit else np.abs(ours(few) / reference - 1.0)
    row(what, ours_ns, f"{name} {version(name)}", theirs_ns, f"{off.max():.1e} {unit}")


def through_hole(downstream_pa: float) -> float:
    """Subsonic flow through a hole of 1 mm, by fluids. [kg/s]"""
    share = fluids.nozzle_expansibility(D=1.0, Do=1e-3, P1=150e3, P2=downstream_pa, k=1.4)
    density = 150e3 / (GAS_CONSTANT_J_KG_K * 293.15)
    return float(0.62 * np.pi / 4 * 1e-6 * share * np.sqrt(2.0 * density * (150e3 - downstream_pa)))


def angle_at(travel_mm: float) -> float:
    """Crank angle at a height of the piston, by scipy. [deg]"""

    def off(theta: float) -> float:
        return 137.0 - 27.0 * cos(theta) - sqrt(110.0**2 - (27.0 * sin(theta)) ** 2) - travel_mm

    return degrees(brentq(off, 0.0, pi, xtol=1e-14))


def type_k() -> None:
    """Temperature of type K voltages, and by a spline of scipy through the table of whole degrees."""
    table = np.arange(-200.0, 1373.0)
    spline = CubicSpline(emf_mv(table), table)
    volts = spread(-5.8, 54.8)
    ours_ns, theirs_ns = best_ns(lambda: temperature_c(volts), MANY), best_ns(lambda: spline(volts), MANY)
    off = np.abs(temperature_c(volts) - spline(volts)).max()
    row("type K to temperature", ours_ns, f"scipy {version('scipy')} (arrays)", theirs_ns, f"{off:.1e} degC")


def by_library() -> None:
    """The sums that a general library has too."""
    unit: pint.UnitRegistry[float] = pint.UnitRegistry()
    pounds = spread(1.0, 500.0)
    holes, heights = spread(101e3, 149e3), spread(0.1, 53.9)
    compare(
        "air through a hole",
        lambda p: air_through_hole_kg_s(150e3, p, 293.15, 1e-3),
        "fluids",
        through_hole,
        holes,
        "",
    )
    compare(
        "crank angle by piston height", lambda x: crank_deg(x, 54.0, 110.0), "scipy", angle_at, heights, "deg"
    )
    type_k()

    def in_pint(torque: float) -> float:
        return float(unit.Quantity(torque, "force_pound*inch").to("newton*meter").magnitude)

    compare("torque in newton metres", lambda torque: to_nm(torque, "lbf.in"), "pint", in_pint, pounds, "")
    balance()


def balance() -> None:
    """Trial runs, three to a rotor."""
    rng = np.random.default_rng(5)
    many = MANY // 10
    amplitude, phase = rng.uniform(1.0, 9.0, (3, many)), rng.uniform(0.0, 360.0, (3, many))
    masses, places = np.array([[0.0], [8.0], [8.0]]), np.array([[0.0], [0.0], [120.0]])
    added = (masses * np.exp(1j * np.radians(places)))[:, 0]
    design = np.stack([np.ones_like(added), added], axis=1)

    def by_numpy(rotor: int) -> float:
        seen = amplitude[:, rotor] * np.exp(1j * np.radians(phase[:, rotor]))
        original, influence = np.linalg.lstsq(design, seen, rcond=None)[0]
        return float(abs(original / influence))

    ours_ns = best_ns(
        lambda: trial_runs(amplitude, phase, masses, places, standard_uncertainty=0.0).correction_g, many
    )
    theirs_ns = best_ns(lambda: [by_numpy(rotor) for rotor in range(FEW)], FEW, 1)
    ours = trial_runs(
        amplitude[:, :FEW], phase[:, :FEW], masses, places, standard_uncertainty=0.0
    ).correction_g
    off = np.abs(ours / np.array([by_numpy(rotor) for rotor in range(FEW)]) - 1.0).max()
    row("balance by three runs", ours_ns, f"numpy {version('numpy')}", theirs_ns, f"{off:.1e} ")


def alone() -> None:
    """The sums of ours that no general library has as one function."""
    ends, loads, powers = spread(30e3, 34e3), spread(5.0, 12.0), spread(5e3, 20e3)

    def leak() -> object:
        test = leak_from_decay(
            35e3,
            ends,
            10.0,
            6e-4,
            293.15,
            292.15,
            u_pressure_pa=500.0,
            u_temperature_k=0.0,
            u_volume_m3=0.0,
            u_time_min=0.0,
        )
        return test.leak_l_min, test.u_leak_l_min, test.hole_m

    row("leak, uncertainty and hole", best_ns(leak, MANY))
    row("preload and its scatter", best_ns(lambda: clamping(loads, 6.0, 1.0, 8.0).scatter, MANY))
    row("ideal static thrust", best_ns(lambda: ideal_thrust_n(powers, 1.25), MANY))
    row("permissible unbalance", best_ns(lambda: permissible_unbalance(6.3, 0.7, powers).unbalance_gmm, MANY))
    row("belt tension", best_ns(lambda: belt_tension_n(0.13, 0.082, powers / 50.0), MANY))
    row("tank to another mix", best_ns(lambda: remix(loads, 50.0, 40.0), MANY))


def main() -> None:
    """Print time for a value, the library's, their ratio and the largest difference."""
    print(f"{MANY:,} values at once{'each':>24}   {'a library':22}{'times ours':>22}{'differs by':>15}")
    by_library()
    alone()


if __name__ == "__main__":
    main()
