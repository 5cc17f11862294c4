"""The engine's speed from its sound: invented recordings whose speed is known."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import pytest
from numpy.typing import NDArray

from tickover.demo.enginesound import Sounding, engine_sound
from tickover.science.sound import SoundSettings, SoundTrack, SoundTracker, track_rpm

Floats = NDArray[np.float64]
Samples = NDArray[np.float32]

RATE_HZ = 16_000
GEARED = SoundSettings(gear_ratio=2.6, blades=2)


def ramp(*points: tuple[float, float]) -> Floats:
    """Speed at each sample, by straight lines between (seconds, r/min)."""
    seconds, rpm = zip(*points, strict=True)
    return np.interp(np.arange(round(seconds[-1] * RATE_HZ)) / RATE_HZ, seconds, rpm)


def level(rpm: float, seconds: float = 12.0) -> Floats:
    return ramp((0.0, rpm), (seconds, rpm))


@lru_cache
def recorded(
    points: tuple[tuple[float, float], ...], sounding: Sounding, seed: int = 1
) -> tuple[Samples, Floats]:
    return engine_sound(np.random.default_rng(seed), ramp(*points), RATE_HZ, sounding)


def heard(
    *points: tuple[float, float], settings: SoundSettings = GEARED, seed: int = 1, **sounding: float
) -> tuple[SoundTrack, Floats]:
    """The track of a recording, and the true speed in each of its frames."""
    return tracked(points, settings, Sounding(**sounding), seed)  # type: ignore[arg-type]


@lru_cache
def tracked(
    points: tuple[tuple[float, float], ...], settings: SoundSettings, sounding: Sounding, seed: int
) -> tuple[SoundTrack, Floats]:
    samples, rpm = recorded(points, sounding, seed)
    track = track_rpm(samples, RATE_HZ, settings)
    return track, rpm[np.round(track.t_s * RATE_HZ).astype(int)]


def off_by(track: SoundTrack, rpm: Floats) -> Floats:
    """Relative error of what is told."""
    told = np.isfinite(track.rpm)
    return np.abs(track.rpm[told] / rpm[told] - 1.0)


@pytest.mark.parametrize("rpm", [2100.0, 3500.0, 5200.0, 6400.0, 8100.0, 9500.0])
def test_a_steady_engine_is_heard_to_a_quarter_of_a_percent(rpm: float) -> None:
    track, truth = heard((0.0, rpm), (12.0, rpm))
    error = off_by(track, truth)
    assert error.size > 0.95 * track.rpm.size
    assert np.median(error) < 0.0025
    assert (error < 0.01).mean() > 0.95
    assert set(track.state) == {"idle" if rpm < 2600 else "run"}


def test_a_slow_opening_and_a_quick_closing_are_followed() -> None:
    track, truth = heard(
        (0.0, 2000.0), (3.0, 2000.0), (11.0, 8000.0), (14.0, 8000.0), (16.0, 2200.0), (18.0, 2200.0)
    )
    error = off_by(track, truth)
    assert error.size > 0.9 * track.rpm.size
    assert (error < 0.01).mean() > 0.95


@pytest.mark.parametrize("weaker", [0.0, 0.15, 0.5, 0.75])
def test_four_stroking_is_told_from_half_the_speed(weaker: float) -> None:
    track, truth = heard((0.0, 4200.0), (12.0, 4200.0), weaker=weaker)
    assert off_by(track, truth).max() < 0.02
    assert float(np.nanmedian(track.four_stroking)) == pytest.approx(weaker, abs=0.10)
    assert track.four_stroking_share == pytest.approx(1.0 if weaker > 0.4 else 0.0, abs=0.05)


def test_an_engine_that_fires_half_as_often_is_not_called_four_stroking() -> None:
    track, truth = heard((0.0, 2100.0), (12.0, 2100.0))
    assert off_by(track, truth).max() < 0.03
    assert float(np.nanmedian(track.four_stroking)) < 0.10


def test_four_stroking_that_clears_as_the_throttle_opens_is_followed() -> None:
    rng = np.random.default_rng(3)
    parts = [
        engine_sound(rng, level(rpm, 8.0), RATE_HZ, Sounding(weaker=weaker))[0]
        for rpm, weaker in ((3600.0, 0.6), (5400.0, 0.0))
    ]
    track = track_rpm(np.concatenate(parts), RATE_HZ, GEARED)
    middle = np.nanmedian(track.four_stroking[40:120]), np.nanmedian(track.four_stroking[200:280])
    assert middle == pytest.approx((0.6, 0.0), abs=0.12)


def test_a_propeller_louder_than_the_exhaust_is_not_taken_for_the_engine() -> None:
    track, truth = heard((0.0, 5900.0), (12.0, 5900.0), propeller=1.5)
    assert off_by(track, truth).max() < 0.02


@pytest.mark.parametrize(
    "trouble",
    [
        {"wind": 0.6},
        {"failing": 0.2, "timing": 0.025, "strength": 0.35},
        {"overdrive": 2.0},
        {"high_pass_hz": 250.0},
    ],
    ids=["wind", "misfires", "overdriven", "voice memo"],
)
def test_a_bad_recording_gives_no_wrong_speed(trouble: dict[str, float]) -> None:
    track, truth = heard((0.0, 5200.0), (12.0, 5200.0), **trouble)
    error = off_by(track, truth)
    assert error.size > 0.8 * track.rpm.size
    assert (error < 0.01).mean() > 0.95


def test_no_speed_is_told_before_the_start_and_after_the_stop() -> None:
    track, truth = heard((0.0, 0.0), (4.0, 0.0), (4.2, 2200.0), (9.0, 2200.0), (9.3, 0.0), (13.0, 0.0))
    told = np.isfinite(track.rpm)
    assert not told[truth == 0.0].any()
    assert set(track.state[:70]) == set(track.state[-60:]) == {"off"}
    assert set(track.state[100:180]) == {"idle"}
    assert track.known_s == pytest.approx(5.0, abs=0.8)


def test_an_idle_that_the_wind_hides_is_doubt_and_no_engine_that_stands() -> None:
    """Full throttle is heard through the wind, the idle before and after it is not."""
    track, truth = heard(
        (0.0, 2100.0), (8.0, 2100.0), (8.8, 7600.0), (24.0, 7600.0), (24.5, 2100.0), (32.0, 2100.0), wind=1.2
    )
    hidden = truth < 2500.0
    assert not np.isfinite(track.rpm[hidden]).any()
    assert np.isfinite(track.rpm).any()
    assert "off" not in track.state


def test_three_seconds_are_told_with_a_warning() -> None:
    track, truth = heard((0.0, 6000.0), (3.0, 6000.0))
    assert off_by(track, truth).max() < 0.02
    assert any("3.0 s are too short" in remark for remark in track.remarks)


@pytest.mark.parametrize("count", [0, 1, 300, 2000])
def test_a_scrap_of_sound_tells_nothing(count: int) -> None:
    track = track_rpm(np.ones(count, dtype=np.float32) * 0.1, RATE_HZ)
    assert not np.isfinite(track.rpm).any()
    assert track.t_s.size == track.state.size == int(count / RATE_HZ / 0.05)


def test_an_unknown_propeller_is_warned_of() -> None:
    track, _ = heard((0.0, 6400.0), (12.0, 6400.0), settings=SoundSettings())
    assert any("Gear ratio and blades are not known" in remark for remark in track.remarks)
    assert track.confidence.mean() < heard((0.0, 6400.0), (12.0, 6400.0))[0].confidence.mean()


def test_the_working_says_sixty_times_the_firing_rate() -> None:
    track, _ = heard((0.0, 6000.0), (12.0, 6000.0))
    rate = track.working.inputs[0]
    assert (track.working.formula, rate.unit) == ("n = 60 * f", "Hz")
    assert track.working.result.value == pytest.approx(60.0 * float(rate.value))
    assert track.working.result.value == pytest.approx(6000.0, rel=0.01)


@pytest.mark.parametrize("sizes", [(1_000_000,), (16_000,), (7, 5000, 123_456)])
def test_blocks_of_any_size_give_the_same_track(sizes: tuple[int, ...]) -> None:
    points = ((0.0, 2100.0), (40.0, 2100.0), (50.0, 7000.0), (100.0, 6000.0), (140.0, 2100.0))
    samples, _ = recorded(points, Sounding())
    tracker, start, turn = SoundTracker(RATE_HZ, GEARED), 0, 0
    while start < samples.size:
        tracker.feed(samples[start : start + sizes[turn % len(sizes)]])
        start, turn = start + sizes[turn % len(sizes)], turn + 1
    track = tracker.finish()
    whole, truth = heard(*points)
    np.testing.assert_array_equal(track.rpm, whole.rpm)
    assert track.t_s.size == 2800
    assert (off_by(track, truth) < 0.01).mean() > 0.98


@pytest.mark.parametrize("rate_hz", [4000, 6000, 8000, 11_025, 22_050, 48_000, 96_000])
def test_any_usual_sampling_rate_will_do(rate_hz: int) -> None:
    rpm = np.full(8 * rate_hz, 5000.0)
    samples, truth = engine_sound(np.random.default_rng(4), rpm, rate_hz)
    track = track_rpm(samples, rate_hz, GEARED)
    assert off_by(track, truth[np.round(track.t_s * rate_hz).astype(int)]).max() < 0.02
    assert np.isfinite(track.rpm).mean() > 0.9


@pytest.mark.parametrize(
    ("settings", "says"),
    [
        ({"gear_ratio": 2.5}, "together"),
        ({"gear_ratio": 0.2, "blades": 2}, "gear ratio is 0.2"),
        ({"gear_ratio": 2.5, "blades": 0}, "0 blades"),
        ({"rpm_range": (5000.0, 900.0)}, "5000 to 900"),
        ({"rpm_range": (10.0, 900.0)}, "10 to 900"),
    ],
)
def test_settings_that_cannot_be_are_refused(settings: dict[str, float], says: str) -> None:
    with pytest.raises(ValueError, match=says):
        SoundSettings(**settings)  # type: ignore[arg-type]


@pytest.mark.parametrize("samples", [np.zeros((5, 2), np.float32), np.array([0.0, np.nan], np.float32)])
def test_samples_that_are_no_sound_are_refused(samples: Samples) -> None:
    with pytest.raises(ValueError, match="one row of finite numbers"):
        track_rpm(samples, RATE_HZ)


@pytest.mark.parametrize("rate_hz", [0.0, 3999.0, 1e9, float("nan")])
def test_an_absurd_sampling_rate_is_refused(rate_hz: float) -> None:
    with pytest.raises(ValueError, match="sampling rate"):
        SoundTracker(rate_hz)
