"""The invented sound of an engine."""

from __future__ import annotations

import numpy as np
import pytest

from tickover.demo.enginesound import Sounding, engine_sound

RATE_HZ = 8000


def test_the_same_seed_gives_the_same_sound() -> None:
    first, second = (
        engine_sound(np.random.default_rng(7), np.full(RATE_HZ, 5000.0), RATE_HZ)[0] for _ in "ab"
    )
    np.testing.assert_array_equal(first, second)
    assert np.abs(first).max() == pytest.approx(0.9, abs=1e-6)


def test_the_strongest_spacing_of_lines_is_the_firing_rate() -> None:
    """One firing a turn: 6,000 r/min have a line each 100 Hz."""
    even = Sounding(timing=0.0, strength=0.0, wander=0.0, propeller=0.0, wind=0.0)
    samples, _ = engine_sound(np.random.default_rng(1), np.full(4 * RATE_HZ, 6000.0), RATE_HZ, even)
    spectrum = np.abs(np.fft.rfft(samples))
    lines = np.flatnonzero(spectrum > 0.1 * spectrum.max()) / 4.0
    assert lines.size >= 4
    np.testing.assert_allclose(lines % 100.0, 0.0, atol=0.3)


def test_an_engine_that_stands_is_heard_as_noise_alone() -> None:
    samples, rpm = engine_sound(np.random.default_rng(1), np.zeros(RATE_HZ), RATE_HZ)
    assert np.isfinite(samples).all()
    assert not rpm.any()
