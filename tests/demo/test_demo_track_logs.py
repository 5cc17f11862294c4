"""The invented flight says what its engine did."""

from __future__ import annotations

from datetime import datetime

import numpy as np
import pytest

from tickover.demo.tracklogs import make_igc
from tickover.formats.igc import read_igc
from tickover.science.engine_time.from_log import EngineTime, from_track

START = datetime(2025, 6, 24, 17, 5)
RUNS_MIN = [(2.0, 31.0), (44.0, 58.0)]


def flown(channel: str | None, *, seed: int = 7, interval_s: int = 4) -> EngineTime:
    log = read_igc(
        make_igc(np.random.default_rng(seed), START, RUNS_MIN, channel=channel, interval_s=interval_s)
    )
    assert not log.damaged
    return from_track(log.t_s, log.lat_deg, log.lon_deg, log.extensions)


@pytest.mark.parametrize("channel", ["ENL", "MOP", "RPM"])
@pytest.mark.parametrize("interval_s", [1, 4, 8])
def test_the_runs_are_found_again(channel: str, interval_s: int) -> None:
    found = flown(channel, interval_s=interval_s)
    assert found.starts == 2
    assert found.duration_h == pytest.approx(43 / 60, abs=2 * interval_s / 3600)
    assert not found.doubtful


@pytest.mark.parametrize("seed", range(5))
def test_any_seed_gives_a_flight_that_agrees(seed: int) -> None:
    assert flown("ENL", seed=seed).duration_h == pytest.approx(43 / 60, abs=12 / 3600)


def test_a_recorder_without_ears_gives_time_under_way() -> None:
    found = flown(None)
    assert found.method == "ground speed"
    assert found.duration_h == pytest.approx(43 / 60, abs=3 * found.u_h)


def test_the_same_seed_gives_the_same_file() -> None:
    first, second = (make_igc(np.random.default_rng(3), START, RUNS_MIN) for _ in range(2))
    assert first == second != make_igc(np.random.default_rng(4), START, RUNS_MIN)


def test_it_takes_off_climbs_and_lands() -> None:
    log = read_igc(make_igc(np.random.default_rng(3), START, RUNS_MIN))
    height_m = log.gnss_altitude_m - log.gnss_altitude_m[0]
    assert height_m.max() > 200
    assert abs(height_m[-5:]).max() < 10
    assert log.start == START.replace(tzinfo=log.start.tzinfo)
    assert log.headers["PLT"] == "Ansa Veldrik"
