"""Engine speed and four-stroking against recordings that others synthesised, with their truth beside them.

The generator (public domain) does not come with this repository; TICKOVER_SOUNDS names its file.
"""

from __future__ import annotations

import importlib.util
import os
import zlib
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pytest

from tickover.science.sound import SoundSettings, track_rpm

BESIDE = Path(__file__).parents[2].parent / "shared" / "samples" / "engine_sound.py"
GENERATOR = Path(os.environ.get("TICKOVER_SOUNDS", BESIDE))
REASON = "no generator of engine sounds here: name its file in TICKOVER_SOUNDS"
pytestmark = pytest.mark.skipif(not GENERATOR.is_file(), reason=REASON)


def generator() -> ModuleType:
    spec = importlib.util.spec_from_file_location("engine_sound", GENERATOR)
    assert spec and spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


CLIPS: dict[str, Any] = generator().CLIPS if GENERATOR.is_file() else {"none": None}


@pytest.mark.parametrize("geared", [True, False], ids=["gear known", "gear unknown"])
@pytest.mark.parametrize("name", CLIPS)
def test_the_speed_is_the_one_the_sound_was_made_from(name: str, geared: bool) -> None:
    seconds, rate_hz, how, _ = CLIPS[name]
    samples, rpm = generator().synth(seconds, fs=rate_hz, seed=zlib.crc32(name.encode()), **how)
    gear = SoundSettings(how.get("gear", 2.6), how.get("blades", 2)) if geared else None
    track = track_rpm(samples, rate_hz, gear)
    truth = rpm[np.round(track.t_s * rate_hz).astype(int)]
    running = truth > 1000.0
    told = np.isfinite(track.rpm)
    error = np.abs(track.rpm[told] / truth[told] - 1.0)
    # An idle that wanders by 1.5 % within half a second is blurred by any window that can hear it.
    within = 0.90 if how.get("wander", 0.0) > 0.01 else 0.95
    assert (told & running).sum() > (0.9 if geared else 0.7) * running.sum()
    assert not told[truth < 1.0].any()
    assert np.median(error) < 0.005
    assert (error < 0.01).mean() > within
    assert error.max() < 0.2
    weaker = how.get("fourstroke", 0.0)
    depth = weaker(track.t_s) if callable(weaker) else np.full(told.size, weaker)
    known = np.isfinite(track.four_stroking) & running
    assert np.median(np.abs(track.four_stroking[known] - depth[known])) < 0.10
