"""Is a speed that is told right as often as it claims? On recordings that its weights were not fitted to."""

from __future__ import annotations

import numpy as np
import pytest

from tickover.demo.enginesound import Sounding, engine_sound
from tickover.science.sound import SoundSettings, SoundTrack, track_rpm
from tickover.science.sound.confidence import in_company

RATE_HZ = 8000


def invented(seed: int) -> tuple[SoundTrack, np.ndarray]:
    """A recording of any speed, wind, propeller and condition, and its true speed."""
    rng = np.random.default_rng(seed)
    speeds = rng.uniform(1800, 8500, rng.integers(1, 4)).repeat(2)
    rpm = np.interp(np.linspace(0, speeds.size - 1, 12 * RATE_HZ), range(speeds.size), speeds)
    sounding = Sounding(
        timing=rng.uniform(0.005, 0.03),
        strength=rng.uniform(0.1, 0.4),
        weaker=rng.choice([0.0, rng.uniform(0.0, 0.8)]),
        failing=rng.choice([0.0, 0.2]),
        propeller=rng.uniform(0.0, 1.5),
        gear_ratio=rng.uniform(2.2, 3.8),
        wind=np.exp(rng.uniform(-4.0, 0.5)),
        overdrive=rng.uniform(0.1, 1.0),
        high_pass_hz=rng.choice([60.0, 120.0, 250.0]),
    )
    samples, truth = engine_sound(rng, rpm, RATE_HZ, sounding)
    known = SoundSettings(sounding.gear_ratio, sounding.blades)
    track = track_rpm(samples, RATE_HZ, known)
    return track, truth[np.round(track.t_s * RATE_HZ).astype(int)]


def test_what_is_sure_is_right_and_never_half_or_double() -> None:
    sure, right, octave = 0, 0, 0
    for seed in range(100, 130):
        track, truth = invented(seed)
        ratio = (track.rpm / truth)[track.confidence >= 0.8]
        sure += ratio.size
        right += int((np.abs(ratio - 1.0) < 0.01).sum())
        octave += int(((np.abs(ratio - 0.5) < 0.05) | (np.abs(ratio - 2.0) < 0.15)).sum())
    assert sure > 3000
    assert right > 0.95 * sure
    assert octave < 0.01 * sure


def test_a_likely_moment_among_doubtful_ones_is_doubted_too() -> None:
    doubtful = np.full(600, 0.2)
    doubtful[300:320] = 0.9
    assert in_company(doubtful, 0.05)[300:320].max() == pytest.approx(0.45)
    assert in_company(np.full(600, 0.9), 0.05).min() == 0.9
