"""A technician's own readings turn an illustrative metering system into a calibrated one."""

from dataclasses import replace

import numpy as np
import pytest

from tickover.science.core.input_checks import InsufficientDataError, OutOfRangeError
from tickover.science.fuel_system.metering.fit import Calibrated, calibrated
from tickover.science.fuel_system.metering.flow import POINTS, flow
from tickover.science.fuel_system.metering.lever_balance import ILLUSTRATIVE, pop_off
from tickover.science.fuel_system.metering.readings import MeteringReading

FULL = POINTS[2]
TRUE = replace(ILLUSTRATIVE, spring_n=0.13, open_area_ratio=1.3, travel_mm=0.75)
TRUE_JET = 1.1
UNKNOWN = ("spring_n", "open_area_ratio", "jet", "travel_mm")
LEVERS_MM = (-0.5, -0.3, 0.0, 0.2)


def fuel_truly(height_mm: float) -> float:
    larger = replace(FULL, jet_mm2=FULL.jet_mm2 * TRUE_JET)
    return float(flow(TRUE, larger, height_mm).fuel_l_h)


def readings(rng: np.random.Generator | None = None, worse: float = 1.0) -> list[MeteringReading]:
    """Three pops, two reseats, fuel at four levers, each off by its own uncertainty."""
    pops = pop_off(TRUE)
    true = [("pop-off", float(pops.pop_off_pa), 2_500.0, 0.0)] * 3
    true += [("reseat", float(pops.reseat_pa), 2_500.0, 0.0)] * 2
    true += [("fuel", fuel_truly(height), 0.15, height) for height in LEVERS_MM]
    off = np.zeros(len(true)) if rng is None else rng.normal(0.0, worse, len(true))
    return [
        MeteringReading(kind, value + error * unsure, unsure, height, point=FULL if kind == "fuel" else None)
        for (kind, value, unsure, height), error in zip(true, off, strict=True)
    ]


def test_perfect_readings_give_the_true_figures() -> None:
    found = calibrated(ILLUSTRATIVE, readings(), UNKNOWN)
    np.testing.assert_allclose(found.values, [0.13, 1.3, TRUE_JET, 0.75], rtol=1e-4)
    assert found.jet == pytest.approx(TRUE_JET, rel=1e-4)
    assert found.spare_readings == 5
    assert found.authority == "calibrated: own readings"


def test_the_uncertainties_cover_the_truth_as_often_as_they_say() -> None:
    rng = np.random.default_rng(5)
    truth = np.array([0.13, 1.3, TRUE_JET, 0.75])
    found = [calibrated(ILLUSTRATIVE, readings(rng), UNKNOWN) for _ in range(25)]
    covered = [np.abs(fit.values - truth) <= 2.0 * fit.standard_uncertainties for fit in found]
    assert np.mean(covered) > 0.88


def test_readings_that_scatter_more_than_they_say_widen_the_uncertainty() -> None:
    tidy = calibrated(ILLUSTRATIVE, readings(), UNKNOWN)
    wild = calibrated(ILLUSTRATIVE, readings(np.random.default_rng(1), worse=4.0), UNKNOWN)
    assert np.all(wild.standard_uncertainties > 1.5 * tidy.standard_uncertainties)


def test_fuel_between_the_levers_that_were_read() -> None:
    found = calibrated(ILLUSTRATIVE, readings(), UNKNOWN)
    litres, unsure = found.fuel_l_h(FULL, -0.4)
    assert litres == pytest.approx(fuel_truly(-0.4), rel=1e-3)
    assert 0.0 < unsure < 0.5
    assert found.heights_known_mm == (-0.5, 0.2)
    with pytest.raises(OutOfRangeError, match="illustrative"):
        found.fuel_l_h(FULL, 0.5)


def test_one_lever_height_says_nothing_of_another() -> None:
    found = calibrated(ILLUSTRATIVE, readings()[:7])
    with_one: Calibrated = calibrated(ILLUSTRATIVE, [*readings()[:5], readings()[7]])
    assert found.heights_known_mm == (-0.5, -0.3)
    with pytest.raises(InsufficientDataError, match="second height"):
        with_one.fuel_l_h(FULL, 0.0)


def test_a_spring_reading_is_the_pop_off_times_the_seat() -> None:
    found = calibrated(ILLUSTRATIVE, readings()[:1], ("spring_n",))
    assert found.values[0] == pytest.approx(0.13, rel=1e-6)
    # one reading of 2 %: so sure is the spring
    assert found.standard_uncertainties[0] / 0.13 == pytest.approx(
        2_500.0 / pop_off(TRUE).pop_off_pa, rel=1e-3
    )
    assert found.spare_readings == 0


def test_the_working_tells_figures_and_the_worst_reading() -> None:
    working = calibrated(ILLUSTRATIVE, readings(), UNKNOWN, by="bench, June").working()
    assert working.authority == "calibrated: bench, June"
    assert any("±" in str(quantity.value) and quantity.unit == "N" for quantity in working.inputs)
    assert float(working.result.value) < 0.01


@pytest.mark.parametrize(
    ("some", "unknown", "told"),
    [
        (readings()[:2], UNKNOWN, "2 readings are too few for 4 unknowns"),
        (readings()[:5], ("spring_n", "jet"), "say nothing about jet"),
        (readings()[:5], ("spring_n", "seat_mm"), "cannot separate"),
        ([], (), "0 readings"),
    ],
)
def test_readings_that_do_not_answer_are_refused(
    some: list[MeteringReading], unknown: tuple[str, ...], told: str
) -> None:
    with pytest.raises(InsufficientDataError, match=told):
        calibrated(ILLUSTRATIVE, some, unknown)


def test_an_unknown_that_there_is_not_is_refused() -> None:
    with pytest.raises(OutOfRangeError, match="unknown must be one of"):
        calibrated(ILLUSTRATIVE, readings(), ("colour",))


@pytest.mark.parametrize(
    ("values", "told"),
    [
        (("pop-off", 1.0, 0.05), "bar"),
        (("pop-off", -1e5, 5e3), "pop-off"),
        (("pop-off", 1e5, 0.0), "cannot be weighed"),
        (("pop-off", np.nan, 5e3), "missing"),
        (("pop-off", "1e5", 5e3), "must be a number"),
        (("leak", 1e5, 5e3), "kind of reading"),
        (("pop-off", 1e5, 5e3, 16.0), "against the nominal height"),
        (("pop-off", 1e5, 5e3, 0.0, "dry"), "method"),
        (("fuel", 9.0, 0.2), "throttle opening"),
        (("fuel", 900.0, 0.2, 0.0, "cover off", FULL), "fuel"),
    ],
)
def test_wrong_readings_are_refused_in_words(values: tuple[object, ...], told: str) -> None:
    with pytest.raises(OutOfRangeError, match=told):
        MeteringReading(*values)  # type: ignore[arg-type]
