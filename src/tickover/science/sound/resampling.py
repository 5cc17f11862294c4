"""Bring a sound of any sampling rate to the working rate, block by block, so that hours of it need no room."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from tickover.science.core.input_checks import OutOfRangeError

Samples = NDArray[np.float32]

WORKING_HZ = 8000
LOWEST_HZ = 4000.0
HIGHEST_HZ = 768_000.0
CLOSE_ENOUGH_HZ = 9600.0
CROSSINGS = 10
MOST_PHASES = 1000


class Resampler:
    """A polyphase filter that remembers where the last block ended.

    Parameters
    ----------
    rate_hz : float
        Sampling rate of what is fed, 4,000 to 768,000. [Hz]

    Notes
    -----
    `rate_hz` holds the exact rate of what comes out: close to 8,000 Hz, or the rate that went in where
    that is at most 9,600 Hz. The low-pass is a Kaiser window (beta 5) over ten zero crossings on each side,
    as in scipy's ``resample_poly``, which gives the same samples from the whole sound at once.

    Raises
    ------
    OutOfRangeError
        The rate is outside that range: below it the lines that tell the speed are missing.
    """

    def __init__(self, rate_hz: float) -> None:
        from scipy.signal import firwin

        if not LOWEST_HZ <= rate_hz <= HIGHEST_HZ:
            raise OutOfRangeError(
                f"the sampling rate is {rate_hz:g} Hz; it must lie between {LOWEST_HZ:,.0f} and "
                f"{HIGHEST_HZ:,.0f} Hz"
            )
        ratio = Fraction(WORKING_HZ / rate_hz).limit_denominator(MOST_PHASES)
        self._up, self._down = (1, 1) if rate_hz <= CLOSE_ENOUGH_HZ else ratio.as_integer_ratio()
        self.rate_hz = rate_hz * self._up / self._down
        half = CROSSINGS * self._down
        low_pass = firwin(2 * half + 1, 1.0 / max(self._down, 2), window=("kaiser", 5.0))
        self._taps = (self._up * low_pass).astype(np.float32)
        self._kept = np.empty(0, dtype=np.float32)
        self._first = self._taken = self._given = 0

    def feed(self, block: Samples) -> Samples:
        """What is certain after this block, at `rate_hz`."""
        if self._down == 1:
            return block
        self._taken += block.size
        return self._until((self._taken - 1) * self._up // self._down - CROSSINGS, block)

    def finish(self) -> Samples:
        """What is still in the filter."""
        if self._down == 1:
            return np.empty(0, dtype=np.float32)
        behind = np.zeros(CROSSINGS * self._down // self._up + 1, dtype=np.float32)
        return self._until(-(-self._taken * self._up // self._down) - 1, behind)

    def _until(self, last: int, block: Samples) -> Samples:
        """Samples up to number `last`; of what was fed, only what later ones need is kept."""
        from scipy.signal import upfirdn

        self._kept = np.concatenate((self._kept, block))
        if last < self._given:
            return np.empty(0, dtype=np.float32)
        offset = CROSSINGS - self._first * self._up // self._down
        found = upfirdn(self._taps, self._kept, self._up, self._down)
        found = found[self._given + offset : last + 1 + offset].astype(np.float32)
        self._given = last + 1
        first = max(0, (self._given - CROSSINGS) // self._up) * self._down
        self._kept, self._first = self._kept[first - self._first :], first
        return found
