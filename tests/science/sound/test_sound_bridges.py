"""A throttle thrown open within a second or so: the speed between two stretches that are sure."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from tickover.demo.enginesound import Sounding, engine_sound
from tickover.science.sound import SoundSettings, track_rpm
from tickover.science.sound.bridges import bridged, gaps

RATE_HZ = 16_000
GEARED = SoundSettings(gear_ratio=2.6, blades=2)
HOP_S = 0.05


def opening(seconds: float, seed: int = 1) -> tuple[NDArray[np.float32], NDArray[np.float64]]:
    """Idling for 4 s, opened within some seconds, 4 s at full speed; and the speed in each frame."""
    rpm = np.interp(
        np.arange(round((8.0 + seconds) * RATE_HZ)) / RATE_HZ,
        [0.0, 4.0, 4.0 + seconds],
        [2200.0, 2200.0, 7600.0],
    )
    samples, truth = engine_sound(np.random.default_rng(seed), rpm, RATE_HZ, Sounding())
    return samples, truth[:: round(HOP_S * RATE_HZ)]


@pytest.mark.parametrize("seconds", [1.0, 1.5])
def test_an_opening_is_followed_from_idle_to_full(seconds: float) -> None:
    samples, truth = opening(seconds)
    track = track_rpm(samples, RATE_HZ, GEARED)
    during = slice(round(4.1 / HOP_S), round((3.9 + seconds) / HOP_S))
    told = np.isfinite(track.rpm[during])
    error = np.abs(track.rpm[during] / truth[during] - 1.0)[told]
    assert told.mean() > 0.5
    assert np.median(error) < 0.01
    assert error.max() < 0.05


def test_an_opening_too_quick_to_be_sure_of_gets_no_wrong_speed() -> None:
    samples, truth = opening(0.6)
    track = track_rpm(samples, RATE_HZ, GEARED)
    told = np.isfinite(track.rpm)
    assert told.mean() > 0.8
    assert np.abs(track.rpm / truth[: track.rpm.size] - 1.0)[told].max() < 0.05


def test_the_way_over_a_gap_is_found_from_its_two_ends() -> None:
    samples, truth = opening(0.8)
    rate_hz = truth / 60.0
    holed = rate_hz.copy()
    holed[80:98] = np.nan
    over = gaps(holed, np.where(np.isfinite(holed), 0.9, 0.0), HOP_S)
    assert over == [(77, 100)]
    found = bridged(samples, RATE_HZ, HOP_S, holed, over)
    assert np.abs(found / rate_hz - 1.0).max() < 0.05


@pytest.mark.parametrize(
    ("after_hz", "empty"),
    [(36.0, 20), (35.0, 0), (120.0, 80), (1200.0, 8)],
    ids=["same", "none", "long", "fast"],
)
def test_what_is_no_opening_is_left_alone(after_hz: float, empty: int) -> None:
    rate_hz = np.concatenate((np.full(60, 35.0), np.full(empty, np.nan), np.full(60, after_hz)))
    assert gaps(rate_hz, np.where(np.isfinite(rate_hz), 0.9, 0.0), HOP_S) == []
