"""The elementary carburettor, its fuels and its needle against worked examples of textbooks.

The examples of Mathur & Sharma, Gupta, Rajput, Keswani and Joel are taken from the open FOSSEE notebooks that
accompany those books; the printed books were not at hand.
"""

import math

import numpy as np
import pytest
from fluids import nozzle_expansibility
from fluids.compressible import P_critical_flow
from scipy.optimize import minimize_scalar

from tickover.science.fuel_system.carburettor import air_fuel_ratio, jet_flow_kg_s, lowest_air_speed_m_s
from tickover.science.fuel_system.fuels import (
    ETHANOL,
    PETROL,
    Premix,
    from_atoms,
    stoichiometric_air,
    with_ethanol,
)
from tickover.science.fuel_system.mixture import equivalence_ratio
from tickover.science.fuel_system.mixture_setting import AirOfTheDay, Setting
from tickover.science.fuel_system.needle import Needle, cone_area_mm2
from tickover.science.fuel_system.venturi import (
    CHOKED_RATIO,
    expansion_factor,
    throat_depression_pa,
    venturi_flow_kg_s,
)

SEA_LEVEL_PA = 101_325.0


def area_mm2(diameter_mm: float) -> float:
    return 0.25 * math.pi * diameter_mm**2


# Mathur & Sharma, Internal Combustion Engine, 11.1 (Gupta 9.1) and 11.2: air of 27 °C and 1.013 bar, 90 and 92 m/s
# in the throat, coefficient 0.8, 5 and 6 kg/min: throats of 3.251 and 3.526 cm.
@pytest.mark.parametrize(("kg_min", "speed", "throat_cm"), [(5.0, 90.0, 3.251), (6.0, 92.0, 3.526)])
def test_a_venturi_of_compressible_flow(kg_min: float, speed: float, throat_cm: float) -> None:
    kelvin, pascal = 300.0, 101_300.0
    ratio = (1.0 - (speed / 0.8) ** 2 / (2.0 * 1005.0 * kelvin)) ** 3.5
    density = pascal / (287.0 * kelvin)
    found = venturi_flow_kg_s(throat_cm * 10.0, 0.8, pascal * (1.0 - ratio), pascal, density)
    assert found * 60.0 == pytest.approx(kg_min, rel=3e-3)


# Mathur & Sharma 11.2: 0.45 kg/min of fuel of 740 kg/m3 through 2.34 mm, coefficient 0.6, three quarters of the
# suction of the venturi above.
def test_a_jet_beside_that_venturi() -> None:
    ratio = (1.0 - (92.0 / 0.8) ** 2 / (2.0 * 1005.0 * 300.0)) ** 3.5
    suction = 0.75 * 101_300.0 * (1.0 - ratio)
    assert jet_flow_kg_s(area_mm2(2.3436), 0.6, suction, 740.0) * 60.0 == pytest.approx(0.45, rel=1e-3)


# Rajput, A Textbook of Internal Combustion Engines, 11.4: 5.45 kg/h through 2 mm2, coefficient 0.75, specific
# gravity 0.72, lip 6.35 mm: suction 7.67 cm of water.
def test_the_suction_that_a_flow_of_fuel_needs() -> None:
    assert jet_flow_kg_s(2.0, 0.75, 7.667843e-2 * 9806.65, 720.0, 6.35) * 3600.0 == pytest.approx(
        5.45, rel=2e-3
    )


# Rajput 11.9, Gupta 9.6, Mathur & Sharma 11.8: with and without the lip of the nozzle, and the least air speed.
TEXTBOOK_RATIOS = [
    ("Rajput 11.9", 0.82, 0.65, 18.0, 1.2, 6500.0, 6.0, 11.35, 11.39, 8.58),
    ("Gupta 9.6", 0.82, 0.70, 22.0, 1.2, 7500.0, 4.0, 15.75, 15.78, 7.00),
    ("Mathur & Sharma 11.8", 0.85, 0.66, 20.0, 1.25, 7000.0, 5.0, 13.20, 13.223, 7.83),
]


@pytest.mark.parametrize(
    ("book", "venturi", "jet", "throat_mm", "jet_mm", "suction", "lip_mm", "plain", "with_lip", "speed"),
    TEXTBOOK_RATIOS,
)
def test_air_to_fuel_of_textbooks(
    book: str,
    venturi: float,
    jet: float,
    throat_mm: float,
    jet_mm: float,
    suction: float,
    lip_mm: float,
    plain: float,
    with_lip: float,
    speed: float,
) -> None:
    found = air_fuel_ratio(
        (throat_mm, venturi), (area_mm2(jet_mm), jet), suction, (SEA_LEVEL_PA, 1.2), (750.0, lip_mm)
    )
    assert found.root_law == pytest.approx(plain, abs=0.03), book
    # the books leave out the expansion of the air, the full equation has it
    assert found.ratio / found.expansion == pytest.approx(with_lip, abs=0.01), book
    assert lowest_air_speed_m_s(lip_mm, 1.2, 750.0) == pytest.approx(speed, abs=0.05), book


# Mathur & Sharma 11.7, Gupta 9.7, Rajput 11.11: 14, 14.7 and 14 to 1 at sea level become 10.99, 12.11 and 11.26 at
# 5000, 4000 and 4500 m, in atmospheres of their own. Only the root law is compared, by its densities.
@pytest.mark.parametrize(
    ("at_sea_level", "celsius", "lapse", "metres", "scale", "expected"),
    [(14.0, 27.0, 0.0065, 5000.0, 19_200.0, 10.99), (14.0, 25.0, 0.0064, 4500.0, 19_300.0, 11.26)],
)
def test_the_mixture_grows_richer_with_altitude(
    at_sea_level: float, celsius: float, lapse: float, metres: float, scale: float, expected: float
) -> None:
    low = 101_300.0 / (287.0 * (celsius + 273.0))
    high = 101_300.0 / 10 ** (metres / scale) / (287.0 * (celsius + 273.0 - lapse * metres))
    drawn = [air_fuel_ratio((20.0, 0.8), (1.0, 0.7), 3000.0, (60_000.0, rho)).root_law for rho in (low, high)]
    assert at_sea_level * drawn[1] / drawn[0] == pytest.approx(expected, abs=0.01)


# The ratio of two days is what these examples compute: once through the setting of an engine, with dry air.
def test_a_setting_follows_the_root_of_density() -> None:
    sea = AirOfTheDay(288.15, SEA_LEVEL_PA, 0.0)
    then = Setting(1.25, sea, Premix(PETROL, 50.0))
    # ISO 2533 at 1500 m: root of 1.225/1.05807 is 1.0760
    found = equivalence_ratio(then, then.premix, 278.40, 84_556.0, 0.0)
    assert found == pytest.approx(math.sqrt(1.22500 / 1.05807), abs=2e-4)


# Keswani, Internal Combustion Engines, 9.3: diameters of jet and venturi as 1 to 17.4 for 15 to 1.
def test_the_ratio_of_jet_to_venturi() -> None:
    found = air_fuel_ratio((17.41, 0.84), (area_mm2(1.0), 0.70), 1000.0, (SEA_LEVEL_PA, 1.28), (753.0, 0.0))
    assert found.root_law == pytest.approx(15.0, rel=2e-3)


# ISO 5167-3, expansibility of a nozzle in a large pipe, by the library fluids.
@pytest.mark.parametrize("ratio", [0.98, 0.95, 0.9, 0.8, 0.7, 0.6])
def test_the_expansion_factor_by_a_general_library(ratio: float) -> None:
    theirs = nozzle_expansibility(D=1.0, Do=1e-6, P1=1e5, P2=ratio * 1e5, k=1.4)
    assert expansion_factor(ratio) == pytest.approx(theirs, rel=1e-6)


def test_the_choked_ratio_by_a_general_library() -> None:
    assert P_critical_flow(1.0, 1.4) == pytest.approx(CHOKED_RATIO, rel=1e-12)


# Murugaperumal, Gas Dynamics and Jet Propulsion, chapter 2: 10 mm, 1.12 kg/m3, 500 m/s speed of sound: 0.02543
# kg/s at most (gas tables of four digits). The pressure is a² ρ/1.4; scaled down to the pressures of the air, the
# flow goes with the root of pressure times density.
def test_the_choked_flow_of_a_textbook() -> None:
    pascal = 500.0**2 * 1.12 / 1.4
    scale = pascal / 100_000.0
    most = venturi_flow_kg_s(10.0, 1.0, 90_000.0, 100_000.0, 1.12)
    assert most * math.sqrt(scale) == pytest.approx(0.02543, rel=2e-3)


def test_depression_and_flow_are_inverse() -> None:
    flows = np.array([0.001, 0.01, 0.02])
    fall = throat_depression_pa(flows, 18.0, 0.82, SEA_LEVEL_PA, 1.2)
    np.testing.assert_allclose(venturi_flow_kg_s(18.0, 0.82, fall, SEA_LEVEL_PA, 1.2), flows, rtol=1e-9)


# Heywood, Internal Combustion Engine Fundamentals (1988), table D.4, from memory; equation 3.6 agrees.
@pytest.mark.parametrize(
    ("name", "atoms", "published"),
    [
        ("isooctane", (8, 18, 0), 15.13),
        ("heptane", (7, 16, 0), 15.18),
        ("toluene", (7, 8, 0), 13.50),
        ("petrol", (1, 1.87, 0), 14.6),
        ("ethanol", (2, 6, 1), 9.00),
        ("methanol", (1, 4, 1), 6.47),
    ],
)
def test_air_that_fuels_want(name: str, atoms: tuple[float, float, float], published: float) -> None:
    assert from_atoms(name, atoms, 745.0).stoichiometric_air == pytest.approx(published, abs=0.03)


# Rayner Joel, Basic Engineering Thermodynamics, chapter 8, examples 8.1 and 8.2: elements by mass. The book takes
# air as 23.2 % oxygen, here it is 23.14 %.
@pytest.mark.parametrize(
    ("carbon", "hydrogen", "oxygen", "published"), [(0.72, 0.20, 0.08, 14.8), (0.84, 0.16, 0.0, 15.18)]
)
def test_air_by_the_elements_of_a_textbook(
    carbon: float, hydrogen: float, oxygen: float, published: float
) -> None:
    assert stoichiometric_air(carbon, hydrogen, oxygen) == pytest.approx(published, rel=6e-3)


# Ethanol at three temperatures, by CoolProp; 789.24 kg/m3 at 20 °C is in OIML R 22 too (from memory).
@pytest.mark.parametrize("celsius", [15.0, 20.0, 30.0])
def test_density_of_ethanol(celsius: float) -> None:
    from CoolProp.CoolProp import PropsSI  # reading it takes two seconds

    theirs = PropsSI("D", "T", celsius + 273.15, "P", SEA_LEVEL_PA, "Ethanol")
    assert ETHANOL.density_15_c_kg_m3 / (1 + 1.08e-3 * (celsius - 15)) == pytest.approx(theirs, rel=1e-3)


# Petrol swells like the liquids it is made of: heptane and octane by CoolProp, table 54B must lie near them.
def test_petrol_swells_like_its_components() -> None:
    from CoolProp.CoolProp import PropsSI

    ours = PETROL.density_kg_m3([273.15, 303.15])
    for name in ("n-Heptane", "n-Octane"):
        theirs = [PropsSI("D", "T", kelvin, "P", SEA_LEVEL_PA, name) for kelvin in (273.15, 303.15)]
        assert ours[1] / ours[0] == pytest.approx(theirs[1] / theirs[0], abs=4e-3)


# Ethanol 9.0 and petrol 14.6 to 1, weighted by mass: E10 wants about 4 % less air.
def test_ten_percent_of_ethanol_leans_by_four_percent() -> None:
    blend = with_ethanol(PETROL, 0.10, "E10")
    assert blend.stoichiometric_air / PETROL.stoichiometric_air == pytest.approx(14.01 / 14.60, abs=1e-3)


# 50 to 1 has 2 % of oil; from there to 32 to 1 takes 1.1 % of the fuel away, to 25 to 1 1.9 %. Arithmetic.
@pytest.mark.parametrize(("ratio", "less"), [(32.0, 0.011), (25.0, 0.019)])
def test_more_oil_is_less_fuel(ratio: float, less: float) -> None:
    before, after = Premix(PETROL, 50.0), Premix(PETROL, ratio)
    assert 1.0 - (1.0 - after.oil_share) / (1.0 - before.oil_share) == pytest.approx(less, abs=6e-4)


# The smallest of all straight cuts from the rim of the seat to the cone, found by search: the frustum at right
# angles must lie within half a percent of it (compare Aranovich, Machine Design, 8 April 1999).
@pytest.mark.parametrize(
    ("seat", "lift", "half_angle"), [(1.2, 0.2, 15), (1.2, 0.5, 15), (1.0, 0.3, 10), (1.5, 0.4, 30)]
)
def test_the_cone_in_its_seat_by_search(seat: float, lift: float, half_angle: float) -> None:
    tangent = math.tan(math.radians(half_angle))

    def cut(depth: float) -> float:
        """Frustum from the rim to the circle of the cone that lies `depth` beyond the plane of the seat."""
        radius = 0.5 * seat - (lift - depth) * tangent
        return math.pi * (0.5 * seat + radius) * math.hypot(0.5 * seat - radius, depth)

    least = minimize_scalar(cut, bounds=(0.0, lift), method="bounded", options={"xatol": 1e-12}).fun
    assert cone_area_mm2(lift, seat, half_angle) == pytest.approx(least, rel=5e-3)


# Trade figure (common practice, no source): an eighth of a turn at 1 1/4 is about a tenth of the lift, and so 5 to
# 10 % of the fuel of its circuit.
def test_an_eighth_of_a_turn_is_five_to_ten_percent() -> None:
    needle = Needle(1.2, 15.0, 0.5)
    step = needle.area_mm2(1.375) / needle.area_mm2(1.25) - 1.0
    assert 0.05 < step < 0.10
