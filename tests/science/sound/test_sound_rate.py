"""Resampling block by block, against the same sound resampled at once by the library scipy."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.signal import resample_poly

from tickover.science.sound.resampling import Resampler

Samples = NDArray[np.float32]


def in_blocks(samples: Samples, rate_hz: float, sizes: list[int]) -> tuple[Samples, float]:
    resampler, given_out, start, turn = Resampler(rate_hz), [], 0, 0
    while start < samples.size:
        size = sizes[turn % len(sizes)]
        given_out.append(resampler.feed(samples[start : start + size]))
        start, turn = start + size, turn + 1
    return np.concatenate([*given_out, resampler.finish()]), resampler.rate_hz


@given(
    up_down=st.sampled_from([(48_000, 1, 6), (44_100, 80, 441), (16_000, 1, 2), (11_025, 320, 441)]),
    sizes=st.lists(st.integers(1, 20_000), min_size=1, max_size=5),
    length=st.integers(0, 50_000),
)
@settings(max_examples=40, deadline=None)
def test_blocks_give_what_scipy_gives_at_once(
    up_down: tuple[int, int, int], sizes: list[int], length: int
) -> None:
    rate_hz, up, down = up_down
    sizes = [max(size, length // 200) for size in sizes]
    samples = np.random.default_rng(length).standard_normal(length).astype(np.float32)
    found, found_hz = in_blocks(samples, rate_hz, sizes)
    wanted = resample_poly(samples, up, down) if length else samples
    assert found_hz == 8000.0
    np.testing.assert_allclose(found, wanted, atol=2e-6)


def test_an_odd_rate_comes_out_close_to_8000_and_exactly_as_told() -> None:
    rate_hz = 44_056.0
    tone = np.sin(2 * np.pi * 100.0 * np.arange(2 * 44_056) / rate_hz).astype(np.float32)
    found, found_hz = in_blocks(tone, rate_hz, [10_000])
    assert found_hz == pytest.approx(8000.0, rel=1e-4)
    wanted = np.sin(2 * np.pi * 100.0 * np.arange(found.size) / found_hz)
    np.testing.assert_allclose(found[100:-100], wanted[100:-100], atol=2e-3)


def test_a_low_rate_is_left_as_it_is() -> None:
    samples = np.random.default_rng(1).standard_normal(5000).astype(np.float32)
    found, found_hz = in_blocks(samples, 8000.0, [333])
    assert found_hz == 8000.0
    np.testing.assert_array_equal(found, samples)


@pytest.mark.parametrize("rate_hz", [0.0, -8000.0, 3999.9, 768_001.0, float("nan"), float("inf")])
def test_a_rate_out_of_range_is_refused(rate_hz: float) -> None:
    with pytest.raises(ValueError, match="4,000 and 768,000 Hz"):
        Resampler(rate_hz)
