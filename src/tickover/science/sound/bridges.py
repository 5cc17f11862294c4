"""A throttle that is thrown open: the speed between two stretches that are sure, too fast for a look that stands.

Each frame is listened to under several rates of change: its time is warped until an engine that changes at that
rate would stand still. Of all ways from the speed before to the speed after the likeliest is taken.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import binary_erosion

from tickover.science.sound.spectrum.comb import STEP, Comb
from tickover.science.sound.spectrum.path import likeliest
from tickover.science.sound.spectrum.spectra import Levels, Samples, above_noise_db, fft_length, power

Floats = NDArray[np.float64]
Gap = tuple[int, int]

SURE = 0.5
WINDOW_S = 0.3
TOP_HZ = 1700.0
NOISE_BAND_HZ = 200.0
SHORTEST_S, LONGEST_S = 0.3, 3.0
FASTEST = 3.0  # change of the logarithm of the rate [1/s]
SLOPES: Floats = np.linspace(0.0, FASTEST, 9)
LEAST_CHANGE = 0.08
BEYOND = 1.1
BLURRED = 2  # frames
STEP_DB = 0.1
NEVER_DB, MUST_DB = -1e4, 1e4


def gaps(rate_hz: Floats, confidence: Floats, hop_s: float) -> list[Gap]:
    """Last frame before and first frame after each gap in what is sure, where the speed differs.

    A gap begins and ends a little earlier and later than the doubt: what is sure beside it is blurred by it.
    """
    sure = np.flatnonzero(
        binary_erosion(confidence >= SURE, np.ones(2 * BLURRED + 1, dtype=np.bool_), border_value=1)
    )
    before, after = sure[:-1], sure[1:]
    length_s = (after - before) * hop_s
    change = np.abs(np.log(rate_hz[after] / rate_hz[before]))
    wanted = (length_s > SHORTEST_S) & (length_s <= LONGEST_S)
    wanted &= (change > LEAST_CHANGE) & (change < FASTEST * length_s)
    return [(int(a), int(b)) for a, b in zip(before[wanted], after[wanted], strict=True)]


def bridged(samples: Samples, sample_hz: float, hop_s: float, rate_hz: Floats, over: list[Gap]) -> Floats:
    """The track [Hz] with the likeliest way over each gap; frame n is centred at n * hop_s."""
    found = rate_hz.copy()
    for first, last in over:
        found[first : last + 1] = _way(samples, sample_hz, hop_s, np.arange(first, last + 1), rate_hz)
    return found


def _way(
    samples: Samples, sample_hz: float, hop_s: float, frame: NDArray[np.intp], rate_hz: Floats
) -> Floats:
    ends = rate_hz[frame[[0, -1]]]
    slopes = np.sign(ends[1] - ends[0]) * SLOPES
    centre_s: Floats = frame.astype(np.float64) * hop_s
    looks = [_levels(samples, sample_hz, centre_s, float(slope)) for slope in slopes]
    bin_hz = sample_hz / fft_length(int(WINDOW_S * sample_hz))
    comb = Comb(ends.min() / BEYOND, ends.max() * BEYOND, looks[0].shape[1], bin_hz)
    scores = np.max([comb.scores(look) for look in looks], axis=0)
    for row, end in ((0, ends[0]), (-1, ends[1])):
        scores[row, np.abs(np.log(comb.rates_hz / end)).argmin()] += MUST_DB
    path = likeliest(
        scores,
        NEVER_DB,
        reach=round(FASTEST * hop_s / STEP),
        step_cost=STEP_DB,
        jump_cost=-NEVER_DB,
        moved=np.zeros(frame.size, dtype=np.intp),
    )
    return comb.rates_hz[path]


def _levels(samples: Samples, sample_hz: float, centre_s: Floats, slope: float) -> Levels:
    """Spectra of the frames on a time that an engine of this slope would stand still on, above the noise. [dB]"""
    length = int(WINDOW_S * sample_hz)
    even_s = (np.arange(length) - length / 2.0) / sample_hz
    warped_s = np.log1p(slope * even_s) / slope if slope else even_s
    place = np.clip((centre_s[:, None] + warped_s) * sample_hz, 0.0, samples.size - 2.0)
    low = place.astype(np.intp)
    part = (place - low).astype(np.float32)
    framed = samples[low] + part * (samples[low + 1] - samples[low])
    bin_hz = sample_hz / fft_length(length)
    bins = int(min(TOP_HZ, 0.5 * sample_hz) / bin_hz)
    return above_noise_db(power(framed, bins), round(NOISE_BAND_HZ / bin_hz))
