"""Second look: which multiple of the line that is followed is the firing rate?

What was followed first may be half the rate (an engine that fires every second turn), twice the rate, or the
propeller. Spectra on the axis of turns are averaged over seconds, so that faint lines show too; then every
multiple is scored. Half-way lines as strong as their neighbours are lines of a slower engine; weaker ones
are every second firing that fails: four-stroking.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import uniform_filter1d

from tickover.science.sound.spectrum.orders import Orders, stretches
from tickover.science.sound.spectrum.path import NOTHING, likeliest
from tickover.science.sound.spectrum.sorting import put_in_order
from tickover.science.sound.spectrum.spectra import Levels

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

STEP = 0.005
FINE = STEP / 2.0
REACH = round(np.log(4.4) / STEP)
MULTIPLES: Floats = np.exp(STEP * np.arange(-REACH, REACH + 1))
LINES = 16
BLADE_LINES = 4
LOWEST_ORDER = float(MULTIPLES[0]) / 3.0
AXIS: Floats = np.exp(np.arange(np.log(LOWEST_ORDER), np.log(MULTIPLES[-1] * LINES) + FINE, FINE))
TOP_HZ = 2000.0
FADES = 0.3
FLOOR_DB, CEILING_DB = -2.0, 9.0
NOT_LOOKED_AT_DB = -2.5
LOWEST_DB, LARGEST_DB = -6.0, 30.0
SPAN_S = 2.0
SKIP = 2
AROUND = 1.01
EVERY = 4
NOTHING_DB, JUMP_DB, STEP_DB = 1.5, 15.0, 0.5
JUMP = 0.05
SEEN_DB = 3.0
WANTED_GAP_DB = 1.4
GAP_WEIGHT = 4.0
LARGEST_GAP_DB = 4.0
LEEWAY_DB = 4.0
DOUBT = 2.0
BLADE_WEIGHT = 0.5
OUTSIDE = -1000.0
BESIDE = 6
AT_ONCE = 48  # rows whose workings fit into a processor's cache
HALF, THIRDS, QUARTERS = (0.5,), (1 / 3, 2 / 3), (0.25, 0.75)


def averaged(orders: Orders, rows: Indices, frames: int, hop_s: float, multiples: Floats) -> Levels:
    """Levels [rows, AXIS] on the common axis of orders, each the mean of the two seconds around its frame. [dB]

    Frames overlap so much that every second one tells what all of them do. What no line of the multiples asks
    for is left as not looked at.
    """
    used = np.arange(0, orders.index.size, SKIP)
    top = min(LINES * multiples[-1], TOP_HZ / orders.rate_hz.min())
    asked = slice(*np.searchsorted(AXIS, (multiples[0] / 3.0 / AROUND, top * AROUND)))
    places = np.rint(orders.bins_per_order[used, None] * AXIS[asked]).astype(np.intp)
    last = orders.levels_db.shape[1] - 1
    outside = places > last
    np.minimum(places, last, out=places)
    places += used[:, None] * (last + 1)
    common = orders.levels_db.ravel().take(places)
    np.clip(common, LOWEST_DB, LARGEST_DB, out=common)
    common[outside] = NOT_LOOKED_AT_DB
    track = np.full(frames, np.nan)
    track[orders.index] = orders.rate_hz
    for first, end in stretches(track):
        part = slice(*np.searchsorted(orders.index[used], (first, end)))
        span = min(round(SPAN_S / hop_s / SKIP), part.stop - part.start)
        if span > 1:
            common[part] = uniform_filter1d(common[part], span, axis=0, mode="nearest")
    found: Levels = np.full((rows.size, AXIS.size), NOT_LOOKED_AT_DB, dtype=np.float32)
    found[:, asked] = common[rows // SKIP]
    return found


class SecondLook:
    """How multiples of a track explain averaged levels [frames, AXIS]; results are [frames, multiples]."""

    def __init__(self, levels_db: Levels, rate_hz: Floats, multiples: Floats) -> None:
        # The multiples are every second step of the axis: even and odd steps lie in rows of their own.
        self._levels = [np.ascontiguousarray(levels_db[:, odd::2]) for odd in (0, 1)]
        self._start = np.log(multiples[0] / LOWEST_ORDER)
        self._multiple = np.arange(multiples.size, dtype=np.float32)
        end = np.floor(np.log(TOP_HZ / rate_hz / LOWEST_ORDER) / FINE)
        self._half_end = (0.5 * end[:, None]).astype(np.float32)

    def _first(self, order: float) -> int:
        """Where `order` times the first multiple stands on the axis."""
        return int(np.rint((self._start + np.log(order)) / FINE))

    def _at(self, order: float) -> Levels:
        """Levels at `order` times every multiple. [dB]"""
        half, odd = divmod(self._first(order), 2)
        return self._levels[odd][:, half : half + self._multiple.size]

    def _inside(self, order: float) -> NDArray[np.bool_]:
        """Whether `order` times every multiple lies inside the band that is looked at."""
        return self._multiple < self._half_end - np.float32(0.5 * self._first(order))

    def _above(self, order: float) -> Levels:
        """Heights above the noise at `order` times every multiple. [dB]"""
        return np.maximum(self._at(order), np.float32(0.0))

    def lines_db(self, orders: Sequence[float]) -> Levels:
        """Mean height of lines above the noise, the low orders with more weight. [dB]"""
        total = np.zeros((len(self._half_end), self._multiple.size), dtype=np.float32)
        weights = np.full_like(total, 1e-9)
        for order in orders:
            weight = np.float32(order**-FADES) * self._inside(order)
            total += weight * np.clip(self._at(order), FLOOR_DB, CEILING_DB)
            weights += weight
        return total / weights

    def gap_db(self, between: tuple[float, ...], scale: int = 1) -> tuple[Levels, Indices]:
        """Median depth of the places `between` two lines of a comb `scale` times as wide, and how many. [dB]

        The first gap is left out: below the first line there is no other. The fewer gaps can be judged, the
        nearer the result lies to what is wanted of them, which speaks neither for nor against.
        """
        depths = np.empty((LINES // scale - 1, len(self._half_end), self._multiple.size), dtype=np.float32)
        for order, depth in enumerate(depths, 1):
            lines = _mean([self._above(n * scale) for n in (order, order + 1)])
            gap = _mean([self._above((order + part) * scale) for part in between])
            unseen = (np.maximum(lines, gap) <= SEEN_DB) | ~self._inside((order + 1) * scale)
            np.subtract(lines, gap, out=depth)
            depth[unseen] = np.inf
        put_in_order(depths)
        return _trusted_median(depths)

    def peak_db(self, places: tuple[float, ...], aside: tuple[float, ...]) -> Levels:
        """Median height of `places` between two lines over those `aside`. [dB]"""
        heights = []
        for order in range(1, LINES):
            here, there = (_mean([self._at(order + p) for p in at]) for at in (places, aside))
            heights.append(np.where(self._inside(order + 1), here - there, np.float32(np.inf)))
        ordered = np.sort(np.array(heights), axis=0)
        middle = np.maximum(np.isfinite(ordered).sum(axis=0) - 1, 0) // 2
        found: Levels = np.take_along_axis(ordered, middle[None], axis=0)[0]
        return np.minimum(found, LARGEST_DB)

    def scores(self, blade_order: float | None) -> Levels:
        """Lines high, gaps clear, no line in two lower than its neighbours, the propeller where it belongs. [dB]"""
        gaps = (self.gap_db(HALF)[0], self.gap_db(THIRDS)[0])
        # One line of every three or four is told from the others only where it stands out more: they are few.
        uneven = (
            self.gap_db(HALF, 2)[0],
            self.gap_db(THIRDS, 3)[0] - LEEWAY_DB,
            self.gap_db(QUARTERS + HALF, 4)[0] - LEEWAY_DB,
        )
        faults = sum(np.clip(WANTED_GAP_DB - gap, 0.0, LARGEST_GAP_DB) for gap in gaps)
        faults = faults + sum(np.clip(own - WANTED_GAP_DB, 0.0, LARGEST_GAP_DB) for own in uneven)
        found: Levels = self.lines_db(range(1, LINES + 1)) - GAP_WEIGHT * faults
        if blade_order is not None:
            found += BLADE_WEIGHT * self.lines_db(blade_lines(blade_order))
        return found


def blade_lines(blade_order: float) -> list[float]:
    """Orders of the blade-pass tone and of its harmonics, which the propeller gives beside the firing."""
    lines = [harmonic * blade_order for harmonic in range(1, BLADE_LINES + 1)]
    return [order for order in lines if 1.0 / 3.0 <= order <= LINES]


def _mean(levels: list[Levels]) -> Levels:
    return sum(levels[1:], levels[0]) / np.float32(len(levels))


def _trusted_median(ordered: Levels) -> tuple[Levels, Indices]:
    """Median of the finite ones of values that increase along the first axis, drawn to what is wanted."""
    count: Indices = np.isfinite(ordered).sum(axis=0)
    low = np.take_along_axis(ordered, np.maximum((count - 1) // 2, 0)[None], axis=0)[0]
    high = np.take_along_axis(ordered, np.minimum(count // 2, len(ordered) - 1)[None], axis=0)[0]
    middle = np.where(count > 0, np.minimum(0.5 * (low + high), 1e6), WANTED_GAP_DB)
    return (WANTED_GAP_DB + (middle - WANTED_GAP_DB) * count / (count + DOUBT)).astype(np.float32), count


def multiples_of(
    orders: Orders, frames: int, hop_s: float, range_hz: tuple[float, float], blade_order: float | None
) -> tuple[Floats, Floats]:
    """The track that the second look finds most likely [Hz], and by how much [dB]; NaN where there is none."""
    rows = np.arange(0, orders.index.size, EVERY)
    rate_hz = orders.rate_hz[rows]
    levels = averaged(orders, rows, frames, hop_s, MULTIPLES)
    parts = [slice(first, first + AT_ONCE) for first in range(0, rows.size, AT_ONCE)]
    scores = np.concatenate([_scores(levels[p], rate_hz[p], range_hz, blade_order) for p in parts])
    moved = _moved(rate_hz, orders.index[rows])
    path = likeliest(scores, NOTHING_DB, reach=1, step_cost=STEP_DB, jump_cost=JUMP_DB, moved=moved)
    lead = np.repeat(_lead(scores, path), EVERY)[: orders.index.size]
    path = np.repeat(path, EVERY)[: orders.index.size]
    found, by = np.full((2, frames), np.nan)
    found[orders.index] = np.where(path == NOTHING, np.nan, orders.rate_hz * MULTIPLES[path])
    by[orders.index] = np.where(path == NOTHING, np.nan, lead)
    return found, by


def _scores(
    levels: Levels, rate_hz: Floats, range_hz: tuple[float, float], blade_order: float | None
) -> Levels:
    """Scores of all multiples; of those out of range, hardly possible ones. [dB]"""
    would_be_hz = rate_hz[:, None] * MULTIPLES
    possible = (would_be_hz >= range_hz[0]) & (would_be_hz <= range_hz[1])
    wanted = np.flatnonzero(possible.any(axis=0))
    scores = np.full(would_be_hz.shape, OUTSIDE, dtype=np.float32)
    if wanted.size:
        some = slice(wanted[0], wanted[-1] + 1)
        look = SecondLook(levels, rate_hz, MULTIPLES[some]).scores(blade_order)
        scores[:, some] = np.where(possible[:, some], look, np.float32(OUTSIDE))
    return scores


def _lead(scores: Levels, path: Indices) -> Levels:
    """By how much the multiple that was taken is better than the best one that is not beside it. [dB]"""
    beside = np.abs(np.arange(scores.shape[1]) - path[:, None]) <= BESIDE
    best_other = np.where(beside, np.float32(OUTSIDE), scores).max(axis=1)
    lead: Levels = scores[np.arange(len(path)), path] - np.maximum(best_other, NOTHING_DB)
    return lead


def _moved(rate_hz: Floats, index: Indices) -> Indices:
    """By how many steps each frame's multiples stand for other speeds than the frame's before.

    While one line is followed its multiple stays the same; where another is taken up, the speed does.
    """
    change = np.diff(np.log(rate_hz), prepend=np.log(rate_hz[0]))
    broken = (np.diff(index, prepend=index[0]) > EVERY) | (np.abs(change) > EVERY * JUMP)
    moved: Indices = np.where(broken, np.rint(change / STEP), 0.0).astype(np.intp)
    return moved
