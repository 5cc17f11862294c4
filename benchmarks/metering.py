"""Fuel through a metering system over lever heights and temperatures: here in one call, and by a loop over SciPy.

The loop does what one would write for a single lever: scipy.optimize.brentq on the balance of forces.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from importlib.metadata import version

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from tickover.science.fuel_system.fuels import PETROL, Premix
from tickover.science.fuel_system.metering.flow import POINTS, flow
from tickover.science.fuel_system.metering.lever_balance import ILLUSTRATIVE

Array = NDArray[np.float64]

MANY = 100_000
FEW = 300
POINT = POINTS[1]
TANK = Premix(PETROL, 50.0)


def best_s(action: Callable[[], object], repeats: int) -> float:
    """Shortest of several runs, time of the processor. [s]"""
    times = []
    for _ in range(repeats):
        begin = time.process_time()
        action()
        times.append(time.process_time() - begin)
    return min(times)


def looped(heights: Array, kelvins: Array) -> Array:
    """The same flows, lever by lever. [L/h]"""
    return np.array([one(height, kelvin) for height, kelvin in zip(heights, kelvins, strict=True)])


def one(height: float, kelvin: float) -> float:
    """Flow at one lever height that is not at its stop, in plain numbers. [L/h]"""
    s = ILLUSTRATIVE
    sine, cosine = np.sin(np.radians(s.half_angle_deg)), np.cos(np.radians(s.half_angle_deg))
    area = (s.lever_ratio * s.diaphragm_mm2 + s.seat_mm2) * 1e-6

    def suction(lift: float) -> float:
        bend = s.lever_ratio * lift - height
        bent = s.lever_ratio * (s.diaphragm_n_mm + s.diaphragm_n_mm3 * bend * bend) * bend
        return (s.spring_n + s.spring_n_mm * lift - s.pump_pa * s.seat_mm2 * 1e-6 + bent) / area

    def surplus(lift: float) -> float:
        opening = np.pi * lift * sine * (s.seat_mm - lift * sine * cosine)
        coming = (s.discharge * opening) ** 2 * (s.pump_pa + suction(lift))
        return coming - (POINT.discharge * POINT.jet_mm2) ** 2 * (POINT.suction_pa - suction(lift))

    lift = brentq(surplus, 0.0, (s.travel_mm + height) / s.lever_ratio, xtol=1e-12, rtol=1e-12)
    density = float(TANK.density_kg_m3(kelvin))
    speed = np.sqrt(2.0 * (POINT.suction_pa - suction(lift)) / density)
    return POINT.discharge * POINT.jet_mm2 * 1e-6 * speed * 3.6e6


def main() -> None:
    """Print the time for a lever both ways, their ratio and the largest difference."""
    rng = np.random.default_rng(2)
    heights, kelvins = rng.uniform(-0.2, 0.4, MANY), rng.uniform(260.0, 315.0, MANY)
    few = (heights[:FEW], kelvins[:FEW])
    ours_us = best_s(lambda: flow(ILLUSTRATIVE, POINT, heights, kelvins, TANK), 5) / MANY * 1e6
    theirs_us = best_s(lambda: looped(*few), 2) / FEW * 1e6
    off = np.max(np.abs(looped(*few) / flow(ILLUSTRATIVE, POINT, *few, TANK).fuel_l_h - 1.0))
    for name, time_us in (("tickover", ours_us), (f"loop over SciPy {version('scipy')}", theirs_us)):
        print(f"{name:28}{time_us:10.2f} us a lever")
    print(f"ratio {theirs_us / ours_us:.0f}, largest difference {off:.0e}")


if __name__ == "__main__":
    main()
