"""What is no two-stroke of one cylinder gets no speed, or no sure one."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from tickover.science.sound import track_rpm

Samples = NDArray[np.float32]

RATE_HZ = 16_000


def speech(rng: np.random.Generator, seconds: float) -> Samples:
    """Voiced words of a tenth of a second to one second, whose pitch glides, with pauses between them."""
    words, length = [], 0.0
    while length < seconds:
        spoken_s, pause_s = rng.uniform(0.1, 1.0), rng.uniform(0.1, 0.4)
        t_s = np.arange(round(spoken_s * RATE_HZ)) / RATE_HZ
        pitch_hz = rng.uniform(90, 160) * (1.0 + 0.2 * np.sin(2 * np.pi * rng.uniform(0.5, 2.0) * t_s))
        turns = np.cumsum(pitch_hz) / RATE_HZ
        voice = sum(
            np.sin(2 * np.pi * n * turns) / (1.0 + ((n * 110 - 600) / 300) ** 2) for n in range(1, 25)
        )
        words += [voice * np.hanning(t_s.size), np.zeros(round(pause_s * RATE_HZ))]
        length += spoken_s + pause_s
    joined = np.concatenate(words)
    return (joined / np.abs(joined).max() + 0.01 * rng.standard_normal(joined.size)).astype(np.float32)


def music(rng: np.random.Generator, seconds: float) -> Samples:
    """A bass note and a chord of three, new ones every half second."""
    t_s = np.arange(round(0.5 * RATE_HZ)) / RATE_HZ
    bars = []
    for _ in range(round(2 * seconds)):
        notes_hz = 55.0 * 2.0 ** (rng.choice([0, 2, 4, 5, 7, 9, 11], 4) / 12.0 + np.array([0, 2, 2, 2]))
        bars.append(
            sum(np.sin(2 * np.pi * n * f * t_s) / n for f in notes_hz for n in range(1, 9)) * np.exp(-2 * t_s)
        )
    joined = np.concatenate(bars)
    return (0.5 * joined / np.abs(joined).max()).astype(np.float32)


def hum(seconds: float) -> Samples:
    t_s = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    return (0.2 * sum(np.sin(2 * np.pi * 100.0 * n * t_s) / n for n in range(1, 12))).astype(np.float32)


RNG = np.random.default_rng(5)
OTHERS = {
    "white noise": RNG.standard_normal(15 * RATE_HZ).astype(np.float32) * 0.2,
    "gusts": np.cumsum(RNG.standard_normal(15 * RATE_HZ)).astype(np.float32) / 1e4,
    "speech": speech(RNG, 15.0),
    "music": music(RNG, 15.0),
    "mains hum": hum(15.0),
}


@pytest.mark.parametrize("what", OTHERS)
def test_what_is_no_engine_gets_no_speed(what: str) -> None:
    track = track_rpm(OTHERS[what], RATE_HZ)
    assert not np.isfinite(track.rpm).any()
    assert (track.confidence < 0.5).all()
    assert not np.isin(track.state, ["idle", "run"]).any()
    assert len(track.remarks) == 1


def test_silence_is_called_silence() -> None:
    track = track_rpm(np.zeros(5 * RATE_HZ, dtype=np.float32), RATE_HZ)
    assert track.remarks == ("The recording is silent.",)
    assert set(track.state) == {"off"}


def test_an_engine_of_four_uneven_cylinders_is_not_told_for_sure() -> None:
    """Twice a turn of the crank, each of the four a little different: lines at quarters of the firing rate."""
    rng = np.random.default_rng(2)
    samples = np.zeros(12 * RATE_HZ)
    firings = np.arange(0.0, 12.0, 1.0 / 95.0)[:-5]
    cylinder = np.arange(firings.size) % 4
    late_s = np.array([0.0, 0.0006, -0.0004, 0.0003])[cylinder] + 4e-5 * rng.standard_normal(firings.size)
    strength = np.array([1.0, 0.75, 1.2, 0.9])[cylinder]
    np.add.at(samples, np.round((firings + 0.01 + late_s) * RATE_HZ).astype(int), strength)
    ring = np.exp(-np.arange(300) / 40.0) * np.sin(np.arange(300) / 4.0)
    samples = np.convolve(samples, ring)[: samples.size] + 0.02 * rng.standard_normal(samples.size)
    track = track_rpm((0.3 * samples).astype(np.float32), RATE_HZ)
    assert (track.confidence < 0.8).mean() > 0.9
