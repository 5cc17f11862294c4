"""How deep is an engine's four-stroking: how much weaker is every second firing than the one before?

Each turn of the crank is laid beside its neighbours: how much of what they have in common does it hold? That
is the strength of its firing. Firings that are strong by turns give two means, and the depth is by how much
the weaker falls short: 0 where each is as strong as the last, 1 where every second one fails.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import uniform_filter1d
from scipy.signal import butter, sosfiltfilt

from tickover.science.sound_orders import Phase, stretches
from tickover.science.sound_spectra import Samples

Floats = NDArray[np.float64]

BAND_HZ = (250.0, 1200.0)  # above wind and the propeller's tone, below where uneven timing blurs the pulse
BENT, MOST = np.float32(0.95), np.float32(0.985)
POINTS = 32
LAGS = 16
FEWEST_TURNS = 20
SPAN_S = 2.0
LEAST_S = 0.8
UNSURE = 0.06


def firings_only(samples: Samples, sample_hz: float) -> Samples:
    """The band of the sound in which single firings are told apart.

    Recorders bend peaks near full scale, which makes strong firings look like weak ones. That curve, taken to
    be a hyperbolic tangent (an assumption: the curve of a given recorder is not known), is undone first.
    """
    straight = np.arctanh(np.clip(BENT * samples, -MOST, MOST))
    high = min(BAND_HZ[1], 0.45 * sample_hz)
    band = butter(2, (BAND_HZ[0], high), "bandpass", fs=sample_hz, output="sos")
    return sosfiltfilt(band, straight).astype(np.float32)


def four_stroking(samples: Samples, sample_hz: float, hop_s: float, rate_hz: Floats) -> Floats:
    """Depth of four-stroking [frames] along a track of the firing rate [Hz]; NaN where it cannot be told. [1]

    Taken over two seconds around each frame. The chance difference of two means of uneven firings is taken
    off; where it is too large the depth is not told.
    """
    heard = firings_only(samples, sample_hz)
    depth = np.full(rate_hz.size, np.nan)
    centre_s: Floats = np.arange(rate_hz.size, dtype=np.float64) * hop_s
    for first, end in stretches(rate_hz):
        if (end - first) * hop_s >= LEAST_S:
            part = slice(first, end)
            phase = Phase(centre_s[part], rate_hz[part])
            depth[part] = _depth(heard, sample_hz, phase, phase.at(centre_s[part]), rate_hz[part])
    return depth


def _depth(heard: Samples, sample_hz: float, phase: Phase, at_turn: Floats, rate_hz: Floats) -> Floats:
    """Depth at the phases `at_turn` [turns] of one stretch."""
    turn = np.arange(np.ceil(at_turn[0]), np.floor(at_turn[-1]) - LAGS)
    if turn.size < FEWEST_TURNS:
        return np.full(at_turn.size, np.nan)
    every = np.arange(turn[0], turn[-1] + LAGS + 1)
    shape = phase.sampled(heard, sample_hz, every[:, None] + (np.arange(POINTS) + 0.5) / POINTS)
    alike = np.array(
        [(shape[: turn.size] * shape[lag : lag + turn.size]).sum(axis=1) for lag in range(1, LAGS + 1)]
    )
    middle = np.arange(2, LAGS)[:, None]
    by_turns = (alike[1:-1] - 0.5 * (alike[:-2] + alike[2:])) * (-1.0) ** middle / 2.0
    span = int(min(SPAN_S * np.median(rate_hz), turn.size))
    mean, difference = (
        uniform_filter1d(a.mean(axis=0).astype(np.float64), span, mode="mirror") for a in (alike, by_turns)
    )
    # Pairs of turns: within a pair the strong and the weak firing differ by what is looked for, not by chance.
    paired = uniform_filter1d(by_turns.mean(axis=0), 2, mode="mirror")
    chance = np.sqrt(uniform_filter1d((paired - difference) ** 2, span, mode="mirror") * LAGS / span)
    # A deep one may be less certain: its depth goes with the root of what is measured here.
    told = (mean > 0.0) & (chance < UNSURE * (mean + 3.0 * np.maximum(difference, 0.0)))
    ratio = np.sqrt(np.clip(difference, 0.0, None) / np.maximum(mean, 1e-30))
    depth = np.where(told, np.minimum(2.0 * ratio / (1.0 + ratio), 1.0), np.nan)
    return np.interp(at_turn, turn + 0.5 + LAGS / 2.0, depth)
