"""Propeller, its balance and its drive."""

import numpy as np
import pytest

from tickover.science.atmosphere.static_correction import static_in_other_air
from tickover.science.core.input_checks import InsufficientDataError
from tickover.science.engine.balance import (
    mass_at_radius_g,
    permissible_unbalance,
    rotating_force_n,
    split_between_g,
    static_balance,
)
from tickover.science.engine.drive import (
    belt_frequency_hz,
    belt_tension_n,
    belt_tone,
    gear_ratio,
    line_table,
    lines_hz,
    propeller_rpm,
    tension_error_share,
)
from tickover.science.engine.propeller import (
    figure_of_merit,
    ideal_thrust_n,
    power_coefficient,
    power_w,
    static_run,
    thrust_coefficient,
    thrust_n,
)
from tickover.science.engine.tip_speed import tip_mach, tip_speed_m_s
from tickover.science.engine.trial_runs import trial_runs


def test_seventeen_kilowatts_give_seventy_kilograms() -> None:
    run = static_run(17_500.0, 1.25)
    assert float(run.thrust_kgf) == pytest.approx(70.0, abs=1.0)
    assert float(figure_of_merit(run.thrust_n, 17_500.0, 1.25)) == pytest.approx(0.6)
    assert run.working().result.unit == "kgf"


def test_coefficients_go_both_ways() -> None:
    speeds = np.array([2_400.0, 2_700.0])
    assert power_coefficient(power_w(0.05, 1.2, speeds, 1.25), 1.2, speeds, 1.25) == pytest.approx(0.05)
    assert thrust_coefficient(thrust_n(0.11, 1.2, speeds, 1.25), 1.2, speeds, 1.25) == pytest.approx(0.11)


def test_two_and_a_half_percent_of_rpm_are_seven_of_power() -> None:
    assert float(power_w(0.05, 1.2, 2_632.5, 1.25) / power_w(0.05, 1.2, 2_700.0, 1.25)) == pytest.approx(
        0.927, abs=1e-3
    )


def test_no_propeller_beats_momentum() -> None:
    assert float(figure_of_merit(ideal_thrust_n(15e3, 1.25), 15e3, 1.25)) == pytest.approx(1.0)


def test_static_rpm_hardly_knows_the_weather_and_thrust_does() -> None:
    now = static_in_other_air(8_000.0, 600.0, 1.225, 1.058)
    assert float(now.rpm) == 8_000.0
    assert float(now.rpm_friction) == pytest.approx(8_000.0, rel=0.011)
    assert float(now.thrust_n) == pytest.approx(600.0 * 1.058 / 1.225)
    assert float(now.thrust_friction_n) < float(now.thrust_n)
    assert now.working().result.value == pytest.approx(518.2, abs=0.1)


def test_the_same_air_changes_nothing() -> None:
    now = static_in_other_air(8_000.0, 600.0, [1.225, 1.1], [1.225, 1.1])
    assert now.rpm_friction == pytest.approx(8_000.0)
    assert now.thrust_friction_n == pytest.approx(600.0)


def test_tips_go_faster_in_flight() -> None:
    assert float(tip_speed_m_s(2_700.0, 1.25, 20.0)) > float(tip_speed_m_s(2_700.0, 1.25))
    assert float(tip_mach(2_700.0, 1.25, 263.15)) > float(tip_mach(2_700.0, 1.25, 303.15))


def test_a_gram_at_the_tip_pulls_like_five_kilograms() -> None:
    # One gram at 0.6 m and 2700 rpm: 48 N, worked by hand, m r ω².
    assert float(rotating_force_n(600.0, 2_700.0)) == pytest.approx(48.0, abs=0.1)


def test_what_a_grade_allows_is_less_than_a_shop_balancer_tells() -> None:
    allowed = permissible_unbalance(6.3, 0.7, 2_700.0)
    assert float(allowed.unbalance_gmm) == pytest.approx(15.6, abs=0.1)
    assert allowed.working().result.value == pytest.approx(15.6, abs=0.1)
    assert float(mass_at_radius_g(60.0, 400.0)) == pytest.approx(0.15)


def test_a_heavy_blade_is_balanced_on_the_other() -> None:
    found = static_balance(2.0, 500.0, 10.0, 400.0)
    assert (float(found.correction_g), float(found.correction_deg)) == pytest.approx((2.5, 190.0))
    assert found.working().result.value == pytest.approx(2.5)


def test_many_rotors_are_balanced_at_once() -> None:
    masses = np.array([[2.0, 3.0], [1.0, 3.0]])
    found = static_balance(masses, 500.0, np.array([[0.0], [180.0]]), 500.0)
    assert found.correction_g == pytest.approx([1.0, 0.0])


def test_a_mass_is_shared_between_two_bolts() -> None:
    shares = split_between_g(10.0, 40.0, 0.0, 60.0)
    moment = sum(share * np.exp(1j * np.radians(at)) for share, at in zip(shares, (0.0, 60.0), strict=True))
    assert (abs(moment), np.degrees(np.angle(moment))) == pytest.approx((10.0, 40.0))


def vibration(mass: complex) -> complex:
    """An invented rotor: what it shows with a mass."""
    return 5.0 * np.exp(0.5j) + 0.3 * np.exp(-1.1j) * mass


def test_one_trial_run_finds_the_mass_that_leaves_nothing() -> None:
    masses = np.array([0.0, 8.0])
    seen = vibration(masses)
    found = trial_runs(np.abs(seen), np.degrees(np.angle(seen)), masses, 0.0, standard_uncertainty=0.0)
    assert abs(vibration(found.correction_g * np.exp(1j * np.radians(found.correction_deg)))) < 1e-12
    assert float(found.left(found.correction_g, found.correction_deg)) < 1e-12
    assert float(found.left(0.0, 0.0)) == pytest.approx(5.0)
    assert found.working().result.value == pytest.approx(5.0 / 0.3)


def test_more_runs_tell_how_far_the_proportion_holds() -> None:
    masses, places = np.array([0.0, 8.0, 8.0, 12.0]), np.array([0.0, 0.0, 120.0, 250.0])
    seen = vibration(masses * np.exp(1j * np.radians(places))) + np.array([0.0, 0.2, -0.1, 0.1j])
    found = trial_runs(np.abs(seen), np.degrees(np.angle(seen)), masses, places, standard_uncertainty=0.1)
    assert 0.01 < float(found.misfit) < 0.2
    assert float(found.correction_g) == pytest.approx(5.0 / 0.3, rel=0.05)


def test_the_uncertainty_is_what_many_trials_scatter() -> None:
    rng = np.random.default_rng(3)
    masses, places = np.array([[0.0], [8.0], [8.0]]), np.array([[0.0], [0.0], [120.0]])
    clean = vibration(masses * np.exp(1j * np.radians(places)))
    noise = rng.normal(0.0, 0.05, (2, 3, 40_000))
    seen = clean + noise[0] + 1j * noise[1]
    found = trial_runs(np.abs(seen), np.degrees(np.angle(seen)), masses, places, standard_uncertainty=0.05)
    mass = found.correction_g * np.exp(1j * np.radians(found.correction_deg))
    assert float(np.std(mass.real)) == pytest.approx(float(np.median(found.u_correction_g)), rel=0.03)
    across = np.degrees(np.std(np.angle(mass * np.conj(mass.mean()))))
    assert across == pytest.approx(float(np.median(found.u_correction_deg)), rel=0.05)


@pytest.mark.parametrize(
    ("amplitude", "mass", "said"),
    [
        ([5.0], [0.0], "a trial run with another mass is missing"),
        ([5.0, 5.0], [4.0, 4.0], "a trial run with another mass is missing"),
        ([5.0, 5.0], [0.0, 4.0], "the trial mass changed nothing"),
    ],
)
def test_runs_that_say_nothing_are_refused(amplitude: list[float], mass: list[float], said: str) -> None:
    with pytest.raises(InsufficientDataError, match=said):
        trial_runs(amplitude, 30.0, mass, 0.0, standard_uncertainty=0.0)


def test_belt_tension_by_its_tone_both_ways() -> None:
    # Span 0.13 m, 0.082 kg/m, 500 N: 300 Hz, worked by hand.
    assert float(belt_frequency_hz(0.13, 0.082, 500.0)) == pytest.approx(300.0, abs=0.5)
    assert float(belt_tension_n(0.13, 0.082, belt_frequency_hz(0.13, 0.082, 480.0))) == pytest.approx(480.0)


def test_three_percent_of_tone_are_six_of_tension() -> None:
    assert tension_error_share([0.03, -0.03]) == pytest.approx([0.0609, -0.0591])
    tone = belt_tone(0.13, 0.082, 300.0, u_frequency_hz=9.0)
    assert float(tone.u_tension_n / tone.tension_n) == pytest.approx(0.06)
    assert tone.working().result.unit == "N"


def test_lines_of_an_engine_and_its_propeller() -> None:
    ratio = gear_ratio(20, 50)
    assert float(propeller_rpm(6_000.0, ratio)) == pytest.approx(2_400.0)
    lines = {name: float(hz) for name, hz in lines_hz(6_000.0, ratio, 2, 20).items()}
    assert lines == {
        "half rate": 50.0, "crank": 100.0, "firing": 100.0, "propeller": 40.0, "blade pass": 80.0, "gear mesh": 2_000.0,
    }  # fmt: skip
    assert "gear mesh" not in lines_hz(6_000.0, 2.5, 2)
    assert lines_hz([6_000.0, 3_000.0], 2.5, 2)["crank"] == pytest.approx([100.0, 50.0])


def test_lines_that_cannot_be_told_apart_are_one() -> None:
    table = line_table(6_000.0, 2.5, 2, 20, orders=3, highest_hz=200.0)
    by_hz = {line.hz: line.names for line in table}
    assert by_hz[100.0] == ("2 × half rate", "crank", "firing")
    assert by_hz[80.0] == ("2 × propeller", "blade pass")
    assert list(by_hz) == sorted(by_hz)
    assert max(by_hz) <= 200.0
