"""Several cylinders told from one: hiss that swells once a turn of the crank, and the propeller's line."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.signal import butter, sosfilt

from tickover.demo.enginesound import Sounding, engine_sound
from tickover.science.sound import SoundSettings, track_rpm
from tickover.science.sound.cylinders import several_db

RATE_HZ = 16_000
HOP_S = 0.05
GEARED = SoundSettings(gear_ratio=2.6, blades=2)


def hissing(crank_rpm: float, cylinders: int, swell: float = 0.6) -> NDArray[np.float32]:
    """Twelve seconds of an engine whose cylinders are all alike, with the hiss of its moving parts."""
    rng = np.random.default_rng(cylinders)
    rpm = np.full(12 * RATE_HZ, crank_rpm * cylinders)
    firings, truth = engine_sound(rng, rpm, RATE_HZ, Sounding(propeller=0.0))
    turns = np.cumsum(truth / cylinders / 60.0 / RATE_HZ)
    hiss = sosfilt(
        butter(2, (1500.0, 6000.0), "bandpass", fs=RATE_HZ, output="sos"), rng.standard_normal(rpm.size)
    )
    return (0.7 * firings + 0.05 * hiss * (1.0 + swell * np.cos(2 * np.pi * turns))).astype(np.float32)


@pytest.mark.parametrize(("crank_rpm", "cylinders"), [(1500.0, 4), (2400.0, 4), (1900.0, 3)])
@pytest.mark.parametrize("settings", [None, GEARED], ids=["gear unknown", "gear known"])
def test_an_even_engine_of_several_cylinders_gets_no_speed_and_the_reason(
    crank_rpm: float, cylinders: int, settings: SoundSettings | None
) -> None:
    track = track_rpm(hissing(crank_rpm, cylinders), RATE_HZ, settings)
    assert np.isfinite(track.rpm).mean() < 0.05
    assert any("several cylinders" in remark for remark in track.remarks)


def test_without_a_propeller_where_it_must_be_a_speed_is_doubted_and_the_reason_told() -> None:
    """No hiss tells of the cylinders here: all that speaks against it is the propeller that is not heard."""
    samples, _ = engine_sound(
        np.random.default_rng(1), np.full(12 * RATE_HZ, 6000.0), RATE_HZ, Sounding(propeller=0.0)
    )
    doubted = track_rpm(samples, RATE_HZ, GEARED)
    assert any("No propeller tone" in remark for remark in doubted.remarks)
    heard, _ = engine_sound(np.random.default_rng(1), np.full(12 * RATE_HZ, 6000.0), RATE_HZ, Sounding())
    sure = track_rpm(heard, RATE_HZ, GEARED)
    assert not any("No propeller" in remark for remark in sure.remarks)
    assert doubted.confidence.mean() < sure.confidence.mean() - 0.2


@pytest.mark.parametrize(("share", "expected"), [(1, False), (3, True), (4, True), (6, True)])
def test_hiss_that_swells_with_the_firings_is_that_of_one_cylinder(share: int, expected: bool) -> None:
    samples = hissing(6000.0 / share, share)[::2]
    rate_hz = np.full(240, 100.0)
    found = several_db(samples, RATE_HZ / 2, HOP_S, rate_hz, np.zeros(240), None)
    assert (np.median(found) > 4.0) == expected


def test_firings_that_are_strong_by_turns_are_no_second_cylinder() -> None:
    samples, _ = engine_sound(
        np.random.default_rng(3), np.full(12 * RATE_HZ, 5000.0), RATE_HZ, Sounding(weaker=0.5)
    )
    track = track_rpm(samples, RATE_HZ, GEARED)
    assert np.isfinite(track.rpm).mean() > 0.9
    assert not any("several cylinders" in remark for remark in track.remarks)


def test_too_short_a_stretch_tells_nothing_of_cylinders() -> None:
    rate_hz = np.full(10, 90.0)
    noise = np.random.default_rng(1).standard_normal(4000).astype(np.float32)
    assert np.isnan(several_db(noise, 8000.0, HOP_S, rate_hz, rate_hz * 0.0, None)).all()
