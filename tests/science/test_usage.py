"""How fast an engine is used, and when it will have run so many hours."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.science.usage import (
    SMALLEST_STEP_H,
    SUPPOSED,
    Usage,
    chance_hours_bite,
    chance_reached_by,
    day_reached_quantiles,
    due_day_quantiles,
    gain_quantiles,
    learn,
)

TODAY = 739_000
CLUB_ENGINE = Usage(mean_h_per_day=0.5, variance_h2_per_day=1.0, days_seen=364)
USAGES = st.builds(
    lambda mean, scale: Usage(mean, mean * scale, days_seen=364), st.floats(0.005, 3), st.floats(0.1, 20)
)


def test_one_flight_every_seventh_day_is_its_hours_over_seven() -> None:
    days = TODAY - 7 * np.arange(60) - 3
    usage = learn(days, np.full(60, 1.4), TODAY)
    assert usage.mean_h_per_day == pytest.approx(0.2)
    assert usage.days_seen == 364
    assert usage.standing == "own data"


def test_use_as_even_as_a_clock_still_comes_in_flights() -> None:
    usage = learn(TODAY - np.arange(100), np.full(100, 0.5), TODAY)
    assert usage.scale_h == pytest.approx(SMALLEST_STEP_H)


def test_days_without_flying_count() -> None:
    busy_month = learn(TODAY - np.arange(28), np.full(28, 1.0), TODAY)
    then_idle = learn(TODAY - 28 - np.arange(28), np.full(28, 1.0), TODAY)
    assert then_idle.mean_h_per_day == pytest.approx(busy_month.mean_h_per_day / 2)
    assert then_idle.variance_h2_per_day > busy_month.variance_h2_per_day


def test_entries_before_the_window_and_after_today_are_left_aside() -> None:
    days = np.concatenate([TODAY - 7 * np.arange(60), [TODAY - 900, TODAY + 1]])
    with_strays = learn(days, np.r_[np.ones(60), 500.0, 500.0], TODAY)
    assert with_strays == learn(days[:60], np.ones(60), TODAY)


def test_the_order_of_the_entries_does_not_matter() -> None:
    rng = np.random.default_rng(3)
    days, hours = TODAY - rng.integers(0, 300, 40), rng.gamma(1.0, 1.0, 40)
    order = rng.permutation(40)
    shuffled = learn(days[order], hours[order], TODAY)
    assert shuffled.mean_h_per_day == pytest.approx(learn(days, hours, TODAY).mean_h_per_day)


@pytest.mark.parametrize("days_ago", [[], [5], [40, 80], [3, 6, 9, 12], [400, 500, 600]], ids=str)
def test_with_too_few_entries_a_rate_is_supposed_and_says_so(days_ago: list[int]) -> None:
    usage = learn(TODAY - np.array(days_ago, dtype=int), np.ones(len(days_ago)), TODAY)
    assert usage == SUPPOSED
    assert usage.standing == "from memory"
    assert usage.working().standing == "from memory"


def test_a_workshop_may_suppose_its_own_rate() -> None:
    school = Usage(1.0, 2.0, days_seen=0, standing="common practice, no source")
    assert learn([], [], TODAY, supposed=school) is school


@pytest.mark.parametrize(("days", "hours"), [([TODAY], [-0.5]), ([TODAY], [np.nan]), ([TODAY], [1.0, 2.0])])
def test_bad_entries_are_refused(days: list[int], hours: list[float]) -> None:
    with pytest.raises(ValueError, match="entry"):
        learn(days, hours, TODAY)


def test_a_rate_must_be_above_zero() -> None:
    with pytest.raises(ValueError, match="mean_h_per_day must be above 0"):
        Usage(0.0, 1.0, 10)


def test_the_fan_starts_at_nothing_and_widens() -> None:
    fan = gain_quantiles(CLUB_ENGINE, np.array([0, 30, 90, 180, 365]))
    assert fan.shape == (3, 5)
    assert np.all(fan[:, 0] == 0.0)
    assert np.all(np.diff(fan, axis=1) > 0.0)
    assert np.all(np.diff(fan[:, 1:], axis=0) > 0.0)
    assert np.all(np.diff(fan[2] - fan[0]) > 0.0)


def test_days_and_gains_are_two_readings_of_one_curve() -> None:
    days = day_reached_quantiles(CLUB_ENGINE, [10.0, 50.0, 100.0], q=[0.1, 0.5, 0.9])
    assert days.shape == (3, 3)
    # reached early with a chance of 10 %: the gain by then is that great in only 10 % of cases
    gains = gain_quantiles(CLUB_ENGINE, days[0], q=[0.9])
    assert gains[0] == pytest.approx([10.0, 50.0, 100.0], rel=1e-9)


def test_nothing_left_is_reached_already() -> None:
    assert chance_reached_by(CLUB_ENGINE, [0.0, -3.0], 0.0) == pytest.approx([1.0, 1.0])
    assert np.all(day_reached_quantiles(CLUB_ENGINE, [0.0, -3.0]) == 0.0)


def test_a_full_interval_cannot_be_used_up_in_no_time() -> None:
    assert chance_reached_by(CLUB_ENGINE, 10.0, 0.0) == pytest.approx(0.0)


def test_a_busy_engine_meets_its_hours_and_a_rare_one_its_calendar() -> None:
    assert chance_hours_bite(Usage(1.0, 1.0, 364), 100.0, 365.0).item() > 0.99
    assert chance_hours_bite(Usage(0.05, 0.05, 364), 100.0, 365.0).item() < 0.01


def test_a_calendar_limit_already_passed_has_come_first() -> None:
    assert chance_hours_bite(CLUB_ENGINE, 5.0, -10.0).item() == 0.0


def test_the_due_day_never_lies_behind_the_calendar_limit() -> None:
    days = due_day_quantiles(CLUB_ENGINE, 100.0, 180.0)
    assert days[:, 0] == pytest.approx([*day_reached_quantiles(CLUB_ENGINE, 100.0, 0.1)[0], 180.0, 180.0])


@pytest.mark.parametrize("q", [0.0, 1.0, np.nan])
def test_a_certain_quantile_is_refused(q: float) -> None:
    with pytest.raises(ValueError, match="between 0 and 1"):
        gain_quantiles(CLUB_ENGINE, 30.0, q)


def test_days_ahead_lie_ahead() -> None:
    with pytest.raises(ValueError, match="days ahead must be 0 or more"):
        chance_reached_by(CLUB_ENGINE, 10.0, -1.0)


@given(USAGES, st.floats(-10, 500), st.floats(0, 2000), st.floats(0, 500), st.floats(0, 100))
def test_the_chance_is_a_chance_and_grows_with_time_and_shrinks_with_hours_left(
    usage: Usage, hours_left: float, days_ahead: float, more_days: float, more_hours: float
) -> None:
    chance = chance_reached_by(usage, hours_left, days_ahead).item()
    assert 0.0 <= chance <= 1.0
    assert chance_reached_by(usage, hours_left, days_ahead + more_days).item() >= chance - 1e-12
    assert chance_reached_by(usage, hours_left + more_hours, days_ahead).item() <= chance + 1e-12


@given(USAGES, st.floats(0.01, 500), st.floats(0.01, 0.99))
def test_the_day_reached_gives_its_chance_back(usage: Usage, hours_left: float, q: float) -> None:
    day = day_reached_quantiles(usage, hours_left, q).item()
    assert chance_reached_by(usage, hours_left, day).item() == pytest.approx(q, abs=1e-6)


@given(st.lists(st.tuples(st.integers(0, 400), st.floats(0, 12)), max_size=80), st.integers(0, 800))
def test_learning_always_gives_a_usable_rate(entries: list[tuple[int, float]], window: int) -> None:
    days_ago, hours = [entry[0] for entry in entries], [entry[1] for entry in entries]
    usage = learn(TODAY - np.array(days_ago, dtype=int), hours, TODAY, window_days=window)
    assert usage.mean_h_per_day > 0.0
    assert usage.variance_h2_per_day > 0.0


def test_a_gamma_process_is_learned_back_from_its_own_entries() -> None:
    rng = np.random.default_rng(20)
    days = np.arange(TODAY - 3640, TODAY + 1)
    hours = rng.gamma(CLUB_ENGINE.shape_per_day, CLUB_ENGINE.scale_h, days.size)
    usage = learn(days, hours, TODAY, window_days=3640)
    assert usage.mean_h_per_day == pytest.approx(0.5, rel=0.1)
    assert usage.variance_h2_per_day == pytest.approx(1.0, rel=0.25)
