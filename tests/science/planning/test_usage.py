"""How fast an engine is used, and when it will have run so many hours."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.science.planning.season import Season
from tickover.science.planning.usage import (
    Usage,
    chance_reached_by,
    day_reached_quantiles,
    due_day,
    gain_quantiles,
)

TODAY = 739_000
CLUB_ENGINE = Usage(mean_h_per_day=0.5, variance_h2_per_day=1.0, days_seen=364, known=float("inf"))
SUMMERY = Season((-0.7, -0.3, -0.1, 0.05))
USAGES = st.builds(
    lambda mean, scale, known, season: Usage(mean, mean * scale, 364, "own data", season, TODAY, known=known),
    st.floats(0.005, 3),
    st.floats(0.1, 20),
    st.sampled_from([2.5, 5.0, 60.0, np.inf]),
    st.sampled_from([Season(), SUMMERY]),
)


def test_a_rate_must_be_above_zero() -> None:
    with pytest.raises(ValueError, match="mean_h_per_day must be above 0"):
        Usage(0.0, 1.0, 10, known=float("inf"))


def test_the_fan_starts_at_nothing_and_widens() -> None:
    fan = gain_quantiles(CLUB_ENGINE, np.array([0, 30, 90, 180, 365]), u_h=0.0)
    assert fan.shape == (3, 5)
    assert np.all(fan[:, 0] == 0.0)
    assert np.all(np.diff(fan, axis=1) > 0.0)
    assert np.all(np.diff(fan[:, 1:], axis=0) > 0.0)
    assert np.all(np.diff(fan[2] - fan[0]) > 0.0)


def test_days_and_gains_are_two_readings_of_one_curve() -> None:
    days = day_reached_quantiles(CLUB_ENGINE, [10.0, 50.0, 100.0], q=[0.1, 0.5, 0.9], u_h=0.0)
    assert days.shape == (3, 3)
    # reached early with a chance of 10 %: the gain by then is that great in only 10 % of cases
    gains = gain_quantiles(CLUB_ENGINE, days[0], q=[0.9], u_h=0.0)
    assert gains[0] == pytest.approx([10.0, 50.0, 100.0], rel=1e-9)


def test_nothing_left_is_reached_already() -> None:
    assert chance_reached_by(CLUB_ENGINE, [0.0, -3.0], 0.0, u_h=0.0) == pytest.approx([1.0, 1.0])
    assert np.all(day_reached_quantiles(CLUB_ENGINE, [0.0, -3.0], u_h=0.0) == 0.0)


def test_a_full_interval_cannot_be_used_up_in_no_time() -> None:
    assert chance_reached_by(CLUB_ENGINE, 10.0, 0.0, u_h=0.0) == pytest.approx(0.0)


def test_a_busy_engine_meets_its_hours_and_a_rare_one_its_calendar() -> None:
    assert (
        due_day(Usage(1.0, 1.0, 364, known=float("inf")), 100.0, 365.0, u_h=0.0).chance_by_hours.item() > 0.99
    )
    assert (
        due_day(Usage(0.05, 0.05, 364, known=float("inf")), 100.0, 365.0, u_h=0.0).chance_by_hours.item()
        < 0.01
    )


def test_a_calendar_limit_already_passed_has_come_first() -> None:
    assert due_day(CLUB_ENGINE, 5.0, -10.0, u_h=0.0).chance_by_hours.item() == 0.0


def test_the_due_day_never_lies_behind_the_calendar_limit() -> None:
    days = due_day(CLUB_ENGINE, 100.0, 180.0, u_h=0.0).days
    assert days[:, 0, 0] == pytest.approx(
        [*day_reached_quantiles(CLUB_ENGINE, 100.0, 0.1, u_h=0.0)[0], 180.0, 180.0]
    )


def test_a_task_without_limits_is_never_due() -> None:
    found = due_day(CLUB_ENGINE, np.inf, np.inf, u_h=0.0)
    assert np.all(np.isinf(found.days))
    assert found.chance_by_hours.item() == 0.0


def test_what_is_not_known_of_the_rate_widens_the_fan() -> None:
    unsure = replace(CLUB_ENGINE, known=10.0)
    days = np.array([30.0, 180.0, 365.0])
    low, _, high = gain_quantiles(CLUB_ENGINE, days, u_h=0.0)
    wide_low, _, wide_high = gain_quantiles(unsure, days, u_h=0.0)
    assert np.all(np.diff((wide_high - wide_low) / (high - low)) > 0.0)
    assert np.all(wide_high > high)
    assert np.all(wide_low < low)


def test_what_is_not_known_of_the_engine_time_widens_it_too() -> None:
    low, middle, high = gain_quantiles(CLUB_ENGINE, [0.0, 30.0], u_h=2.0)
    assert high[0] == pytest.approx(2.0 * 1.2816, rel=1e-4)
    assert low[0] == pytest.approx(-2.0 * 1.2816, rel=1e-4)
    assert middle == pytest.approx(gain_quantiles(CLUB_ENGINE, [0.0, 30.0], 0.5, u_h=0.0)[0])
    early, _, late = day_reached_quantiles(CLUB_ENGINE, 20.0, u_h=5.0)[:, 0]
    sure_early, _, sure_late = day_reached_quantiles(CLUB_ENGINE, 20.0, u_h=0.0)[:, 0]
    assert early < sure_early < sure_late < late


def test_hours_that_may_be_used_already_may_be_due_today() -> None:
    # one standard deviation left: 16 % are beyond it
    assert chance_reached_by(CLUB_ENGINE, 2.0, 0.0, u_h=2.0).item() == pytest.approx(0.1587, abs=1e-4)
    assert day_reached_quantiles(CLUB_ENGINE, 0.5, 0.1, u_h=2.0).item() == 0.0


def test_in_autumn_the_hours_last_longer_than_in_spring() -> None:
    spring, autumn = 738_887 + 80, 738_887 + 260
    days = [
        day_reached_quantiles(replace(CLUB_ENGINE, season=SUMMERY, today=day), 50.0, 0.5, u_h=0.0).item()
        for day in (spring, autumn)
    ]
    assert days[1] > 1.5 * days[0]


@pytest.mark.parametrize("q", [0.0, 1.0, np.nan])
def test_a_certain_quantile_is_refused(q: float) -> None:
    with pytest.raises(ValueError, match="between 0 and 1"):
        gain_quantiles(CLUB_ENGINE, 30.0, q, u_h=0.0)


def test_days_ahead_lie_ahead() -> None:
    with pytest.raises(ValueError, match="days ahead must be between 0"):
        chance_reached_by(CLUB_ENGINE, 10.0, -1.0, u_h=0.0)


@given(USAGES, st.floats(-10, 500), st.floats(0, 2000), st.floats(0, 500), st.floats(0, 100))
def test_the_chance_is_a_chance_and_grows_with_time_and_shrinks_with_hours_left(
    usage: Usage, hours_left: float, days_ahead: float, more_days: float, more_hours: float
) -> None:
    chance = chance_reached_by(usage, hours_left, days_ahead, u_h=0.0).item()
    assert 0.0 <= chance <= 1.0
    assert chance_reached_by(usage, hours_left, days_ahead + more_days, u_h=0.0).item() >= chance - 1e-12
    assert chance_reached_by(usage, hours_left + more_hours, days_ahead, u_h=0.0).item() <= chance + 1e-12


@given(USAGES, st.floats(0.01, 500), st.floats(0.01, 0.99))
def test_the_day_reached_gives_its_chance_back(usage: Usage, hours_left: float, q: float) -> None:
    day = day_reached_quantiles(usage, hours_left, q, u_h=0.0).item()
    assert chance_reached_by(usage, hours_left, day, u_h=0.0).item() == pytest.approx(q, abs=1e-6)


@given(USAGES, st.floats(1.0, 500), st.floats(0.05, 0.95), st.floats(0.5, 2.0))
def test_it_does_so_with_uncertain_engine_time(usage: Usage, hours_left: float, q: float, sd: float) -> None:
    day = day_reached_quantiles(usage, hours_left, q, u_h=sd * hours_left**0.5).item()
    chance = chance_reached_by(usage, hours_left, day, u_h=sd * hours_left**0.5).item()
    assert chance >= q - 0.01
    assert day == 0.0 or chance == pytest.approx(q, abs=0.01)
