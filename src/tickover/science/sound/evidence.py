"""How well is the firing rate founded, frame by frame? What a listener would look at, as numbers."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import uniform_filter1d

from tickover.science.sound.cylinders import SPAN_S, propeller_db
from tickover.science.sound.multiples import (
    HALF,
    LINES,
    QUARTERS,
    THIRDS,
    WANTED_GAP_DB,
    SecondLook,
    averaged,
)
from tickover.science.sound.spectrum.orders import Orders, at, stretches

Floats = NDArray[np.float64]

ONE: Floats = np.ones(1)
# Beside the quarters, and as far from the lines that may be at whole and half orders.
ASIDE = (0.18, 0.34, 0.66, 0.82)
EVERY = 4
SMOOTH = 5
ROUGH = 21
LIKE_A_MEAN = 4.0  # set by hand: a parabola leaves less of a rough track than the mean of five frames, to
# which the weight of roughness was fitted, but it bends with a throttle that is thrown open
AROUND_S = 6.0
THOUSANDTH = 1e-3
WANTED_BLADE_DB = 5.0
FIRST_LINES: Floats = np.array((1.0, 2.0, 3.0))
HIDDEN_DB, SEEN_DB = 14.0, 22.0
IDLE_HZ, LOUD_HZ = 40.0, 60.0  # from where a propeller that is driven is heard


@dataclass(frozen=True, eq=False)
class SpeedEvidence:
    """What speaks for and against a track, each [frames], NaN where nothing is followed.

    lines_db: height of its lines. gaps_db: the shallower of its gaps half-way and at thirds, above what is
    wanted. own_db: by how much its odd lines are as high as its even ones. quarters_db: by how much lines
    stand out at quarters, as those of an engine of four cylinders do. sharpness_db: of its comb. length: of
    the stretch [log10 s]. slope: change of the logarithm of the rate [1/s]. roughness: of the rate beside
    a parabola through five frames [%]. evenness: spread of the rate within a second, against a thousandth [log10].
    lead_db: by how much the second look prefers it. restless: new beginnings in the six seconds around.
    geared: 1 where gear ratio and blades are known, 0 where not. bladeless: by how much the propeller's line
    falls short of what is wanted of one, above idle, where its place is known. several_db: by how much the
    hiss swells less often than the firings come, as with several cylinders; none where not listened for.
    """

    lines_db: Floats
    gaps_db: Floats
    own_db: Floats
    quarters_db: Floats
    sharpness_db: Floats
    length: Floats
    slope: Floats
    roughness: Floats
    evenness: Floats
    lead_db: Floats
    restless: Floats
    geared: Floats
    bladeless: Floats
    several_db: Floats | None = None


def evidence(
    orders: Orders, frames: int, hop_s: float, lead_db: Floats, blade_order: float | None
) -> SpeedEvidence:
    """Evidence for the track that `orders` follow through a sound of so many frames."""
    rate_hz = np.full(frames, np.nan)
    rate_hz[orders.index] = orders.rate_hz
    sharpness_db = np.full(frames, np.nan)
    sharpness_db[orders.index] = orders.sharpness_db
    moving = np.full((5, frames), np.nan)
    begins = np.zeros(frames)
    for first, end in stretches(rate_hz):
        begins[first] = 1.0
        part = slice(first, end)
        moving[:, part] = _of_stretch(sharpness_db[part], np.log(rate_hz[part]), hop_s)
    around = min(round(AROUND_S / hop_s), frames)
    restless = uniform_filter1d(begins, around, mode="constant") * around
    followed = np.where(np.isfinite(rate_hz), 1.0, np.nan)
    lines, gaps, own, quarters = _of_lines(orders, frames, hop_s)
    sharp, length, slope, rough, even = moving
    return SpeedEvidence(
        lines,
        gaps,
        own,
        quarters,
        sharp,
        length,
        slope,
        rough,
        even,
        lead_db,
        restless * followed,
        (blade_order is not None) * followed,
        _bladeless(orders, rate_hz, hop_s, blade_order) * followed,
    )


def _bladeless(orders: Orders, rate_hz: Floats, hop_s: float, blade_order: float | None) -> Floats:
    if blade_order is None:
        return np.zeros(rate_hz.size)
    height = propeller_db(orders, rate_hz.size, hop_s, blade_order)
    missing = np.clip(WANTED_BLADE_DB - np.nan_to_num(height, nan=WANTED_BLADE_DB), 0.0, WANTED_BLADE_DB)
    # Where the firings themselves hardly stand out of the noise it may hide the propeller.
    firings = np.full(rate_hz.size, np.nan)
    firings[orders.index] = at(orders.levels_db, orders.bins_per_order[:, None] * FIRST_LINES).mean(axis=1)
    firings[orders.index] = uniform_filter1d(
        firings[orders.index], min(round(SPAN_S / hop_s), orders.index.size), mode="nearest"
    )
    loud = np.clip((rate_hz - IDLE_HZ) / (LOUD_HZ - IDLE_HZ), 0.0, 1.0)
    return missing * loud * np.clip((firings - HIDDEN_DB) / (SEEN_DB - HIDDEN_DB), 0.0, 1.0)


def _of_lines(orders: Orders, frames: int, hop_s: float) -> Floats:
    """Lines, gaps, own and quarters [4, frames], from every fourth frame."""
    rows = np.arange(0, orders.index.size, EVERY)
    look = SecondLook(averaged(orders, rows, frames, hop_s, ONE), orders.rate_hz[rows], ONE)
    half, thirds, own = (look.gap_db(*a)[0][:, 0] for a in ((HALF,), (THIRDS,), (HALF, 2)))
    lines = look.lines_db(range(1, LINES + 1))[:, 0]
    quarters = look.peak_db(QUARTERS, ASIDE)[:, 0]
    seen = (lines, np.minimum(half, thirds) - WANTED_GAP_DB, WANTED_GAP_DB - own, quarters)
    found = np.full((4, frames), np.nan)
    found[:, orders.index] = np.repeat(np.array(seen), EVERY, axis=1)[:, : orders.index.size]
    return found


def _of_stretch(sharpness_db: Floats, log_rate: Floats, hop_s: float) -> Floats:
    """Sharpness, length, slope, roughness and evenness [5, frames] of one stretch."""
    from scipy.signal import savgol_filter

    size = log_rate.size
    calm = uniform_filter1d(log_rate, min(SMOOTH, size), mode="nearest")
    slope = np.abs(np.gradient(calm, hop_s)) if size > 1 else np.zeros(size)
    bent = savgol_filter(log_rate, SMOOTH, 2) if size >= SMOOTH else calm
    rough = 100.0 * LIKE_A_MEAN * uniform_filter1d(np.abs(log_rate - bent), min(ROUGH, size), mode="nearest")
    second = min(round(1.0 / hop_s), size)
    from_mean = log_rate - log_rate.mean()
    mean, square = (uniform_filter1d(a, second, mode="nearest") for a in (from_mean, from_mean**2))
    spread = np.sqrt(np.clip(square - mean**2, 1e-12, None))
    sharp = uniform_filter1d(sharpness_db, min(SMOOTH, size), mode="nearest")
    return np.array(
        (sharp, np.full(size, np.log10(size * hop_s)), slope, rough, np.log10(spread / THOUSANDTH))
    )
