"""How the flying of a year is spread over its days."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.science.planning.season import EVEN, PRIOR_SD, YEAR_DAYS, Season, learn_season

NEW_YEAR = 738_887  # 1 January 2024
SUMMERY = Season((-0.7, -0.3, -0.1, 0.05))
SEASONS = st.tuples(*[st.floats(-0.8, 0.8)] * 4).map(Season)


def test_an_even_year_counts_days() -> None:
    assert EVEN.elapsed(NEW_YEAR, [0.0, 10.0, 365.0]) == pytest.approx([0.0, 10.0, 365.0])
    assert EVEN.days_until(NEW_YEAR, 42.0) == pytest.approx(42.0)
    assert EVEN.at(NEW_YEAR) == pytest.approx(1.0)


def test_summer_is_busier_than_winter() -> None:
    assert SUMMERY.at(NEW_YEAR + 190) > 1.5 > 0.5 > SUMMERY.at(NEW_YEAR)


@given(SEASONS, st.floats(0, 400))
def test_a_year_is_a_year(season: Season, begin: float) -> None:
    assert season.elapsed(NEW_YEAR + begin, YEAR_DAYS) == pytest.approx(YEAR_DAYS)


@given(SEASONS, st.floats(0, 400), st.floats(0, 3000))
def test_days_and_season_days_are_two_readings_of_one_curve(
    season: Season, begin: float, days: float
) -> None:
    passed = season.elapsed(NEW_YEAR + begin, days)
    assert season.days_until(NEW_YEAR + begin, passed) == pytest.approx(days, abs=1e-6)


@given(SEASONS, st.integers(0, 800))
def test_it_is_never_below_nothing(season: Season, day: int) -> None:
    assert season.at(NEW_YEAR + day) > 0.0


def test_never_stays_never() -> None:
    assert np.isinf(EVEN.days_until(NEW_YEAR, np.inf))
    assert np.isinf(SUMMERY.days_until(NEW_YEAR, np.inf))


def test_two_years_of_a_fleet_tell_its_season() -> None:
    middle = NEW_YEAR - 14 * (np.arange(52) + 0.5)
    rng = np.random.default_rng(4)
    flown = rng.gamma(60.0, SUMMERY.at(middle))
    learned = learn_season(middle, flown, np.full(52, 60.0))
    assert learned.waves == pytest.approx(SUMMERY.waves, abs=0.08)
    assert learned.unsure < 0.01


def test_one_winter_does_not_tell_a_quiet_fleet_from_a_long_winter() -> None:
    middle = NEW_YEAR - 14 * (np.arange(4) + 0.5)
    learned = learn_season(middle, np.array([11.0, 9.0, 10.0, 12.0]), np.full(4, 10.5))
    assert learned.unsure > PRIOR_SD**2 / 2
    assert np.abs(learned.waves).max() < 0.5


def test_where_nothing_was_flown_nothing_is_known() -> None:
    assert learn_season([NEW_YEAR], [0.0], [0.0]) == Season(unsure=PRIOR_SD**2)
