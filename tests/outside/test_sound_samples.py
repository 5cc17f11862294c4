"""Engine speed and four-stroking against recordings that others synthesised, with their truth beside them.

The generator (public domain) does not come with this repository; TICKOVER_SOUNDS names its file.
"""

from __future__ import annotations

import importlib.util
import os
import zlib
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pytest

from tickover.science.sound import SoundSettings, SoundTrack, track_rpm

BESIDE = Path(__file__).parents[2].parent / "shared" / "samples" / "engine_sound.py"
GENERATOR = Path(os.environ.get("TICKOVER_SOUNDS", BESIDE))
REASON = "no generator of engine sounds here: name its file in TICKOVER_SOUNDS"
pytestmark = pytest.mark.skipif(not GENERATOR.is_file(), reason=REASON)


@cache
def generator() -> ModuleType:
    spec = importlib.util.spec_from_file_location("engine_sound", GENERATOR)
    assert spec and spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


CLIPS: dict[str, Any] = generator().CLIPS if GENERATOR.is_file() else {"none": None}


@cache
def clip(name: str) -> tuple[np.ndarray, np.ndarray]:
    """Samples of a clip, and the true speed at each of them."""
    seconds, rate_hz, how, _ = CLIPS[name]
    samples, rpm = generator().synth(seconds, fs=rate_hz, seed=zlib.crc32(name.encode()), **how)
    return samples, rpm


@pytest.mark.parametrize("geared", [True, False], ids=["gear known", "gear unknown"])
@pytest.mark.parametrize("name", CLIPS)
def test_the_speed_is_the_one_the_sound_was_made_from(name: str, geared: bool) -> None:
    _, rate_hz, how, _ = CLIPS[name]
    samples, rpm = clip(name)
    gear = SoundSettings(how.get("gear", 2.6), how.get("blades", 2)) if geared else None
    track = track_rpm(samples, rate_hz, gear)
    truth = rpm[np.round(track.t_s * rate_hz).astype(int)]
    running = truth > 1000.0
    told = np.isfinite(track.rpm)
    error = np.abs(track.rpm[told] / truth[told] - 1.0)
    # An idle that wanders by 1.5 % within half a second is blurred by any window that can hear it.
    within = 0.90 if how.get("wander", 0.0) > 0.01 else 0.95
    assert (told & running).sum() > (0.9 if geared else 0.65) * running.sum()
    assert not told[truth < 1.0].any()
    assert np.median(error) < 0.005
    assert (error < 0.01).mean() > within
    assert error.max() < 0.2
    weaker = how.get("fourstroke", 0.0)
    depth = weaker(track.t_s) if callable(weaker) else np.full(told.size, weaker)
    known = np.isfinite(track.four_stroking) & running
    assert np.median(np.abs(track.four_stroking[known] - depth[known])) < 0.10


def other(seed: int) -> tuple[SoundTrack, np.ndarray, np.ndarray]:
    """An engine of any speed, wind, propeller and condition; its true speed and depth of four-stroking."""
    rng = np.random.default_rng(seed)
    low, high = rng.uniform(1800, 3500), rng.uniform(4500, 8500)
    opened, closed = rng.uniform(3.5, 4.5), rng.uniform(7.5, 8.5)
    points = [(0, low), (3, low), (opened, high), (7, high), (closed, low), (11, low)]
    if rng.random() < 0.5:
        points = [(0, high), (11, high * rng.uniform(0.97, 1.03))]
    weaker, gear, blades = (
        float(rng.choice([0.0, rng.uniform(0.2, 0.8)])),
        rng.uniform(2.2, 3.8),
        2 + seed % 2,
    )
    samples, rpm = generator().synth(
        11,
        points,
        fs=16_000,
        seed=seed,
        jit=rng.uniform(0.005, 0.025),
        amp_sd=rng.uniform(0.1, 0.35),
        fourstroke=weaker,
        misfire=float(rng.choice([0.0, 0.15])),
        gear=gear,
        blades=blades,
        prop=rng.uniform(0.1, 1.5),
        wind=float(np.exp(rng.uniform(-4.0, -0.7))),
        hp=float(rng.choice([60, 110, 200])),
        drive=rng.uniform(1.0, 3.0),
    )
    track = track_rpm(samples, 16_000, SoundSettings(gear, blades))
    return track, rpm[np.round(track.t_s * 16_000).astype(int)], np.full(track.t_s.size, weaker)


def test_engines_of_any_kind_are_told_right_and_hardly_ever_half_or_double() -> None:
    ratios, depths, frames = [], [], 0
    for seed in range(7000, 7024):
        track, truth, weaker = other(seed)
        ratio = (track.rpm / truth)[np.isfinite(track.rpm)]
        ratios.append(ratio)
        frames += track.rpm.size
        known = np.isfinite(track.four_stroking)
        if known.sum() > 20:
            depths.append(np.median(np.abs(track.four_stroking - weaker)[known]))
    told = np.concatenate(ratios)
    error = np.abs(told - 1.0)
    assert told.size > 0.75 * frames
    assert np.median(error) < 0.005
    assert (error < 0.01).mean() > 0.95
    assert ((np.abs(told - 0.5) < 0.05) | (np.abs(told - 2.0) < 0.1)).mean() < 0.001
    assert (np.array(depths) < 0.10).mean() > 0.8


@cache
def four_cylinders(crank_rpm: float) -> np.ndarray:
    samples: np.ndarray = generator().synth(
        12, [(0, crank_rpm), (12, crank_rpm)], fs=44_100, seed=round(crank_rpm), cylinders=4, prop=0.0
    )[0]
    return samples


@pytest.mark.parametrize("crank_rpm", [1100.0, 1500.0, 2000.0, 2600.0])
@pytest.mark.parametrize("geared", [True, False], ids=["gear known", "gear unknown"])
def test_an_even_engine_of_four_cylinders_gets_no_speed(crank_rpm: float, geared: bool) -> None:
    track = track_rpm(four_cylinders(crank_rpm), 44_100, SoundSettings(2.6, 2) if geared else None)
    assert np.isfinite(track.rpm).mean() < 0.05
    assert any("several cylinders" in remark or "No propeller" in remark for remark in track.remarks)
