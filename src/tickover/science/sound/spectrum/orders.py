"""The sound on an axis of engine turns, where the lines of an engine stand still while its speed changes.

Order n is the line that comes n times in each firing period of the track that is followed.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from tickover.science.sound.spectrum.spectra import Levels, Samples, above_noise_db, power

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

POINTS = 2048
WINDOW_S = 0.4
FINE_S = 0.0125
AT_ONCE = 48  # frames whose workings fit into a processor's cache
FEWEST_TURNS, MOST_TURNS = 12.0, 48.0
NOISE_BINS = 128
LARGEST_STEP = 0.1
SMOOTHED = 7
SLIP = 0.025
SLIPS = np.linspace(-SLIP, SLIP, 21)
LINES = np.arange(1, 17)
TOP_HZ = 1500.0
CEILING_DB = 25.0
FADES = 0.3


@dataclass(frozen=True, eq=False)
class Orders:
    """Spectra on the axis of turns: `levels_db` [frames, bins] of the frames numbered `index`.

    `rate_hz` is the refined firing rate [Hz]; order n of frame i stands at bin n * `bins_per_order[i]`.
    `sharpness_db` is how far the comb of lines falls away beside that rate. [dB]
    """

    index: Indices
    rate_hz: Floats
    bins_per_order: Floats
    levels_db: Levels
    sharpness_db: Floats


def stretches(rate_hz: Floats) -> list[tuple[int, int]]:
    """First frame and end of each stretch without a gap (NaN) and without a jump of more than 10 %."""
    log = np.log(rate_hz)
    breaks = np.flatnonzero(~(np.abs(np.diff(log)) <= LARGEST_STEP)) + 1
    edges = [0, *breaks.tolist(), rate_hz.size]
    return [(a, b) for a, b in pairwise(edges) if b > a and np.isfinite(log[a])]


def smoothed(rate_hz: Floats) -> Floats:
    """The same track without the steps of its grid."""
    from scipy.signal import savgol_filter

    result = rate_hz.copy()
    for first, end in stretches(rate_hz):
        if end - first >= SMOOTHED:
            result[first:end] = np.exp(savgol_filter(np.log(rate_hz[first:end]), SMOOTHED, 2))
    return result


def by_orders(samples: Samples, sample_hz: float, hop_s: float, rate_hz: Floats) -> Orders:
    """Order spectra of the frames in which `rate_hz` [frames] is known; frame n is centred at n * hop_s."""
    index = np.flatnonzero(np.isfinite(rate_hz))
    centre_s: Floats = np.arange(rate_hz.size, dtype=np.float64) * hop_s
    coarse_hz: Floats = np.interp(centre_s, centre_s[index], rate_hz[index])
    turns = np.clip(np.rint(WINDOW_S * coarse_hz[index]), FEWEST_TURNS, MOST_TURNS)
    phase = OrderPhase(centre_s, coarse_hz)
    middle = phase.at(centre_s[index])
    parts = [slice(first, first + AT_ONCE) for first in range(0, index.size, AT_ONCE)]
    levels = np.concatenate([_levels(samples, sample_hz, phase, middle[p], turns[p]) for p in parts])
    slip, sharpness_db = _slip(levels, 2.0 * turns, coarse_hz[index])
    return Orders(index, coarse_hz[index] * (1 + slip), 2.0 * turns * (1 + slip), levels, sharpness_db)


def _levels(samples: Samples, sample_hz: float, phase: OrderPhase, middle: Floats, turns: Floats) -> Levels:
    """Spectra of frames of so many `turns` around the phases `middle`, in decibels above the noise. [dB]"""
    wanted = middle[:, None] + turns[:, None] * ((np.arange(POINTS) + 0.5) / POINTS - 0.5)
    return above_noise_db(power(phase.sampled(samples, sample_hz, wanted), POINTS), NOISE_BINS)


class OrderPhase:
    """Turns of the firing period since the sound began, for a track [frames] without gaps. [1]"""

    def __init__(self, centre_s: Floats, rate_hz: Floats) -> None:
        self._fine_s = np.arange(centre_s[0] - 1.0, centre_s[-1] + 1.0, FINE_S)
        fine_hz = np.interp(self._fine_s, centre_s, rate_hz)
        steps = (fine_hz[1:] + fine_hz[:-1]) * (FINE_S / 2.0)
        self._phase = np.concatenate(([0.0], np.cumsum(steps)))

    def at(self, time_s: Floats) -> Floats:
        """Phase at each time [s]. [turns]"""
        return np.interp(time_s, self._fine_s, self._phase)

    def sampled(self, samples: Samples, sample_hz: float, phase: Floats) -> Samples:
        """`samples` at each phase [turns], by straight lines between two; silence outside of them."""
        place = np.interp(phase.ravel(), self._phase, self._fine_s) * sample_hz
        low = np.clip(place.astype(np.intp), 0, samples.size - 2)
        part = (place - low).astype(np.float32)
        before = samples.take(low)
        found = before + part * (samples[1:].take(low) - before)
        if place.min() < 0.0 or place.max() > samples.size - 1:
            found[(place < 0.0) | (place > samples.size - 1)] = 0.0
        return found.reshape(phase.shape)


def _slip(levels_db: Levels, bins_per_order: Floats, rate_hz: Floats) -> tuple[Floats, Floats]:
    """By which share the comb of lines stands beside the track, and how sharp it stands out. [1, dB]"""
    weight = np.where(rate_hz[:, None] * LINES < TOP_HZ, LINES**-FADES, 0.0)
    weight = (weight / weight.sum(axis=1, keepdims=True)).astype(np.float32)
    lines = bins_per_order[:, None] * LINES
    heights = (np.clip(at(levels_db, lines * (1.0 + slip)), 0.0, CEILING_DB) for slip in SLIPS)
    comb = np.array([np.einsum("fn,fn->f", height, weight) for height in heights])
    best = np.clip(comb.argmax(axis=0), 1, SLIPS.size - 2)
    frame = np.arange(best.size)
    left, peak, right = comb[best - 1, frame], comb[best, frame], comb[best + 1, frame]
    bend = np.minimum(left - 2.0 * peak + right, -1e-6)
    between = np.clip(0.5 * (left - right) / bend, -1.0, 1.0)
    return SLIPS[best] + between * (SLIPS[1] - SLIPS[0]), peak - np.median(comb, axis=0)


def at(levels_db: Levels, places: Floats) -> Levels:
    """Levels [frames, n] at `places` [frames, n] in bins, by straight lines between two bins."""
    low = np.clip(places.astype(np.intp), 0, levels_db.shape[1] - 2)
    part = np.clip(places - low, 0.0, 1.0).astype(np.float32)
    low += np.arange(len(levels_db))[:, None] * levels_db.shape[1]
    before, after = levels_db.ravel().take(low), levels_db.ravel().take(low + 1)
    found: Levels = before * (1.0 - part) + after * part
    return found
