"""Leaks and small holes against published examples and a general library; each says where it comes from."""

import fluids
import numpy as np
import pytest

from tickover.science.engine.pressure_decay import leak_from_decay
from tickover.science.fuel_system.orifice import GAS_CONSTANT_J_KG_K, air_through_hole_kg_s, hole_m

INCH = 0.0254
PSI = 6894.757
SCFM_KG_S = 1.2041 * 0.3048**3 / 60.0
"""A cubic foot a minute of air at 20 degrees Celsius and 1 atmosphere."""


# 40 CFR 1065.644, example of a vacuum-decay leak test: 2 litres from 50.600 to 25.300 kPa absolute at 293.15 K in
# 70 s is 0.00030 mol/s (answer from memory, to the two figures printed).
def test_the_vacuum_decay_example_of_a_regulation() -> None:
    outside = 101_325.0
    test = leak_from_decay(
        50_600.0 - outside,
        25_300.0 - outside,
        70.0 / 60.0,
        2e-3,
        293.15,
        293.15,
        u_pressure_pa=0.0,
        u_temperature_k=0.0,
        u_volume_m3=0.0,
        u_time_min=0.0,
    )
    assert float(test.leak_pa_m3_s) / (8.314462618 * 293.15) == pytest.approx(0.00030, abs=5e-6)


# US Department of Energy, Compressed Air Tip Sheet 3 (2004): a 1/4 inch hole, coefficient 0.97, loses 74.4, 100.9
# and 122.2 scfm at 70, 100 and 125 psig (figures from memory). Choked.
@pytest.mark.parametrize(("psig", "scfm"), [(70.0, 74.4), (100.0, 100.9), (125.0, 122.2)])
def test_holes_in_a_compressed_air_system(psig: float, scfm: float) -> None:
    flow = air_through_hole_kg_s((psig + 14.7) * PSI, 101_325.0, 294.0, INCH / 4.0, 0.97)
    assert float(flow) / SCFM_KG_S == pytest.approx(scfm, rel=0.015)


# fluids, nozzle expansibility of ISO 5167-3 with a small nozzle in a wide pipe: another road to the same flow.
def test_subsonic_flow_by_the_library_fluids() -> None:
    upstream, kelvin, hole = 140e3, 293.15, 1e-3
    for downstream in (138e3, 125e3, 110e3, 101_325.0):
        share = fluids.nozzle_expansibility(D=1.0, Do=hole, P1=upstream, P2=downstream, k=1.4)
        density = upstream / (GAS_CONSTANT_J_KG_K * kelvin)
        by_library = 0.62 * np.pi / 4 * hole**2 * share * np.sqrt(2.0 * density * (upstream - downstream))
        assert float(air_through_hole_kg_s(upstream, downstream, kelvin, hole)) == pytest.approx(
            by_library, rel=1e-9
        )


# fluids, ratio of pressures at which a gas is choked, and the area of API 520 for a choked gas.
def test_choked_flow_by_the_library_fluids() -> None:
    upstream, kelvin, flow = 500e3, 293.15, 1e-3
    assert fluids.is_critical_flow(upstream, 0.52 * upstream, 1.4)
    assert not fluids.is_critical_flow(upstream, 0.53 * upstream, 1.4)
    molar = 8314.462618 / GAS_CONSTANT_J_KG_K
    area = fluids.API520_A_g(m=flow, T=kelvin, Z=1.0, MW=molar, k=1.4, P1=upstream, P2=101_325.0, Kd=0.8)
    ours = np.pi / 4.0 * float(hole_m(flow, upstream, 101_325.0, kelvin, 0.8)) ** 2
    assert ours == pytest.approx(area, rel=2e-3)
