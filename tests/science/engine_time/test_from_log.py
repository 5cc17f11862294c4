"""Engine time from what a flight log hears."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from tickover.science.engine_time.channels import NOISE, clock
from tickover.science.engine_time.from_log import EngineTime, from_ground_speed, from_noise, from_track

Floats = NDArray[np.float64]
QUIET, IDLE, FULL = 100.0, 450.0, 850.0


def heard(*parts: tuple[float, float], step_s: float = 1.0) -> tuple[Floats, Floats]:
    """A channel as (level, seconds) one after the other, sampled every `step_s`."""
    level = np.concatenate([np.full(round(length_s / step_s), value) for value, length_s in parts])
    return np.arange(level.size) * step_s, level


def engine_time(*parts: tuple[float, float], step_s: float = 1.0) -> EngineTime:
    return from_noise(*heard(*parts, step_s=step_s))


def still(t_s: Floats) -> tuple[Floats, Floats]:
    return np.full(t_s.size, 50.0), np.full(t_s.size, 10.0)


def test_a_run_lasts_from_edge_to_edge() -> None:
    found = engine_time((QUIET, 60), (FULL, 600), (QUIET, 60))
    assert (found.starts, len(found.runs)) == (1, 1)
    assert (found.runs[0].start_s, found.runs[0].end_s) == (59.5, 659.5)
    assert found.duration_h == pytest.approx(600 / 3600)
    assert found.runs[0].mean_level == FULL
    assert (found.method, found.grade) == ("noise channel", "track log with engine noise")


def test_warming_up_and_idling_count_with_the_run_they_belong_to() -> None:
    found = engine_time((QUIET, 60), (IDLE, 90), (FULL, 600), (IDLE, 30), (QUIET, 60))
    assert found.duration_h == pytest.approx(720 / 3600)
    assert found.runs[0].u_s == pytest.approx(math.hypot(1, 1, 90, 30) / math.sqrt(12))


def test_idling_alone_is_told_and_not_added() -> None:
    found = engine_time((QUIET, 60), (IDLE, 300), (QUIET, 60))
    assert (found.runs, found.duration_h) == ((), 0.0)
    assert len(found.doubtful) == 1
    assert any("00:01:00 (300 s)" in remark for remark in found.remarks)


@pytest.mark.parametrize("level", [NOISE.on_level, FULL, 999.0])
def test_a_bang_on_landing_is_told_and_not_added(level: float) -> None:
    found = engine_time((QUIET, 600), (level, 20), (QUIET, 60))
    assert not found.runs
    assert found.doubtful[0].length_s == 20


def test_a_long_rumble_that_never_reaches_the_level_of_a_climb_is_not_added() -> None:
    found = engine_time((QUIET, 600), (650.0, 120), (QUIET, 60))
    assert (len(found.runs), len(found.doubtful)) == (0, 1)


def test_a_rattle_that_is_mostly_below_the_upper_threshold_is_not_added() -> None:
    rattle = [(950.0, 2.0), (400.0, 8.0)] * 4
    assert not engine_time((QUIET, 600), *rattle, (QUIET, 60)).runs


def test_a_short_silence_is_bridged_and_a_long_one_is_a_new_start() -> None:
    short = engine_time((QUIET, 60), (FULL, 100), (QUIET, 15), (FULL, 100), (QUIET, 60))
    long = engine_time((QUIET, 60), (FULL, 100), (QUIET, 25), (FULL, 100), (QUIET, 60))
    assert (short.starts, long.starts) == (1, 2)
    assert short.duration_h - long.duration_h == pytest.approx(15 / 3600)


def test_a_hole_in_the_log_ends_a_run_and_widens_the_uncertainty() -> None:
    t_s, level = heard((QUIET, 60), (FULL, 200), (QUIET, 60))
    t_s = np.where(t_s >= 160, t_s + 300, t_s)
    found = from_noise(t_s, level)
    assert found.starts == 2
    assert found.duration_h == pytest.approx((99.5 + 99.5) / 3600)
    assert found.u_h * 3600 == pytest.approx(301 / math.sqrt(3), rel=0.01)
    assert any("00:02:39 to 00:07:40" in remark for remark in found.remarks)


def test_a_slow_recorder_has_no_holes() -> None:
    found = engine_time((QUIET, 600), (FULL, 3600), (QUIET, 600), step_s=60.0)
    assert found.duration_h == pytest.approx(1.0)
    assert found.u_h * 3600 == pytest.approx(60 / math.sqrt(6))


def test_a_log_that_begins_or_ends_with_the_engine_on_says_so() -> None:
    found = engine_time((FULL, 300), (999.0, 100))
    assert found.duration_h == pytest.approx(399 / 3600)
    assert {"begins", "ends", "never"} <= {word for remark in found.remarks for word in remark.split()}


@pytest.mark.parametrize("level", [0.0, 4.0, 999.0])
def test_a_dead_channel_tells_nothing_and_says_so(level: float) -> None:
    found = engine_time((level, 3600))
    assert (found.runs, found.duration_h, found.grade) == ((), 0.0, "estimate")
    assert "dead" in found.remarks[0]
    assert found.u_h == pytest.approx(3599 / 3600 / math.sqrt(3))


def test_values_that_are_missing_are_counted() -> None:
    t_s, level = heard((QUIET, 60), (FULL, 600), (QUIET, 60))
    level[100:105] = np.nan
    found = from_noise(t_s, level)
    assert found.duration_h == pytest.approx(600 / 3600)
    assert "5 of 720 fixes have no ENL value." in found.remarks


def test_a_channel_without_values_is_dead() -> None:
    t_s, level = heard((math.nan, 60))
    assert from_noise(t_s, level).remarks == ("The ENL channel holds no values.",)


def test_the_rpm_channel_goes_before_noise_and_noise_before_speed() -> None:
    t_s, noise = heard((QUIET, 60), (FULL, 600), (QUIET, 60))
    rpm = np.where(noise > 500, 6000.0, 0.0)
    both = from_track(t_s, *still(t_s), {"ENL": noise, "RPM": rpm})
    assert (both.method, both.grade) == ("rpm channel", "logger")
    assert any("ENL channel agrees" in remark for remark in both.remarks)
    assert from_track(t_s, *still(t_s), {"ENL": noise}).method == "noise channel"
    assert from_track(t_s, *still(t_s), {"MOP": noise, "ENL": noise}).method == "engine channel"
    assert from_track(t_s, *still(t_s), {"FXA": noise}).method == "ground speed"


def test_a_dead_channel_is_passed_over_with_the_reason() -> None:
    t_s, noise = heard((QUIET, 60), (FULL, 600), (QUIET, 60))
    found = from_track(t_s, *still(t_s), {"ENL": noise, "RPM": np.zeros(t_s.size)})
    assert found.method == "noise channel"
    assert any(remark.startswith("RPM is not used.") for remark in found.remarks)


def test_a_channel_that_hears_the_engine_goes_before_a_better_one_that_does_not() -> None:
    t_s, noise = heard((QUIET, 60), (FULL, 600), (QUIET, 60))
    found = from_track(t_s, *still(t_s), {"ENL": noise, "MOP": noise / 10})
    assert found.method == "noise channel"
    assert any("MOP channel disagrees: 0.00 h against 0.17 h" in remark for remark in found.remarks)


def test_without_a_channel_time_under_way_stands_in_graded_lower() -> None:
    t_s = np.arange(0.0, 1200.0, 4.0)
    north_m = np.clip(t_s - 300.0, 0.0, 600.0) * 10.0
    found = from_ground_speed(t_s, 50.0 + north_m / 111_195.0, np.full(t_s.size, 10.0))
    assert found.duration_h == pytest.approx(600 / 3600, abs=8 / 3600)
    assert found.u_h == pytest.approx(found.duration_h / 4, rel=0.01)
    assert found.grade == "track log without engine noise"
    assert "not that its engine ran" in found.remarks[0]


def test_a_position_far_off_is_no_speed() -> None:
    t_s = np.arange(0.0, 600.0)
    lat = np.full(t_s.size, 50.0)
    lat[300] = 0.0
    assert from_ground_speed(t_s, lat, np.full(t_s.size, 10.0)).duration_h == 0.0


def test_one_fix_tells_nothing() -> None:
    one = np.array([0.0])
    assert from_track(one, one, one, {}).duration_h == 0.0


@pytest.mark.parametrize(
    ("t_s", "level"), [([0.0, 1.0], [1.0]), ([0.0, 0.0], [1.0, 2.0]), ([1.0, 0.0], [1.0, 2.0]), ([], [])]
)
def test_arrays_that_do_not_belong_together_are_refused(t_s: list[float], level: list[float]) -> None:
    with pytest.raises(ValueError, match=r"one value is wanted|must increase"):
        from_noise(np.array(t_s), np.array(level))


def test_the_working_can_be_redone_by_hand() -> None:
    found = engine_time((QUIET, 60), (FULL, 600), (QUIET, 60))
    shown = {entry.name: entry for entry in found.working.inputs}
    assert shown["run 1"].value == "00:01:00 to 00:11:00, 600 ± 0"
    assert shown["ENL, on above"].value == NOISE.on_level
    assert shown["ENL, on above"].source == "common practice, no source"
    assert found.working.result.value == pytest.approx(found.duration_h)
    assert found.working.authority == "common practice, no source"


def test_a_clock_runs_on_through_midnight() -> None:
    assert clock(86_400 + 3 * 3600 + 57 * 60 + 33.6) == "03:57:34"


def test_the_stated_uncertainty_is_the_scatter_of_sampling() -> None:
    """Simulation: runs of 600 s that begin anywhere between two samples of a recorder with one every 8 s."""
    rng = np.random.default_rng(5)
    t_s = np.arange(0.0, 900.0, 8.0)
    found = [
        from_noise(t_s, np.where((t_s >= start) & (t_s < start + 600.0), FULL, QUIET))
        for start in 100.0 + rng.uniform(0.0, 8.0, size=4000) + rng.uniform(-0.01, 0.01, size=4000)
    ]
    lengths_s = np.array([one.duration_h * 3600 for one in found])
    assert lengths_s.mean() == pytest.approx(600.0, abs=0.5)
    assert lengths_s.std() <= found[0].u_h * 3600 * 1.01


@given(
    st.lists(st.tuples(st.sampled_from([QUIET, IDLE, FULL]), st.integers(1, 90)), min_size=1, max_size=12),
    st.floats(0.5, 10.0),
)
def test_runs_are_in_order_inside_the_log_and_add_up(parts: list[tuple[float, int]], step_s: float) -> None:
    t_s, level = heard(*((value, count * step_s) for value, count in parts), step_s=step_s)
    found = from_noise(t_s, level)
    edges = [edge for run in found.runs for edge in (run.start_s, run.end_s)]
    assert edges == sorted(edges)
    assert all(t_s[0] <= edge <= t_s[-1] for edge in edges)
    assert found.duration_h * 3600 == pytest.approx(sum(run.length_s for run in found.runs))
    assert found.u_h >= 0
    assert not {run.start_s for run in found.runs} & {run.start_s for run in found.doubtful}


@given(st.lists(st.floats(0, 999), min_size=2, max_size=80))
def test_a_log_played_backwards_ran_as_long(values: list[float]) -> None:
    t_s, level = np.arange(len(values)) * 4.0, np.array(values)
    limits = replace(NOISE, min_run_s=8.0, max_gap_s=4.0)
    forwards, backwards = from_noise(t_s, level, limits), from_noise(t_s, level[::-1], limits)
    assert forwards.duration_h == pytest.approx(backwards.duration_h)
    assert forwards.u_h == pytest.approx(backwards.u_h)
