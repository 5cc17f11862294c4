"""Spectra of a sound, frame by frame, as decibels above the noise around each line."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.fft import next_fast_len, rfft

Levels = NDArray[np.float32]
Samples = NDArray[np.float32]

QUANTILE = 0.3
# In noise the power of a bin is exponential: 30 % of it lie below -ln(0.7) of the mean.
NOISE_DB = float(-10.0 * np.log10(-np.log(1.0 - QUANTILE)))
SILENT = 1e-12


def frames(samples: Samples, first: int, hop: float, count: int, length: int) -> Samples:
    """Frames [count, length] of `samples`, from frame number `first` on, each `hop` samples after the last."""
    starts = np.rint((first + np.arange(count)) * hop).astype(np.intp)
    framed: Samples = samples[starts[:, None] + np.arange(length)]
    return framed


def power(framed: Samples, bins: int) -> Levels:
    """Power [count, bins] of each frame under a Hann window, twice as dense as the frame alone would give."""
    length = framed.shape[1]
    window = np.hanning(length).astype(np.float32)
    lines = rfft(framed * window, n=fft_length(length), axis=1)[:, :bins]
    squared: Levels = lines.real**2 + lines.imag**2
    return squared


def fft_length(length: int) -> int:
    """Points of the transform of a frame of `length` samples."""
    return next_fast_len(2 * length, real=True)


def above_noise_db(squared: Levels, width: int) -> Levels:
    """How far each bin stands above the noise around it. [dB]

    The noise of a band of `width` bins is taken from the quietest 30 % of its bins, which a comb of lines leaves
    free, and is drawn from band to band by straight lines in decibels.
    """
    bands = squared.shape[1] // width
    banded = squared[:, : bands * width].reshape(len(squared), bands, width)
    rank = int(QUANTILE * width)
    quiet = np.partition(banded, rank, axis=2)[:, :, rank]
    noise_db = 10.0 * np.log10(quiet + SILENT) + NOISE_DB
    place = np.clip((np.arange(squared.shape[1]) + 0.5) / width - 0.5, 0.0, bands - 1.0)
    low = np.minimum(place.astype(np.intp), bands - 2)
    part = (place - low).astype(np.float32)
    between = noise_db[:, low] * (1.0 - part) + noise_db[:, low + 1] * part
    above: Levels = (10.0 * np.log10(squared + SILENT) - between).astype(np.float32)
    return above
