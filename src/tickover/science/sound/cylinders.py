"""Is it one cylinder? What comes back once a turn of the crank, although the firings come more often.

The hiss of an engine's moving parts, above the band of its firings, swells once a turn of the crank. With one
cylinder that is once a firing; with several it leaves a line at a half, a third, a quarter or a sixth of the
firing rate in the loudness of the hiss. And an engine that drives a propeller has a line where that must be.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import maximum_filter1d, uniform_filter1d

from tickover.science.sound.spectrum.orders import OrderPhase, Orders, at, stretches
from tickover.science.sound.spectrum.spectra import Levels, Samples, power

Floats = NDArray[np.float64]

HISS_HZ = (2000.0, 3800.0)
SWELLS_HZ, GUSTS_HZ = 600.0, 8.0
TURNS, POINTS = 24.0, 512
EVERY = 4
LEAST_S = 0.8
SWELLS_SPAN_S, SPAN_S = 20.0, 8.0
SHARES: Floats = np.array((1 / 6, 1 / 4, 1 / 3))
ASIDE: Floats = np.array((-0.1, -1 / 12, 1 / 12, 0.1))
NONE, FOUR_STROKING = 0.05, 0.15
SILENT = 0.02  # of the mean
TWICE_DB = 5.0
HALF_DB = 6.0  # what four-stroking too slight to be told can leave at a half
PROPELLER_NEAR = 0.04
BLADE_LINES: Floats = np.array(((1.0, 3.0), (2.0, 4.0)))
STANDS_OUT_DB, IN_NOISE_DB = 8.0, 3.0
BLADE_ASIDE: Floats = np.array((-0.14, -0.1, -0.06, 0.06, 0.1, 0.14))
CLEAR, CLEAR_ASIDE = 0.1, 0.045
LOWEST_DB, HIGHEST_DB = -6.0, 25.0


def several_db(
    samples: Samples,
    sample_hz: float,
    hop_s: float,
    rate_hz: Floats,
    depth: Floats,
    blade_order: float | None,
) -> Floats:
    """By how much the hiss swells less or more often than firings come [frames], over twenty seconds. [dB]

    More often: where every second firing nearly fails, half of the speed is followed. That it swells every
    second firing counts only where these are alike: `depth` is that of four-stroking, which beats with the
    propeller at a quarter too. NaN where the rate is not followed for long enough. Noise alone gives up to 3 dB.
    """
    found = np.full(rate_hz.size, np.nan)
    parts = [part for part in stretches(rate_hz) if (part[1] - part[0]) * hop_s >= LEAST_S]
    if not parts:
        return found
    hiss = _loudness(samples, sample_hz)
    rows = [np.arange(first + EVERY // 2, end, EVERY) for first, end in parts]
    squared = np.concatenate(
        [_spectra(hiss, sample_hz, hop_s, rate_hz, p, r) for p, r in zip(parts, rows, strict=True)]
    )
    frame = np.concatenate(rows)
    span = round(SWELLS_SPAN_S / hop_s / EVERY)
    shares, half, twice = _swells_db(_around(squared.astype(np.float64), span), blade_order)
    known = np.isfinite(depth[frame])
    deep = np.nan_to_num(depth[frame])
    alike = known & (maximum_filter1d(deep, span, mode="nearest") < NONE)
    best = np.where(_around(deep[:, None], span)[:, 0] > FOUR_STROKING, 0.0, shares)
    best = np.maximum(np.maximum(best, np.where(alike, half, 0.0)), twice)
    for first, end in parts:
        found[first:end] = np.interp(np.arange(first, end), frame, best)
    return found


def _around(values: Floats, span: int) -> Floats:
    """Mean [rows] of the rows there are within half of `span` on each side."""
    total = np.cumsum(np.concatenate((np.zeros((1, values.shape[1])), values)), axis=0)
    row = np.arange(len(values))
    begin, end = np.maximum(row - span // 2, 0), np.minimum(row + span // 2 + 1, len(values))
    found: Floats = (total[end] - total[begin]) / (end - begin)[:, None]
    return found


def _loudness(samples: Samples, sample_hz: float) -> Samples:
    """How the loudness of the hiss swells about its mean of an eighth of a second. [1]"""
    from scipy.signal import butter, sosfilt, sosfiltfilt

    low, high = min(HISS_HZ[0], 0.25 * sample_hz), min(HISS_HZ[1], 0.47 * sample_hz)
    hiss = np.abs(sosfilt(butter(3, (low, high), "bandpass", fs=sample_hz, output="sos"), samples))
    mean = sosfiltfilt(butter(1, GUSTS_HZ, fs=sample_hz, output="sos"), hiss)
    swelling = hiss / np.maximum(mean, SILENT * hiss.mean() + 1e-9) - 1.0
    slow: Samples = sosfilt(butter(2, SWELLS_HZ, fs=sample_hz, output="sos"), swelling).astype(np.float32)
    return slow


def _spectra(
    hiss: Samples,
    sample_hz: float,
    hop_s: float,
    rate_hz: Floats,
    part: tuple[int, int],
    rows: NDArray[np.intp],
) -> Levels:
    time_s: Floats = np.arange(rate_hz.size, dtype=np.float64) * hop_s
    phase = OrderPhase(time_s[slice(*part)], rate_hz[slice(*part)])
    wanted = phase.at(time_s[rows])[:, None] + TURNS * ((np.arange(POINTS) + 0.5) / POINTS - 0.5)
    return power(phase.sampled(hiss, sample_hz, wanted), POINTS // 2)


def _swells_db(squared: Floats, blade_order: float | None) -> tuple[Floats, Floats, Floats]:
    """Lines at a sixth, a quarter or a third, at a half, and by how much that at twice outdoes that at once. [dB]

    A line that stands on the other side of the firing rate too is no swelling of the hiss but a tone.
    """

    def level_db(order: Floats) -> Floats:
        place = np.rint(order * 2.0 * TURNS).astype(np.intp)
        beside = np.mean(
            [squared[:, np.rint((order + a) * 2.0 * TURNS).astype(np.intp)] for a in ASIDE], axis=0
        )
        found: Floats = 10.0 * np.log10(np.maximum(squared[:, place], 1e-9) / np.maximum(beside, 1e-9))
        return found

    tone = np.maximum(level_db(1.0 - SHARES), level_db(1.0 + SHARES))
    shares = level_db(SHARES) - np.maximum(tone, 0.0)
    half, once, twice = level_db(np.array((0.5, 1.0, 2.0))).T
    return (
        shares.max(axis=1),
        np.zeros(len(half)) if _beats(blade_order) else half - HALF_DB,
        np.where(twice > TWICE_DB, twice - once, 0.0),
    )


def _beats(blade_order: float | None) -> bool:
    """Whether a line of the propeller beats with the firings at half of their rate."""
    if blade_order is None:
        return False
    beats = BLADE_LINES * blade_order % 1.0
    return bool(np.abs(beats - 0.5).min() < PROPELLER_NEAR)


def propeller_db(orders: Orders, frames: int, hop_s: float, blade_order: float) -> Floats:
    """Height of the propeller's highest line [frames] over what is beside it, over eight seconds. [dB]

    Where its second or fourth stands out and neither first nor third does, the speed is taken for half of
    what it is: then these count. NaN where no line lies clear of those of the firings, or nothing is followed.
    """
    found = np.full(frames, np.nan)
    odd, even = (_highest_db(orders, hop_s, blade_order * lines) for lines in BLADE_LINES)
    halved = (even > STANDS_OUT_DB) & (odd < IN_NOISE_DB)
    found[orders.index] = np.where(halved, odd, np.fmax(odd, even))
    return found


def _highest_db(orders: Orders, hop_s: float, lines: Floats) -> Floats:
    """Height of the highest of these lines that lie clear [orders.index]; NaN where none does. [dB]"""
    span = min(round(SPAN_S / hop_s), orders.index.size)
    clear = lines[(lines > 1.0 / 3.0) & (_from_firings(lines) > CLEAR)]
    heights = [uniform_filter1d(_line_db(orders, float(line)), span, mode="nearest") for line in clear]
    return np.max(heights, axis=0) if heights else np.full(orders.index.size, np.nan)


def _from_firings(order: Floats) -> Floats:
    """How far an order lies from the whole and half ones. [1]"""
    return np.abs(2.0 * order - np.rint(2.0 * order)) / 2.0


def _line_db(orders: Orders, line: float) -> Floats:
    aside = line + BLADE_ASIDE
    aside = aside[_from_firings(aside) > CLEAR_ASIDE]
    here, there = (
        np.clip(at(orders.levels_db, orders.bins_per_order[:, None] * o), LOWEST_DB, HIGHEST_DB)
        for o in (np.array((line - 0.01, line, line + 0.01)), aside)
    )
    height: Floats = here.max(axis=1).astype(np.float64) - np.median(there, axis=1)
    return height
