"""Listen to a stretch of sound: first look, second look, and how well the answer is founded."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import uniform_filter1d

from tickover.science.sound.bridges import Gap, bridged, gaps
from tickover.science.sound.confidence import confidence
from tickover.science.sound.cylinders import several_db
from tickover.science.sound.evidence import SpeedEvidence, evidence
from tickover.science.sound.four_stroking import four_stroking
from tickover.science.sound.multiples import multiples_of
from tickover.science.sound.spectrum.comb import Comb
from tickover.science.sound.spectrum.orders import by_orders, smoothed
from tickover.science.sound.spectrum.path import NOTHING, likeliest
from tickover.science.sound.spectrum.spectra import Levels, Samples, above_noise_db, fft_length, frames, power

Floats = NDArray[np.float64]

HOP_S = 0.05
WINDOW_S = 0.32
TOP_HZ = 1700.0
NOISE_BAND_HZ = 200.0
NOTHING_DB, JUMP_DB, STEP_DB = 3.0, 12.0, 0.5
REACH = 11
LOUD_OVER_S = 0.5
SILENT = 1e-4  # of full scale
AT_ONCE = 48  # frames whose workings fit into a processor's cache


@dataclass(frozen=True, eq=False)
class FollowedSound:
    """What was heard in each frame: firing rate [Hz], probability that it is right, depth of four-stroking.

    `quarters_db` is by how much lines stand out at quarters of the rate, `several_db` by how much the hiss
    swells less often than the firings come [dB]; `bladeless` by how much the propeller's line falls short.
    NaN where nothing was followed. `loudness` is how strongly the sound changes from sample to sample, which
    an engine's hiss does and the rumble of wind does not.
    """

    rate_hz: Floats
    confidence: Floats
    four_stroking: Floats
    quarters_db: Floats
    several_db: Floats
    bladeless: Floats
    loudness: Floats


def listen(
    samples: Samples, sample_hz: float, range_hz: tuple[float, float], blade_order: float | None
) -> FollowedSound:
    """Follow the firing rate through `samples`; frame n is centred at n * 0.05 s.

    Parameters
    ----------
    samples : array
    sample_hz : float
        Sampling rate, 4,000 to 9,600. [Hz]
    range_hz : two floats
        Lowest and highest firing rate looked for. [Hz]
    blade_order : float, optional
        Blades that pass for each firing: blades / gear ratio. [1]
    """
    count = int(samples.size / sample_hz / HOP_S)
    nothing = np.full(count, np.nan)
    loudness = _loudness(samples, sample_hz, count)
    silent = np.abs(samples).max(initial=0.0) <= SILENT
    rate_hz = nothing if silent or not count else _first_look(samples, sample_hz, range_hz, count)
    if np.isfinite(rate_hz).any():
        orders = by_orders(samples, sample_hz, HOP_S, smoothed(rate_hz))
        rate_hz, lead_db = multiples_of(orders, count, HOP_S, range_hz, blade_order)
    if not np.isfinite(rate_hz).any():
        return FollowedSound(nothing, np.zeros(count), nothing, nothing, nothing, nothing, loudness)
    rate_hz, found = _founded(samples, sample_hz, rate_hz, lead_db, blade_order)
    over = gaps(rate_hz, confidence(found), HOP_S)
    if over:
        rate_hz = bridged(samples, sample_hz, HOP_S, rate_hz, over)
        rate_hz, found = _founded(samples, sample_hz, rate_hz, _led(lead_db, over), blade_order)
    depth = four_stroking(samples, sample_hz, HOP_S, rate_hz, blade_order)
    several = several_db(samples, sample_hz, HOP_S, rate_hz, depth, blade_order)
    sure = confidence(replace(found, several_db=several))
    return FollowedSound(rate_hz, sure, depth, found.quarters_db, several, found.bladeless, loudness)


def _loudness(samples: Samples, sample_hz: float, count: int) -> Floats:
    """Root mean square [count] of the change from sample to sample, over half a second around each frame."""
    if not count:
        return np.empty(0)
    squared = np.diff(samples, prepend=samples[:1]).astype(np.float64) ** 2
    mean = uniform_filter1d(squared, round(LOUD_OVER_S * sample_hz), mode="nearest")
    found: Floats = np.sqrt(np.abs(mean[np.rint(np.arange(count) * HOP_S * sample_hz).astype(np.intp)]))
    return found


def _founded(
    samples: Samples, sample_hz: float, rate_hz: Floats, lead_db: Floats, blade_order: float | None
) -> tuple[Floats, SpeedEvidence]:
    """A track of the firing rate, refined [Hz], and how well it is founded."""
    orders = by_orders(samples, sample_hz, HOP_S, smoothed(rate_hz))
    refined = rate_hz.copy()
    refined[orders.index] = orders.rate_hz
    return smoothed(refined), evidence(orders, rate_hz.size, HOP_S, lead_db, blade_order)


def _led(lead_db: Floats, over: list[Gap]) -> Floats:
    """The lead of the second look, between the gaps' ends where it did not look."""
    known = np.flatnonzero(np.isfinite(lead_db))
    led = lead_db.copy()
    for first, last in over:
        led[first:last] = np.interp(np.arange(first, last), known, lead_db[known])
    return led


def _first_look(samples: Samples, sample_hz: float, range_hz: tuple[float, float], count: int) -> Floats:
    levels, bin_hz = _levels(samples, sample_hz, count)
    comb = Comb(*range_hz, levels.shape[1], bin_hz)
    path = likeliest(
        comb.scores(levels),
        NOTHING_DB,
        reach=REACH,
        step_cost=STEP_DB,
        jump_cost=JUMP_DB,
        moved=np.zeros(count, dtype=np.intp),
    )
    return np.where(path == NOTHING, np.nan, comb.rates_hz[path])


def _levels(samples: Samples, sample_hz: float, count: int) -> tuple[Levels, float]:
    """Spectra of all frames in decibels above the noise, and the width of their bins. [dB, Hz]"""
    length = int(WINDOW_S * sample_hz)
    bin_hz = sample_hz / fft_length(length)
    bins = int(min(TOP_HZ, 0.5 * sample_hz) / bin_hz)
    padded = np.pad(samples, (length // 2, length))
    parts = [(first, min(AT_ONCE, count - first)) for first in range(0, count, AT_ONCE)]
    framed = (frames(padded, first, HOP_S * sample_hz, number, length) for first, number in parts)
    width = round(NOISE_BAND_HZ / bin_hz)
    return np.concatenate([above_noise_db(power(frame, bins), width) for frame in framed]), bin_hz
