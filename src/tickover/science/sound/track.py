"""How fast does the engine turn? Its speed from a recording of its sound.

A single-cylinder two-stroke fires once a turn, so a line of its sound stands at every multiple of rpm / 60 Hz.
Lines half-way between them tell of four-stroking, others of the propeller: blades times the rate of the
crank over the gear ratio.

Notes
-----
Range of validity: one engine of one cylinder; sampling rate 4 kHz and more; speeds that change by less than
about a tenth in 0.05 s. A car's engine, or two of them, can sound the same: the method says how sure it is,
not what it hears. Checked against synthetic recordings of known speed only.

References
----------
Lines of a train of pulses: its Fourier series. Path through the scores: Viterbi, "Error bounds for
convolutional codes and an asymptotically optimum decoding algorithm", IEEE Trans. Inf. Theory 13 (1967).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.core.kinds import checked_fields, kinds_checked
from tickover.science.core.plausible import IDLE_RPM
from tickover.science.core.working import Working
from tickover.science.sound.confidence import LIKELY, in_company
from tickover.science.sound.listening import HOP_S, FollowedSound, listen
from tickover.science.sound.resampling import Resampler
from tickover.science.sound.words import Loudness, remarks, working

__all__ = ["SoundSettings", "SoundTrack", "SoundTracker", "track_rpm"]

Floats = NDArray[np.float64]
Samples = NDArray[np.float32]

CHUNK_S = 60.0
MARGIN_S = 4.0
BRIDGED_S = 1.0
FOUR_STROKES = 0.25
QUIETER, FAR_QUIETER = 0.6, 0.1  # set by hand


@dataclass(frozen=True)
class SoundSettings:
    """What is known of the engine: it makes the answer surer, above all where the propeller is loud.

    `gear_ratio` is engine turns for one of the propeller, `blades` its blades; both or none. `rpm_range`
    are the lowest and the highest speed looked for, `idle_below_rpm` where idling ends. [r/min]
    """

    gear_ratio: float | None = None
    blades: int | None = None
    rpm_range: tuple[float, float] = (900.0, 12_000.0)
    idle_below_rpm: float = 2600.0

    def __post_init__(self) -> None:
        checked_fields(self)
        IDLE_RPM.checked(self.idle_below_rpm)
        low, high = self.rpm_range
        if not 300.0 <= low < high <= 20_000.0:
            raise OutOfRangeError(
                f"the range is {low:g} to {high:g} r/min; it must rise, within 300 to 20,000 r/min"
            )
        if (self.gear_ratio is None) != (self.blades is None):
            raise OutOfRangeError("gear ratio and number of blades are wanted together, or neither of them")
        if self.gear_ratio is not None and not 1.0 <= self.gear_ratio <= 6.0:
            raise OutOfRangeError(f"the gear ratio is {self.gear_ratio:g}; it must lie between 1 and 6")
        if self.blades is not None and not 1 <= self.blades <= 6:
            raise OutOfRangeError(f"the propeller has {self.blades} blades; between 1 and 6 are wanted")

    @property
    def blade_order(self) -> float | None:
        """Blades that pass for each turn of the crank. [1]"""
        return None if self.gear_ratio is None or self.blades is None else self.blades / self.gear_ratio


@dataclass(frozen=True, eq=False)
class SoundTrack:
    """Engine speed along a recording, one frame each 0.05 s.

    `rpm` [r/min] is NaN where it cannot be told: where `confidence`, the probability that it is within 1 %,
    is below one half. `four_stroking` is by how much every second firing is weaker, 0 to 1, NaN where that
    cannot be told. `state` is "idle", "run", "unsure", or "off": no engine is heard, and it is so much quieter
    than the idle that was told, that an engine would be. Wind can hide an idle; that is "unsure".
    """

    t_s: Floats
    rpm: Floats
    confidence: Floats
    four_stroking: Floats
    state: NDArray[np.str_]
    remarks: tuple[str, ...]
    working: Working

    @property
    def known_s(self) -> float:
        """Length of recording for which the speed is told. [s]"""
        return float(np.isfinite(self.rpm).sum()) * HOP_S

    @property
    def four_stroking_share(self) -> float:
        """Share of the time with a told depth in which the engine four-strokes by a quarter or more. [1]"""
        known = self.four_stroking[np.isfinite(self.four_stroking)]
        return float((known >= FOUR_STROKES).mean()) if known.size else float("nan")


class SoundTracker:
    """Follows a recording that comes in blocks, so that hours of it need no more room than half a minute."""

    def __init__(self, rate_hz: float, settings: SoundSettings | None = None) -> None:
        self.settings = settings or SoundSettings()
        self._resampler = Resampler(rate_hz)
        self._loudness = Loudness()
        self._rate_hz = self._resampler.rate_hz
        self._kept = np.empty(0, dtype=np.float32)
        self._begin = self._told = 0
        self._heard: list[FollowedSound] = []

    @kinds_checked
    def feed(self, block: Samples) -> None:
        """Take the next samples [n], full scale 1, at the rate that was named.

        Raises
        ------
        OutOfRangeError
            The block is not a row of finite numbers.
        """
        if block.ndim != 1 or not np.isfinite(block).all():
            raise OutOfRangeError("a block of sound must be one row of finite numbers")
        self._loudness = self._loudness.and_then(block)
        self._kept = np.concatenate((self._kept, self._resampler.feed(block.astype(np.float32, copy=False))))
        ahead = self._index(self._told + round((CHUNK_S + MARGIN_S) / HOP_S))
        while self._begin + self._kept.size >= ahead:
            self._listen(round(CHUNK_S / HOP_S))
            ahead = self._index(self._told + round((CHUNK_S + MARGIN_S) / HOP_S))

    def finish(self) -> SoundTrack:
        """The whole track. Nothing can be fed after that."""
        self._kept = np.concatenate((self._kept, self._resampler.finish()))
        self._listen(int((self._begin + self._kept.size) / self._rate_hz / HOP_S) - self._told)
        return _track(_joined(self._heard), self.settings, self._loudness)

    def _index(self, frame: int) -> int:
        return round(frame * HOP_S * self._rate_hz)

    def _listen(self, count: int) -> None:
        """Tell the next `count` frames from what is kept, and keep what the frames after them need."""
        margin = round(MARGIN_S / HOP_S)
        first = max(self._told - margin, 0)
        end = self._index(self._told + count + margin)
        part = self._kept[self._index(first) - self._begin : end - self._begin]
        heard = listen(part, self._rate_hz, _range_hz(self.settings), self.settings.blade_order)
        own = slice(self._told - first, self._told - first + count)
        self._heard.append(FollowedSound(*(values[own] for values in vars(heard).values())))
        self._told += count
        begin = self._index(max(self._told - margin, 0))
        self._kept, self._begin = self._kept[begin - self._begin :], begin


@kinds_checked
def track_rpm(samples: Samples, rate_hz: float, settings: SoundSettings | None = None) -> SoundTrack:
    """Engine speed from a recording of one channel.

    Parameters
    ----------
    samples : array [n]
        Sound, full scale 1.
    rate_hz : float
        Sampling rate, 4,000 to 768,000. [Hz]
    settings : SoundSettings, optional

    Returns
    -------
    SoundTrack

    Raises
    ------
    OutOfRangeError
        The sampling rate is out of range, or the samples are not one row of finite numbers.

    Examples
    --------
    >>> rng = np.random.default_rng(1)
    >>> firings_s = np.cumsum(0.01 * (1.0 + 0.02 * rng.standard_normal(1_100)))
    >>> sound = 0.005 * rng.standard_normal(96_000)
    >>> for at in (firings_s * 8_000.0).astype(int):
    ...     sound[at : at + 60] += 0.04 * (5.0 + rng.standard_normal()) * np.exp(-np.arange(60) / 12.0)
    >>> track = track_rpm(sound, rate_hz=8_000.0)
    >>> print(f"{round(np.nanmedian(track.rpm), -2):.0f} rpm")
    6000 rpm
    """
    tracker = SoundTracker(rate_hz, settings)
    tracker.feed(np.asarray(samples, dtype=np.float32))
    return tracker.finish()


def _range_hz(settings: SoundSettings) -> tuple[float, float]:
    return settings.rpm_range[0] / 60.0, settings.rpm_range[1] / 60.0


def _joined(heard: list[FollowedSound]) -> FollowedSound:
    return FollowedSound(
        *(np.concatenate(parts) for parts in zip(*(vars(part).values() for part in heard), strict=True))
    )


def _track(heard: FollowedSound, settings: SoundSettings, loudness: Loudness) -> SoundTrack:
    sure = in_company(heard.confidence, HOP_S)
    known = sure >= LIKELY
    rpm = np.where(known, 60.0 * heard.rate_hz, np.nan)
    depth = np.where(known, heard.four_stroking, np.nan)
    state = _state(rpm, sure, heard.loudness, settings)
    return SoundTrack(
        t_s=np.arange(rpm.size, dtype=np.float64) * HOP_S,
        rpm=rpm,
        confidence=sure,
        four_stroking=depth,
        state=state,
        remarks=remarks(heard, rpm, depth, settings.blade_order is not None, loudness),
        working=working(heard.rate_hz, rpm, sure),
    )


def _state(rpm: Floats, sure: Floats, loudness: Floats, settings: SoundSettings) -> NDArray[np.str_]:
    """A short hole between told speeds is doubt, not an engine that stopped; so is a hole that is loud."""
    known = np.isfinite(rpm)
    frame = np.arange(rpm.size)
    last = np.maximum.accumulate(np.where(known, frame, -rpm.size))
    following = np.minimum.accumulate(np.where(known, frame, 2 * rpm.size)[::-1])[::-1]
    unsure = (sure > 0.0) | (following - last <= BRIDGED_S / HOP_S)
    idle = rpm < settings.idle_below_rpm
    if known.any():
        unsure |= loudness > _quiet(loudness, known, idle)
    return np.where(known, np.where(idle, "idle", "run"), np.where(unsure, "unsure", "off"))


def _quiet(loudness: Floats, known: NDArray[np.bool_], idle: NDArray[np.bool_]) -> float:
    """Below this an engine stands: well below its idle, or where none was told, far below its quietest."""
    if idle.sum() >= BRIDGED_S / HOP_S:
        return QUIETER * float(np.median(loudness[idle]))
    return FAR_QUIETER * float(np.percentile(loudness[known], 5.0))
