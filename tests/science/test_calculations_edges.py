"""Edges of the sums: where a hole may hide, a venturi chokes, an interval is stretched, a working lists its masses."""

import numpy as np
import pytest

from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.engine.balance import static_balance
from tickover.science.engine.pressure_decay import leak_from_decay
from tickover.science.fasteners.tightening_sequence import tightening
from tickover.science.fuel_system.carburettor import air_fuel_ratio
from tickover.science.fuel_system.fuels import PETROL, Premix
from tickover.science.fuel_system.mixture import mixture_change
from tickover.science.fuel_system.mixture_advice import NEEDLE_UNSURE, advise
from tickover.science.fuel_system.mixture_setting import AirOfTheDay, Setting
from tickover.science.fuel_system.needle import Needle
from tickover.science.measurement.guard_bands import Normal, posterior

NEEDLE = Needle(1.6, 8.0, 0.75)


def test_no_leak_by_unsure_readings_is_no_sure_hole_of_nothing() -> None:
    unsure = leak_from_decay(
        35e3,
        35e3,
        10.0,
        5e-4,
        293.0,
        293.0,
        u_pressure_pa=250.0,
        u_temperature_k=0.0,
        u_volume_m3=0.0,
        u_time_min=0.0,
    )
    assert float(unsure.hole_m) == 0.0 and np.isnan(float(unsure.u_hole_m))
    assert "standard uncertainty of the hole" not in {q.name for q in unsure.working().inputs}
    sure = leak_from_decay(
        35e3,
        35e3,
        10.0,
        5e-4,
        293.0,
        293.0,
        u_pressure_pa=0.0,
        u_temperature_k=0.0,
        u_volume_m3=0.0,
        u_time_min=0.0,
    )
    assert float(sure.u_hole_m) == 0.0


def test_the_formula_of_a_choked_venturi_gives_the_air_that_it_shows() -> None:
    found = air_fuel_ratio((20.0, 0.8), (1.0, 0.7), 60_000.0, (101_325.0, 1.2))
    assert bool(found.choked)
    by_hand = 0.8 * np.pi / 4.0 * 0.02**2 * float(found.expansion) * np.sqrt(2.0 * 1.2 * 60_000.0)
    assert float(found.air_kg_s) == pytest.approx(by_hand, rel=1e-9)


def test_without_suction_there_is_no_mixture() -> None:
    with pytest.raises(OutOfRangeError, match=r"depression must be between 50 "):
        air_fuel_ratio((20.0, 0.8), (1.0, 0.7), 0.0, (101_325.0, 1.2), (745.0, -5.0))


def test_an_interval_of_turns_is_stretched_outwards_on_both_sides() -> None:
    air = AirOfTheDay(290.0, 101_325.0, 0.5)
    then = Setting(1.5, air, Premix(PETROL, 50.0))
    advice = advise(mixture_change(then, air, Premix(PETROL, 50.0)), NEEDLE)
    assert advice.exact_turns == pytest.approx(0.0, abs=1e-9)
    area = float(NEEDLE.area_mm2(1.5))
    change = advice.change
    plain = [
        NEEDLE.turns_for_area(area / (1.0 + p / 100.0)) - 1.5
        for p in (change.upper_percent, change.lower_percent)
    ]
    assert plain[0] < 0.0 < plain[1]
    wider = [end * (1.0 + NEEDLE_UNSURE) for end in plain]
    assert (advice.lower_turns, advice.upper_turns) == pytest.approx(tuple(wider))


def test_the_working_of_a_balance_lists_what_was_balanced() -> None:
    rotors = static_balance(
        [[4.0, 1.0], [2.5, 2.0]], [[500.0, 300.0], [400.0, 200.0]], [[0.0, 10.0], [100.0, 20.0]], 60.0
    )
    told = [(q.name, q.value, q.source) for q in rotors.working(1).inputs[:2]]
    assert told == [("mass 1", 1.0, "at 300 mm, 10°"), ("mass 2", 2.0, "at 200 mm, 20°")]


def test_two_exact_figures_cannot_be_weighed() -> None:
    with pytest.raises(ValueError, match="cannot both be without any uncertainty"):
        posterior(Normal(1.0, 0.0), 2.0, 0.0)


def test_a_row_is_counted_from_its_end() -> None:
    assert "from one end of the row" in tightening(5, 10.0, pattern="middle").working().result.name
    assert "clockwise" in tightening(5, 10.0).working().result.name
