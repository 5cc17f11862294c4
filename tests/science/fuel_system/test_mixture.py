"""A setting made on another day: how far off it is now, and what may be done about it."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.fuel_system.carburettor import air_fuel_ratio, jet_flow_kg_s, lowest_air_speed_m_s
from tickover.science.fuel_system.fuels import (
    ALKYLATE,
    E5,
    E10,
    FUELS,
    PETROL,
    Fuel,
    Premix,
    stoichiometric_air,
    with_ethanol,
)
from tickover.science.fuel_system.mixture import MixtureChange, equivalence_ratio, mixture_change
from tickover.science.fuel_system.mixture_advice import STEP_TURNS, NeedleAdvice, advise
from tickover.science.fuel_system.mixture_setting import AirOfTheDay, Setting, Venturi
from tickover.science.fuel_system.needle import Needle, cone_area_mm2
from tickover.science.fuel_system.venturi import expansion_factor, throat_depression_pa, venturi_flow_kg_s

MIX = Premix(PETROL, 50.0)
NEEDLE = Needle(seat_mm=1.2, half_angle_deg=15.0, pitch_mm=0.5)
VENTURI, JET, AIR = (20.0, 0.85), (1.0, 0.7), (101_325.0, 1.2)


def day(celsius: float, hectopascal: float = 1013.25, humidity: float = 0.0) -> AirOfTheDay:
    return AirOfTheDay(celsius + 273.15, hectopascal * 100.0, humidity)


SUMMER = Setting(1.25, day(15.0), MIX)


def changed(air: AirOfTheDay, premix: Premix = MIX) -> MixtureChange:
    return mixture_change(SUMMER, air, premix)


def advised(air: AirOfTheDay, premix: Premix = MIX) -> NeedleAdvice:
    return advise(changed(air, premix), NEEDLE)


# Common practice with the root law of the elementary carburettor (compare Heywood 1988, 7.3): against 15 °C at sea
# level 0 °C is 2.7 % leaner, 30 °C 2.5 % richer, 1500 m of a standard day 7 to 8 % richer.
@pytest.mark.parametrize(
    ("air", "percent", "within"), [(day(0), -2.7, 0.1), (day(30), 2.5, 0.1), (day(5.25, 845.56), 7.6, 0.1)]
)
def test_cold_leans_and_heat_and_height_enrich(air: AirOfTheDay, percent: float, within: float) -> None:
    found = changed(air)
    assert found.percent == pytest.approx(percent, abs=within)
    assert found.full_percent == pytest.approx(percent, abs=0.3)
    assert found.lower_percent < found.percent < found.upper_percent


# Common practice: 30 °C saturated against dry is about 3.5 % richer.
def test_moisture_enriches() -> None:
    wet, dry = changed(day(30, humidity=1.0)), changed(day(30))
    assert wet.percent - dry.percent == pytest.approx(3.6, abs=0.4)


def test_ethanol_leans_by_about_four_percent_and_oil_by_one() -> None:
    assert changed(day(15), Premix(E10, 50.0)).tank_percent == pytest.approx(-3.8, abs=0.3)
    assert changed(day(15), Premix(PETROL, 32.0)).tank_percent == pytest.approx(-1.1, abs=0.15)
    assert changed(day(15), Premix(ALKYLATE, 50.0)).air_percent == pytest.approx(0.0, abs=1e-9)


def test_the_parts_make_up_the_whole() -> None:
    found = changed(day(-5), Premix(E5, 32.0))
    assert (1 + found.air_percent / 100) * (1 + found.tank_percent / 100) == pytest.approx(found.ratio)
    working = found.working()
    assert working.result.value == found.percent
    assert "ρ0" in working.formula


def test_unsure_readings_widen_the_interval() -> None:
    sure, unsure = changed(day(0)), changed(replace(day(0), u_temperature_k=5.0))
    assert unsure.upper_percent - unsure.lower_percent > sure.upper_percent - sure.lower_percent


def test_another_fuel_is_less_sure_than_the_same() -> None:
    same, other = changed(day(15)), changed(day(15), Premix(replace(PETROL, name="another"), 50.0))
    assert other.upper_percent > same.upper_percent


def test_a_flight_is_one_call() -> None:
    pressures = np.linspace(100_000.0, 70_000.0, 50)
    ratios = equivalence_ratio(SUMMER, MIX, 278.15, pressures, 0.5)
    assert ratios.shape == (50,)
    assert np.all(np.diff(ratios) > 0.0)


def test_a_leaned_engine_is_opened_up_to_the_next_eighth() -> None:
    advice = advised(day(0))
    assert 0.0 < advice.exact_turns <= advice.step_turns == 0.125
    assert advice.lower_turns <= advice.exact_turns <= advice.upper_turns
    assert advice.turns == 1.375
    assert advice.run_up_required
    assert "Open the needle 1/8 turn" in advice.words and "leaner" in advice.words


def test_a_little_rich_is_left_alone() -> None:
    advice = advised(day(30))
    assert advice.step_turns == 0.0
    assert not advice.run_up_required
    assert "Leave the needle" in advice.words


def test_a_hair_lean_is_left_to_the_run_up() -> None:
    assert "the run-up decides" in advised(day(14.5)).words


def test_leaning_is_never_advised_without_a_run_up() -> None:
    high = AirOfTheDay(313.15, 75_000.0, 0.9)
    advice = advised(high)
    assert advice.step_turns < 0.0
    assert advice.run_up_required
    assert "Do not close the needle on this sum" in advice.words and "run-up" in advice.words
    assert advice.exact_turns <= advice.step_turns
    assert advice.working().result.value == advice.step_turns


@settings(max_examples=60, deadline=None)
@given(
    st.floats(-15.0, 40.0),
    st.floats(750.0, 1040.0),
    st.floats(0.0, 1.0),
    st.sampled_from(sorted(FUELS)),
    st.sampled_from([25.0, 32.0, 50.0]),
)
def test_every_step_ends_on_the_rich_side(
    celsius: float, hectopascal: float, humidity: float, fuel: str, ratio: float
) -> None:
    change = changed(day(celsius, hectopascal, humidity), Premix(FUELS[fuel], ratio))
    advice = advise(change, NEEDLE)
    assert advice.step_turns / STEP_TURNS == round(advice.step_turns / STEP_TURNS)
    assert advice.lower_turns <= advice.exact_turns <= advice.upper_turns
    after = change.ratio * NEEDLE.area_mm2(advice.turns) / NEEDLE.area_mm2(1.25)
    assert after >= 1.0 - 0.005
    assert advice.run_up_required == (advice.step_turns != 0.0)
    if advice.step_turns < 0.0:
        assert "Do not close" in advice.words


@settings(max_examples=40, deadline=None)
@given(st.floats(-15.0, 35.0), st.floats(0.5, 5.0))
def test_colder_air_is_always_leaner(celsius: float, colder: float) -> None:
    assert changed(day(celsius)).percent > changed(day(celsius - colder)).percent


def test_what_is_too_far_from_the_setting_is_refused() -> None:
    frost = Setting(1.25, day(-20, 1050.0), MIX)
    with pytest.raises(OutOfRangeError, match="make a new setting there"):
        mixture_change(frost, day(40, 650.0), MIX)


def test_no_step_beyond_what_is_known_of_the_needle() -> None:
    known = replace(NEEDLE, turns_known=(0.75, 1.30))
    with pytest.raises(OutOfRangeError, match="look for another cause"):
        advise(changed(day(0)), known)
    with pytest.raises(OutOfRangeError, match="something else is wrong"):
        advise(changed(day(-15, 1040.0), Premix(E10, 25.0)), known)
    with pytest.raises(OutOfRangeError, match="figures of this needle"):
        advise(changed(day(0)), replace(NEEDLE, turns_known=(1.5, 2.5)))


def test_a_needle_opens_until_its_seat_is_all_that_is_left() -> None:
    turns = np.linspace(0.0, 8.0, 200)
    areas = NEEDLE.needle_area_mm2(turns)
    assert np.all(np.diff(areas) >= 0.0)
    assert areas[-1] == pytest.approx(0.25 * np.pi * 1.2**2)
    assert NEEDLE.needle_area_mm2(NEEDLE.full_at_turns * 0.999) < areas[-1]
    assert NEEDLE.needle_area_mm2(NEEDLE.full_at_turns) == pytest.approx(areas[-1])


def test_a_fixed_jet_beside_it_makes_the_needle_count_for_less() -> None:
    beside = replace(NEEDLE, fixed_jet_mm=0.6)
    plain = NEEDLE.area_mm2(1.375) / NEEDLE.area_mm2(1.25)
    assert 1.0 < beside.area_mm2(1.375) / beside.area_mm2(1.25) < plain
    assert beside.turns_for_area(float(beside.area_mm2(1.1))) == pytest.approx(1.1)
    assert beside.working(1.25).result.value == pytest.approx(float(beside.area_mm2(1.25)))


def test_a_needle_that_is_fully_open_cannot_be_turned_to_anything() -> None:
    blunt = Needle(1.0, 45.0, 1.5, turns_known=(1.0, 2.0))
    with pytest.raises(OutOfRangeError, match="turning it changes nothing"):
        blunt.turns_for_area(0.7)


def test_a_choked_venturi_is_told() -> None:
    found = air_fuel_ratio(VENTURI, JET, [3_000.0, 60_000.0], AIR)
    assert found.choked.tolist() == [False, True]
    assert "choked" in found.working(1).validity and "choked" not in found.working(0).validity
    more = venturi_flow_kg_s(*VENTURI, [60_000.0, 80_000.0], *AIR)
    assert more[0] == more[1]


def test_the_full_equation_stands_beside_the_root_law() -> None:
    found = air_fuel_ratio(VENTURI, JET, 4_000.0, AIR, (745.0, 5.0))
    assert found.ratio == pytest.approx(float(found.air_kg_s / found.fuel_kg_s))
    assert found.ratio < found.root_law
    with pytest.raises(OutOfRangeError, match="no fuel flows"):
        air_fuel_ratio(VENTURI, JET, 60.0, AIR, (745.0, 10.0))


def test_fuels_and_premix_show_their_working() -> None:
    assert PETROL.working().result.value == pytest.approx(14.6, abs=0.01)
    assert MIX.working().result.value == pytest.approx(50 / 51)
    assert Premix(PETROL, np.inf).fuel_share() == 1.0
    assert E5.stoichiometric_air > E10.stoichiometric_air


BAD: list[tuple[Callable[..., object], tuple[object, ...], str]] = [
    (AirOfTheDay, (15.0, 101_325.0, 0.5), "degrees Celsius"),
    (AirOfTheDay, (288.15, 1013.25, 0.5), "hectopascals"),
    (AirOfTheDay, (288.15, 101_325.0, 50.0), "percent"),
    (AirOfTheDay, (288.15, 101_325.0, 0.5, -1.0), "uncertainty of the temperature"),
    (AirOfTheDay, (np.nan, 101_325.0, 0.5), "missing"),
    (Setting, (-1.0, day(15), MIX), "turns out"),
    (Setting, ("1 1/4", day(15), MIX), "must be a number"),
    (Venturi, (0.02,), "throat diameter"),
    (Venturi, (20.0, 0.85, -5.0), "depression"),
    (Premix, (PETROL, 2.0), "fifty of fuel"),
    (Premix, (PETROL, -50.0), "fuel to oil"),
    (Premix, (PETROL, 50.0, 0.87), "kilograms a litre"),
    (Fuel, ("half", 0.4, 0.1, 0.0, 745.0), "the whole of it"),
    (Fuel, ("light", 0.86, 0.14, 0.0, 0.745), "kilograms a litre"),
    (stoichiometric_air, (86.0, 14.0, 0.0), "percent"),
    (stoichiometric_air, (0.1, 0.0, 0.9), "wants no air"),
    (with_ethanol, (PETROL, 10.0, "E10"), "percent"),
    (with_ethanol, (E5, 0.05, "E10"), "in it already"),
    (PETROL.density_kg_m3, (15.0,), "degrees Celsius"),
    (MIX.strength, ([],), "empty"),
    (Needle, (1.2, 90.0, 0.5), "half of the angle"),
    (Needle, (0.0012, 15.0, 0.5), "seat diameter"),
    (Needle, (1.2, 15.0, 0.5, 0.0, (2.0, 1.0)), "must rise"),
    (NEEDLE.area_mm2, (9.0,), "do not hold there"),
    (NEEDLE.turns_for_area, (50.0,), "something else is wrong"),
    (cone_area_mm2, (-0.1, 1.2, 15.0), "needle lift"),
    (cone_area_mm2, (np.nan, 1.2, 15.0), "missing"),
    (expansion_factor, (1.2,), "upstream"),
    (venturi_flow_kg_s, (20.0, 0.85, 4_000.0, 1013.0, 1.2), "hectopascals"),
    (venturi_flow_kg_s, (20.0, 0.85, 105_000.0, 101_325.0, 1.2), "less than the pressure"),
    (venturi_flow_kg_s, (20.0, 1.2, 4_000.0, 101_325.0, 1.2), "discharge"),
    (venturi_flow_kg_s, (20.0, 0.85, 4_000.0, 101_325.0, "1.2"), "must be a number"),
    (throat_depression_pa, (0.5, 20.0, 0.85, 101_325.0, 1.2), "choked throat"),
    (throat_depression_pa, (-0.01, 20.0, 0.85, 101_325.0, 1.2), "air flow"),
    (jet_flow_kg_s, (1.0, 0.7, -4_000.0, 745.0), "depression"),
    (jet_flow_kg_s, (1.0, 0.7, 4_000.0, 0.745), "kilograms a litre"),
    (jet_flow_kg_s, ([], 0.7, 4_000.0, 745.0), "empty"),
    (lowest_air_speed_m_s, (np.inf, 1.2, 745.0), "missing"),
    (equivalence_ratio, (SUMMER, MIX, 20.0, 95_000.0, 0.5), "degrees Celsius"),
    (equivalence_ratio, (SUMMER, MIX, 293.15, 950.0, 0.5), "hectopascals"),
    (equivalence_ratio, (SUMMER, MIX, 293.15, 95_000.0, 40.0), "percent"),
    (equivalence_ratio, (SUMMER, MIX, 293.15, [], 0.5), "empty"),
]


@pytest.mark.parametrize(("function", "given_values", "told"), BAD)
def test_wrong_inputs_are_refused_in_words(
    function: Callable[..., object], given_values: tuple[object, ...], told: str
) -> None:
    with pytest.raises(OutOfRangeError, match=told):
        function(*given_values)
