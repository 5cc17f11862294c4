"""How deep is an engine's four-stroking: how much weaker is every second firing than the one before?

Firings of one strength S give lines at whole multiples of the firing rate, in proportion to S. Where every
second one has only the strength S (1 - d) those fall to 1 - d/2, and lines half-way between them rise to d/2:
so the depth d is 2 r / (1 + r) of the ratio r of the half-way lines to their neighbours (Fourier series).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import uniform_filter1d

from tickover.science.sound.spectrum.orders import OrderPhase, stretches
from tickover.science.sound.spectrum.spectra import Levels, Samples, power

Floats = NDArray[np.float64]

LOW_HZ, HIGH_HZ = 90.0, 1000.0  # below there is wind, above uneven timing blurs the lines
BENT, MOST = np.float32(0.95), np.float32(0.985)
NEAR_PEAK, OVERDRIVEN = 0.9, 0.25
POINTS = 4096
WINDOW_S = 2.0  # of firings that are uneven by chance, the more the less they look uneven by turns
SPAN_S = 3.0
FEWEST_TURNS, MOST_TURNS = 12.0, 200.0
LEAST_S = 0.8
EVERY = 4
LINE: Floats = np.arange(1.0, 16.0)
BESIDE: Floats = np.arange(0.14, 0.37, 1.0 / 32.0)
BLADE_LINES: Floats = np.arange(1.0, 5.0)
TOO_CLOSE = 0.07
INDEPENDENT = 1.5  # frames under a Hann window are, at half its length
UNLIKE = 0.2  # by which share neighbouring lines differ for other reasons
ROUNDS = 3
UNSURE = 0.1


def straightened(samples: Samples) -> Samples:
    """The sound before the recorder bent its peaks, which makes strong firings look like weak ones.

    The curve is taken to be a hyperbolic tangent: an assumption, the curve of a given recorder is not known.
    """
    found: Samples = np.arctanh(np.clip(BENT * samples, -MOST, MOST)).astype(np.float32)
    return found


def four_stroking(
    samples: Samples, sample_hz: float, hop_s: float, rate_hz: Floats, blade_order: float | None = None
) -> Floats:
    """Depth of four-stroking [frames] along a track of the firing rate [Hz]; NaN where it cannot be told. [1]

    Taken over about three seconds around each frame. Lines near those of the propeller are left out where
    `blade_order`, the blades that pass for each firing, is known. Nothing is told of a recording that stands
    at its limit for a quarter of its samples: all firings look alike there.
    """
    depth = np.full(rate_hz.size, np.nan)
    level = np.abs(samples)
    if not level.size or (level > NEAR_PEAK * level.max()).mean() > OVERDRIVEN:
        return depth
    heard = straightened(samples)
    for first, end in stretches(rate_hz):
        if (end - first) * hop_s >= LEAST_S:
            part = slice(first, end)
            centre_s: Floats = np.arange(first, end, dtype=np.float64) * hop_s
            depth[part] = _of_stretch(heard, sample_hz, centre_s, rate_hz[part], blade_order)
    return depth


def _of_stretch(
    heard: Samples, sample_hz: float, centre_s: Floats, rate_hz: Floats, blade_order: float | None
) -> Floats:
    """Depth at the times `centre_s` of one stretch."""
    phase = OrderPhase(centre_s, rate_hz)
    begin, end = phase.at(centre_s[[0, -1]])
    if end - begin < FEWEST_TURNS:
        return np.full(centre_s.size, np.nan)
    wanted = np.clip(WINDOW_S * np.median(rate_hz), FEWEST_TURNS, MOST_TURNS)
    turns = float(np.rint(min(wanted, end - begin)))
    rows = np.arange(min(EVERY, centre_s.size) // 2, centre_s.size, EVERY)
    middle = np.clip(phase.at(centre_s[rows]), begin + turns / 2.0, end - turns / 2.0)
    at = middle[:, None] + turns * ((np.arange(POINTS) + 0.5) / POINTS - 0.5)
    squared = power(phase.sampled(heard, sample_hz, at), POINTS)
    span = min(round(SPAN_S * rows.size / max(centre_s[-1] - centre_s[0], SPAN_S)), rows.size)
    lines, halves = _above_noise(squared, 2.0 * turns, max(span, 1))
    use = _useful(rate_hz[rows], min(HIGH_HZ, 0.47 * sample_hz), blade_order)
    independent = INDEPENDENT * max(1.0, SPAN_S * float(np.median(rate_hz)) / turns)
    return np.interp(np.arange(centre_s.size), rows, _depth(lines, halves, use, 1.0 / independent))


def _above_noise(squared: Levels, bins_per_order: float, span: int) -> tuple[Floats, Floats]:
    """Power of whole and half-way lines [rows, LINE] over the noise beside the half-way ones. [1]"""

    def mean(order: Floats) -> Floats:
        place = np.minimum(np.rint(order * bins_per_order).astype(np.intp), squared.shape[1] - 1)
        return uniform_filter1d(squared[:, place].astype(np.float64), span, axis=0, mode="nearest")

    beside = np.concatenate((-BESIDE, BESIDE))
    noise = np.mean([mean(LINE + 0.5 + aside) for aside in beside], axis=0) + 1e-30
    low, high = (np.maximum(mean(line) / noise - 1.0, 1e-3) for line in (LINE, LINE + 1.0))
    return np.sqrt(low * high), mean(LINE + 0.5) / noise - 1.0


def _useful(rate_hz: Floats, high_hz: float, blade_order: float | None) -> NDArray[np.bool_]:
    """Which half-way lines [rows, LINE] lie in the band and clear of the propeller's."""
    place_hz = rate_hz[:, None] * (LINE + 0.5)
    useful: NDArray[np.bool_] = (place_hz > LOW_HZ) & (place_hz < high_hz)
    if blade_order is None:
        return useful
    asked = LINE[:, None, None] + np.array((0.0, 0.5, 1.0))[:, None]
    clear = np.abs(asked - BLADE_LINES * blade_order).min(axis=(1, 2)) > TOO_CLOSE
    useful &= clear
    return useful


def _depth(lines: Floats, halves: Floats, use: NDArray[np.bool_], chance: float) -> Floats:
    """Depth [rows] by least squares over the lines; NaN where its standard error is too large.

    `chance` is the variance of the noise, `UNLIKE` the share by which neighbouring lines differ; as that goes
    with the ratio itself, it is found in a few rounds.
    """
    squared = np.full((len(lines), 1), 0.3)
    for _ in range(ROUNDS):
        weight = use / (chance + (UNLIKE * np.maximum(squared, 0.01) * lines) ** 2)
        total = np.maximum((weight * lines**2).sum(axis=1, keepdims=True), 1e-9)
        squared = (weight * lines * halves).sum(axis=1, keepdims=True) / total
    scatter = chance + (halves - squared * lines) ** 2
    error = np.sqrt(((weight * lines) ** 2 * scatter).sum(axis=1, keepdims=True)) / total
    low, found, high = (_of_ratio(np.sqrt(np.clip(squared + e, 0.0, 1.0))) for e in (-error, 0.0, error))
    clear = use.any(axis=1) & ((high - low)[:, 0] < 2.0 * UNSURE)
    return np.where(clear, found[:, 0], np.nan)


def _of_ratio(ratio: Floats) -> Floats:
    depth: Floats = 2.0 * ratio / (1.0 + ratio)
    return depth
