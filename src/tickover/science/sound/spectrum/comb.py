"""First look: which spacing of lines would explain each frame of a sound?

A pulse that comes back f times a second has lines at f, 2f, 3f and so on. Each firing rate of a fine grid is
scored by how far its lines stand above the noise, and by how far the places half-way between them do not.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array

from tickover.science.sound.spectrum.spectra import Levels

STEP = 0.0075
LINES = 16
TOP_HZ = 1500.0
FADES = 0.3
CEILING_DB = 22.0
GAP_CEILING_DB = 30.0
WANTED_GAP_DB = 2.3
GAP_WEIGHT = 1.5

Floats = NDArray[np.float64]


class Comb:
    """Scores of firing rates between `low_hz` and `high_hz`, for spectra with one bin each `bin_hz`. [Hz]"""

    def __init__(self, low_hz: float, high_hz: float, bins: int, bin_hz: float) -> None:
        self.rates_hz: Floats = np.exp(np.arange(np.log(low_hz), np.log(high_hz) + STEP, STEP))
        order = np.arange(1, LINES + 1)
        top_hz = min(TOP_HZ, (bins - 2) * bin_hz)
        weight = np.where(order * self.rates_hz[:, None] < top_hz, order**-FADES, 0.0)
        weight /= weight.sum(axis=1, keepdims=True)
        # A gap is held against the mean of the lines on its two sides; below the first there is one.
        beside = 0.5 * weight
        beside[:, 0] += 0.5 * weight[:, 0]
        beside[:, :-1] += 0.5 * weight[:, 1:]
        places = self.rates_hz[:, None] * order / bin_hz
        half = self.rates_hz[:, None] / 2.0 / bin_hz
        self._lines = _between_bins(places, weight, bins)
        self._gaps = _between_bins(places, beside, bins) - _between_bins(places - half, weight, bins)

    def scores(self, levels_db: Levels) -> Levels:
        """Score [frames, rates] of spectra [frames, bins] in decibels above the noise. [dB]"""
        lines = self._lines @ np.clip(levels_db, 0.0, CEILING_DB).T
        gaps = self._gaps @ np.clip(levels_db, 0.0, GAP_CEILING_DB).T
        found: Levels = lines.T - GAP_WEIGHT * np.clip(WANTED_GAP_DB - gaps.T, 0.0, None)
        return found


def _between_bins(places: Floats, weight: Floats, bins: int) -> csr_array[np.float32]:
    """A matrix that reads spectra at `places`, by straight lines between bins, and adds them by `weight`."""
    places = np.where(weight > 0.0, places, 0.0)
    low = np.minimum(places.astype(np.intp), bins - 2)
    part = places - low
    row = np.repeat(np.arange(len(places)), places.shape[1])
    data = np.concatenate(((weight * (1.0 - part)).ravel(), (weight * part).ravel())).astype(np.float32)
    index = (np.concatenate((row, row)), np.concatenate((low.ravel(), low.ravel() + 1)))
    return csr_array((data, index), shape=(len(places), bins))
