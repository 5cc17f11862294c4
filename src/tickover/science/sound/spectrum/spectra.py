"""Spectra of a sound, frame by frame, as decibels above the noise around each line."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.fft import next_fast_len, rfft

Levels = NDArray[np.float32]
Samples = NDArray[np.float32]

QUANTILE = 0.3
# In noise the power of a bin is exponential: 30 % of it lie below -ln(0.7) of the mean.
NOISE_DB = float(-10.0 * np.log10(-np.log(1.0 - QUANTILE)))
SILENT = 1e-12
NATURAL_DB = np.float32(10.0 / np.log(10.0))


def frames(samples: Samples, first: int, hop: float, count: int, length: int) -> Samples:
    """Frames [count, length] of `samples`, from frame number `first` on, each `hop` samples after the last."""
    starts = np.rint((first + np.arange(count)) * hop).astype(np.intp)
    framed: Samples = samples[starts[:, None] + np.arange(length)]
    return framed


def power(framed: Samples, bins: int) -> Levels:
    """Power [count, bins] of each frame under a Hann window, twice as dense as the frame alone would give."""
    length = framed.shape[1]
    lines = rfft(framed * _hann(length), n=fft_length(length), axis=1)[:, :bins]
    squared: Levels = lines.real**2 + lines.imag**2
    return squared


@lru_cache(maxsize=8)
def _hann(length: int) -> Samples:
    return np.hanning(length).astype(np.float32)


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
    noise_db = _decibels(quiet) + np.float32(NOISE_DB)
    first = width // 2
    last = first + (bands - 1) * width
    part = ((first + np.arange(width) + 0.5) / width - 0.5).astype(np.float32)
    between = noise_db[:, :-1, None] + np.diff(noise_db, axis=1)[:, :, None] * part
    above = _decibels(squared)
    above[:, :first] -= noise_db[:, :1]
    above[:, first:last] -= between.reshape(len(above), -1)
    above[:, last:] -= noise_db[:, -1:]
    return above


def _decibels(squared: Levels) -> Levels:
    found: Levels = np.log(squared + np.float32(SILENT))
    found *= NATURAL_DB
    return found
