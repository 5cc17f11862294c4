"""What an engine's own entries say of its use, and what its fleet's."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.science.planning.fleet import SUPPOSED_H_PER_DAY, Flown, learn_fleet
from tickover.science.planning.season import Season
from tickover.science.planning.usage import SMALLEST_STEP_H, Usage, gain_quantiles

TODAY = 739_000
WEEKLY = np.arange(104)
SUMMERY = Season((-0.7, -0.3))


def weekly(hours_h: float, weeks: int = 104, since: int | None = None) -> Flown:
    """An engine that runs the same hours every Sunday, today being one."""
    days = TODAY - 7 * np.arange(weeks)
    return Flown(days, np.full(weeks, hours_h), TODAY - 7 * weeks if since is None else since)


def unused(days: int) -> Flown:
    return Flown(np.array([], dtype=np.int64), np.array([]), TODAY - days)


def alone(flown: Flown) -> Usage:
    return learn_fleet([flown], TODAY).usage_of(flown)


def gamma_engines(rng: np.random.Generator, rates: np.ndarray, unevenness: float, days: int) -> list[Flown]:
    """Engines drawn from the model itself."""
    day = np.arange(TODAY - days + 1, TODAY + 1)
    return [
        Flown(day, rng.gamma(SUMMERY.at(day) / unevenness, rate * unevenness), TODAY - days) for rate in rates
    ]


def test_two_years_of_flying_speak_for_themselves() -> None:
    usage = alone(weekly(1.4))
    assert usage.mean_h_per_day == pytest.approx(0.2, rel=0.03)
    assert usage.own_weight > 0.95
    assert usage.authority == "own data"


def test_days_without_flying_count() -> None:
    then_idle = weekly(1.4, 52, since=TODAY - 364)
    idle_since = Flown(then_idle.day - 364, then_idle.hours, TODAY - 728)
    assert alone(idle_since).mean_h_per_day < 0.65 * alone(then_idle).mean_h_per_day


def test_a_new_engine_is_forecast_as_one_of_its_fleet_and_widely() -> None:
    old = [weekly(h) for h in (0.7, 1.4, 2.1, 2.8, 3.5)]
    new = unused(0)
    fleet = learn_fleet([*old, new], TODAY)
    usage, known = fleet.usage_of(new), fleet.usage_of(old[2])
    assert usage.mean_h_per_day == pytest.approx(fleet.mean_h_per_day)
    assert usage.own_weight == 0.0
    assert usage.rate_sd > 3 * known.rate_sd


def test_the_more_entries_the_less_the_fleet_counts() -> None:
    old = [weekly(h) for h in (0.7, 1.4, 2.1)]
    weights, rates = [], []
    for weeks in (2, 8, 26, 104):
        engine = weekly(7.0, weeks)
        usage = learn_fleet([*old, engine], TODAY).usage_of(engine)
        weights.append(usage.own_weight)
        rates.append(usage.rate_sd)
    assert weights == sorted(weights)
    assert rates == sorted(rates, reverse=True)


def test_an_empty_workshop_supposes_and_says_so() -> None:
    usage = alone(unused(0))
    assert usage.mean_h_per_day == pytest.approx(SUPPOSED_H_PER_DAY, rel=0.5)
    assert usage.authority == "from memory"
    assert usage.working().authority == "from memory"


def test_what_it_came_with_is_no_use() -> None:
    engine = weekly(1.4, 52)
    brought = Flown(np.append(engine.day, engine.since_day), np.append(engine.hours, 212.0), engine.since_day)
    assert alone(brought) == alone(engine)


def test_entries_after_today_are_left_aside() -> None:
    engine = weekly(1.4, 52)
    later = Flown(np.append(engine.day, TODAY + 1), np.append(engine.hours, 90.0), engine.since_day)
    assert alone(later) == alone(engine)


def test_use_as_even_as_a_clock_still_comes_in_flights() -> None:
    day = np.arange(TODAY - 729, TODAY + 1)
    usage = alone(Flown(day, np.full(730, 0.001), TODAY - 730))
    assert usage.scale_h >= SMALLEST_STEP_H


def test_a_fleet_is_learned_back_from_its_own_entries() -> None:
    rng = np.random.default_rng(20)
    rates = rng.gamma(2.0, 0.06, 60)
    engines = gamma_engines(rng, rates, unevenness=9.0, days=730)
    fleet = learn_fleet(engines, TODAY)
    learned = np.array([fleet.usage_of(e).mean_h_per_day for e in engines])
    assert fleet.season.waves[:2] == pytest.approx(SUMMERY.waves, abs=0.15)
    assert fleet.unevenness == pytest.approx(9.0, rel=0.1)
    assert fleet.mean_h_per_day == pytest.approx(rates.mean(), rel=0.1)
    assert fleet.spread2 == pytest.approx(rates.var() / rates.mean() ** 2, rel=0.35)
    assert np.corrcoef(learned, rates)[0, 1] > 0.97


def test_drawing_towards_the_fleet_brings_short_histories_nearer_the_truth() -> None:
    rng = np.random.default_rng(7)
    rates = rng.gamma(4.0, 0.03, 80)
    engines = gamma_engines(rng, rates, unevenness=9.0, days=60)
    fleet = learn_fleet(engines, TODAY)
    seen = fleet.season.elapsed(TODAY - 59, 60.0)
    own = np.array([e.hours_seen(TODAY) for e in engines]) / seen
    drawn = np.array([fleet.usage_of(e).mean_h_per_day for e in engines])
    assert np.std(drawn / drawn.mean() - rates / rates.mean()) < np.std(
        own / own.mean() - rates / rates.mean()
    )


def test_the_working_shows_rate_season_weight_and_standing() -> None:
    working = alone(weekly(1.4)).working()
    shown = {q.name for q in working.inputs}
    assert {"weight w of its own entries", "season now, 1 on average", "mean rate M of the fleet"} <= shown
    assert working.result.unit == "h/day"
    assert working.authority == "own data"


@pytest.mark.parametrize(("days", "hours"), [([TODAY], [-0.5]), ([TODAY], [np.nan]), ([TODAY], [1.0, 2.0])])
def test_bad_entries_are_refused(days: list[int], hours: list[float]) -> None:
    with pytest.raises(ValueError, match="entry"):
        Flown(np.array(days), np.array(hours), TODAY - 10)


@given(
    st.lists(st.tuples(st.integers(0, 900), st.floats(0, 12)), max_size=80),
    st.integers(-5, 900),
    st.integers(0, 900),
)
def test_learning_always_gives_a_usable_rate(
    entries: list[tuple[int, float]], since: int, other_since: int
) -> None:
    days = TODAY - np.array([entry[0] for entry in entries], dtype=np.int64)
    engine = Flown(days, np.array([entry[1] for entry in entries], dtype=np.float64), TODAY - since)
    usage = learn_fleet([engine, unused(other_since)], TODAY).usage_of(engine)
    assert 0.0 < usage.mean_h_per_day < 100.0
    assert 0.0 <= usage.own_weight <= 1.0
    assert np.all(np.isfinite(gain_quantiles(usage, [0.0, 30.0, 365.0], u_h=0.0)))
