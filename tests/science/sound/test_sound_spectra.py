"""Spectra of frames, and how far their bins stand above the noise."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import spectrogram

from tickover.science.sound.spectrum.comb import Comb
from tickover.science.sound.spectrum.spectra import above_noise_db, fft_length, frames, power

RATE_HZ = 8000
LENGTH = 2560


def test_the_power_of_a_frame_is_that_of_scipys_spectrogram() -> None:
    samples = np.random.default_rng(1).standard_normal(RATE_HZ).astype(np.float32)
    found = power(frames(samples, 0, 400, 10, LENGTH), 2000)
    _, _, wanted = spectrogram(
        samples,
        RATE_HZ,
        window=np.hanning(LENGTH),
        nperseg=LENGTH,
        noverlap=LENGTH - 400,
        nfft=fft_length(LENGTH),
        detrend=False,
        scaling="spectrum",
        mode="complex",
    )
    scale = np.hanning(LENGTH).sum() ** 2
    np.testing.assert_allclose(found, np.abs(wanted.T[:10, :2000]) ** 2 * scale, rtol=1e-3, atol=1e-3)


def test_noise_stands_at_its_own_mean() -> None:
    """In white noise the power of a bin is exponential; the mean of its decibels is -2.51 (Euler's constant)."""
    samples = np.random.default_rng(2).standard_normal(20 * RATE_HZ).astype(np.float32)
    above = above_noise_db(power(frames(samples, 0, 400, 350, LENGTH), 1000), 128)
    assert 10.0 * np.log10(np.mean(10.0 ** (above / 10.0))) == pytest.approx(0.0, abs=0.4)
    assert above.mean() == pytest.approx(-10.0 * np.euler_gamma / np.log(10.0), abs=0.4)


@pytest.mark.parametrize("rate_hz", [33.0, 70.0, 140.0])
def test_the_comb_scores_the_spacing_of_the_lines_best(rate_hz: float) -> None:
    t_s = np.arange(2 * RATE_HZ) / RATE_HZ
    tones = sum(np.cos(2 * np.pi * n * rate_hz * t_s) for n in range(1, 12))
    samples = (tones + np.random.default_rng(3).standard_normal(t_s.size)).astype(np.float32)
    bin_hz = RATE_HZ / fft_length(LENGTH)
    levels = above_noise_db(power(frames(samples, 0, 400, 20, LENGTH), 1088), round(200.0 / bin_hz))
    comb = Comb(15.0, 200.0, 1088, bin_hz)
    best = comb.rates_hz[comb.scores(levels).argmax(axis=1)]
    np.testing.assert_allclose(best, rate_hz, rtol=0.01)
