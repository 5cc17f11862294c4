"""The invented sound of a single-cylinder two-stroke whose speed is known, as a telephone would record it.

Firings are pulses that ring in three resonances of exhaust and airbox; a propeller's tone, wind and noise are
laid over them. Nothing in it is recorded from a real engine.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Samples = NDArray[np.float32]

RINGING = ((310.0, 3.0, 1.0), (870.0, 4.0, 0.7), (2100.0, 5.0, 0.4))  # Hz, quality, strength
RING_S = 0.02
WANDER_HZ = 0.6
FULL_SCALE = 0.9


@dataclass(frozen=True)
class Sounding:
    """How an engine sounds. Everything is a share [1] but the high-pass of the telephone [Hz].

    `timing` and `strength` are standard deviations of the firings, `wander` of the speed; `weaker` is by how
    much every second firing falls short, `failing` how many fail by chance; `propeller` and `wind` are
    levels against the exhaust; `overdrive` above 0.3 bends the peaks.
    """

    timing: float = 0.008
    strength: float = 0.15
    wander: float = 0.004
    weaker: float = 0.0
    failing: float = 0.0
    propeller: float = 0.15
    gear_ratio: float = 2.6
    blades: int = 2
    wind: float = 0.02
    overdrive: float = 0.1
    high_pass_hz: float = 100.0


def engine_sound(
    rng: np.random.Generator, rpm: Floats, rate_hz: int = 16_000, sounding: Sounding = Sounding()
) -> tuple[Samples, Floats]:
    """Samples, and the speed at each of them, of an engine whose speed follows `rpm`.

    Parameters
    ----------
    rpm : array [rate_hz * seconds]
        Speed wanted at each sample, 0 where the engine stands. [r/min]
    """
    from scipy.signal import butter, lfilter, oaconvolve, sosfilt

    wander = lfilter(*butter(1, WANDER_HZ, fs=rate_hz), rng.standard_normal(rpm.size))
    rpm = rpm * (1.0 + sounding.wander * wander / wander.std())
    turns = np.cumsum(rpm / 60.0 / rate_hz)
    exhaust = oaconvolve(_firings(rng, rpm, turns, rate_hz, sounding), _ringing(rate_hz))[: rpm.size]
    running = rpm > 0.0
    scale = exhaust[running].std() if running.any() else 1.0
    blades = 2.0 * np.pi * turns * sounding.blades / sounding.gear_ratio
    tone = running * sum(np.sin(n * blades + n) / n for n in (1, 2, 3))
    gusts = lfilter([1.0], [1.0, -0.99], rng.standard_normal(rpm.size))
    sound = exhaust / scale + sounding.propeller * tone + sounding.wind * gusts
    sound += 0.02 * rng.standard_normal(rpm.size)
    sound = sosfilt(butter(2, sounding.high_pass_hz, "high", fs=rate_hz, output="sos"), sound)
    bent = np.tanh(sounding.overdrive * sound / sound.std())
    return (FULL_SCALE * bent / np.abs(bent).max()).astype(np.float32), rpm


def _firings(
    rng: np.random.Generator, rpm: Floats, turns: Floats, rate_hz: int, sounding: Sounding
) -> Floats:
    """One impulse for each firing, shared between the two samples it falls between."""
    at = np.flatnonzero(np.diff(np.floor(turns)) > 0)
    strength = np.exp(sounding.strength * rng.standard_normal(at.size))
    strength[1::2] *= 1.0 - sounding.weaker
    strength[rng.random(at.size) < sounding.failing] *= 0.1
    place = at + sounding.timing * rng.standard_normal(at.size) * 60.0 * rate_hz / np.maximum(rpm[at], 1.0)
    low = np.clip(place.astype(np.intp), 0, rpm.size - 2)
    impulses = np.zeros(rpm.size)
    np.add.at(impulses, low, strength * (1.0 - place + low))
    np.add.at(impulses, low + 1, strength * (place - low))
    return impulses


def _ringing(rate_hz: int) -> Floats:
    t_s = np.arange(round(RING_S * rate_hz)) / rate_hz
    ringing = [a * np.exp(-np.pi * f * t_s / q) * np.sin(2.0 * np.pi * f * t_s) for f, q, a in RINGING]
    return np.asarray(np.sum(ringing, axis=0))
