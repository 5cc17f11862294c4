"""The air of the day: in the thrust and in the head temperature, and in nothing else."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.science.run_up.test_run_up import LIMITS, Truth
from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.run_up import (
    Noted,
    RunUpFinding,
    RunUpJudgement,
    Severity,
    baseline_of,
    judge,
    reference_figures,
    with_noted,
)
from tickover.science.run_up.air import reference_measures

STANDARD = Noted(288.15, 101_325.0, 0.0, 60.0)
COLD, HOT = Noted(263.15, 102_000.0, 0.6), Noted(308.15, 95_000.0, 0.4)


def thrust(noted: Noted) -> tuple[float, float]:
    measure = reference_measures({}, noted, u_cht_k=None)[0]
    assert measure.value is not None
    return measure.value, measure.standard_uncertainty


def cht(full_c: float, air_c: float) -> float:
    value = reference_measures({"cht-full": full_c}, Noted(air_c + 273.15), u_cht_k=None)[1].value
    assert value is not None
    return value


def test_in_standard_air_the_thrust_is_what_was_read() -> None:
    # ISO 2533: 288.15 K and 101 325 Pa have 1.225 kg/m3 of dry air, as an ideal gas; CIPM-2007 gives 4 in 10,000 more.
    assert thrust(STANDARD)[0] == pytest.approx(60.0, rel=6e-4)


def test_thrust_goes_with_the_density_of_the_air() -> None:
    # ISO 2533, table 1: at 1000 m 281.65 K, 89 874.6 Pa and 1.11164 kg/m3. 60 kgf there are 60 / 0.90746 = 66.12 kgf
    # at sea level without friction; with the share of Gagg and Farrar, 1.10197 + 0.10197 / 7.55, 66.93 kgf.
    value, u = thrust(Noted(281.65, 89_874.6, 0.0, 60.0))
    ends = 60.0 * 1.225 / 1.11164, 60.0 * (1.225 / 1.11164 + (1.225 / 1.11164 - 1.0) / 7.55)
    assert value == pytest.approx(sum(ends) / 2.0, rel=6e-4)
    # Half-way between two ends counts as a twelfth of the square (JCGM 100, 4.3.7); 1 K and 150 Pa of the air on top.
    assert u == pytest.approx(
        math.hypot(0.81 / math.sqrt(12.0), value * math.hypot(1 / 281.65, 150 / 89_874.6)), rel=0.02
    )


def test_without_a_humidity_the_middle_is_assumed_and_what_it_hides_is_in_the_uncertainty_and_said() -> None:
    blank, at_half = Noted(303.15, 101_325.0, None, 60.0), Noted(303.15, 101_325.0, 0.5, 60.0)
    dry, wet = (thrust(replace(blank, humidity=h))[0] for h in (0.0, 1.0))
    assert thrust(blank)[0] == thrust(at_half)[0] and dry < thrust(blank)[0] < wet  # the moist side flatters
    # CIPM-2007 at 30 °C: saturated air is 1.6 % thinner than dry air. Rectangular, so 1.6 % / sqrt(12) of 60 kgf.
    more = math.sqrt(thrust(blank)[1] ** 2 - thrust(replace(at_half, humidity=0.5))[1] ** 2)
    assert more == pytest.approx((wet - dry) * math.sqrt(1.0 / 12.0 - 0.1**2), rel=0.03)
    said = reference_measures({}, blank, u_cht_k=None)[0]
    assert "humidity not noted: 50 % assumed" in said.holds_for and "flatters" in said.holds_for
    low, high = (float(part.split()[-1]) for part in said.holds_for.split(" kgf in ")[:2])
    assert (low, high) == (pytest.approx(dry, rel=2e-3), pytest.approx(wet, rel=2e-3))
    assert "not noted: assumed" in [q.source for q in said.inputs]


def test_a_humidity_that_was_noted_is_not_called_assumed() -> None:
    noted = reference_measures({}, STANDARD, u_cht_k=None)[0]
    assert "assumed" not in noted.holds_for and not any("assumed" in q.source for q in noted.inputs)


def test_a_head_stands_as_much_warmer_as_the_air_does() -> None:
    # 14 CFR 23.1043 (c) and CS 22.1047 (d): the difference of the air temperatures is added.
    assert cht(190.0, 15.0) == pytest.approx(190.0)
    assert cht(190.0, -5.0) == pytest.approx(210.0)
    assert cht(215.0, 40.0) == pytest.approx(190.0)


@pytest.mark.parametrize(
    ("noted", "why"),
    [
        (Noted(), "no thrust was read"),
        (Noted(288.0, None, None, 60.0), "pressure were not both"),
        (Noted(None, 1e5, 0.5, 60.0), "not both"),
    ],
)
def test_thrust_is_not_carried_over_without_the_air(noted: Noted, why: str) -> None:
    measure = reference_measures({}, noted, u_cht_k=None)[0]
    assert measure.value is None and why in measure.why_not


def test_an_air_that_cannot_be_is_refused() -> None:
    with pytest.raises(OutOfRangeError):
        reference_measures({}, Noted(400.0, 101_325.0, 0.5, 60.0), u_cht_k=None)


def run_in(noted: Noted, thrust_kgf: float, full: float = 7900.0, seed: int = 1) -> RunUpJudgement:
    """An engine whose static rpm does not move with the weather, whose thrust and head temperature do."""
    air_k, pascal = noted.air_k or 0.0, noted.pressure_pa or 0.0
    sigma = pascal / 101_325.0 * 288.15 / air_k
    truth = Truth(full=full, cht=185.0 + air_k - 288.15)
    return with_noted(truth.run(seed), Noted(air_k, pascal, noted.humidity, thrust_kgf * sigma))


def found(run: RunUpJudgement, others: list[RunUpJudgement], id: str) -> RunUpFinding:
    own = baseline_of([other.figures for other in others])
    return next(f for f in judge(run, LIMITS, own) if f.id == id)


SUMMER = [
    run_in(HOT, 60.0, 7890.0, 2),
    run_in(Noted(303.0, 100_000.0, 0.5), 60.4, 7910.0, 3),
    run_in(STANDARD, 59.7, 7900.0, 4),
]


@pytest.mark.parametrize("id", ["thrust-reference-itself", "cht-reference-itself", "static-rpm-20-itself"])
@pytest.mark.parametrize("noted", [COLD, HOT])
def test_an_engine_in_order_is_itself_in_any_weather(noted: Noted, id: str) -> None:
    assert found(run_in(noted, 60.1), SUMMER, id).weight is Severity.GOOD


def test_a_tired_propeller_shows_in_the_thrust_and_not_in_the_speed() -> None:
    worn = run_in(COLD, 52.0)
    assert found(worn, SUMMER, "thrust-reference-itself").weight is Severity.UNLIKE_ITSELF
    assert "propeller" in found(worn, SUMMER, "thrust-reference-itself").do
    assert found(worn, SUMMER, "static-rpm-20-itself").weight is Severity.GOOD


def test_where_the_air_was_not_noted_the_head_is_compared_as_read_and_that_is_said() -> None:
    bare = with_noted(Truth().run(9), Noted())
    finding = found(bare, SUMMER, "cht-full-itself")
    assert "Not corrected for air temperature" in finding.sure


def test_figures_of_earlier_runs_are_carried_the_same_way() -> None:
    run = Truth().run()
    assert reference_figures(run.figures, COLD) == with_noted(run, COLD).figures


@settings(deadline=None)
@given(st.floats(243.15, 323.15), st.floats(60_000.0, 108_000.0), st.floats(0.0, 1.0), st.floats(1.0, 120.0))
def test_carried_thrust_lies_between_the_two_ends(
    air_k: float, pascal: float, humidity: float, kgf: float
) -> None:
    measure = reference_measures({}, Noted(air_k, pascal, humidity, kgf), u_cht_k=None)[0]
    ends = sorted(q.value for q in measure.inputs if "friction" in q.name)
    assert measure.value is not None and ends[0] <= measure.value <= ends[1]
    assert measure.working().source


@pytest.mark.parametrize("air_k", [15.0, math.nan, math.inf, 400.0])
def test_an_air_that_cannot_be_is_refused_without_a_thrust_too(air_k: float) -> None:
    with pytest.raises(OutOfRangeError, match="air temperature must be between"):
        reference_measures({"cht-full": 190.0}, Noted(air_k), u_cht_k=None)
