"""A sound track as the trace of a run-up: where no engine is heard for some seconds its speed is 0."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tickover.science.run_up import Trace, make_trace
from tickover.science.sound import FOUR_STROKES, SoundTrack
from tickover.science.sound.listening import WINDOW_S

OFF_AT_LEAST_S = 3.0


def trace_of_sound(track: SoundTrack) -> Trace:
    """The trace of a run-up that was recorded as sound.

    Raises InsufficientDataError where no engine is heard in it.
    """
    # Where the engine is off its speed is 0; where it runs and the speed is not sure, the sample is missing.
    rpm = np.where(_off(track), 0.0, track.rpm)
    strokes = np.where(np.isfinite(track.four_stroking), track.four_stroking >= FOUR_STROKES, np.nan)
    return make_trace(track.t_s, rpm, four_stroking=strokes, blur_s=WINDOW_S)


def _off(track: SoundTrack) -> NDArray[np.bool_]:
    """Frames in which no engine is heard for some seconds: a shorter silence is a speed that was not followed."""
    off = np.asarray(track.state == "off", dtype=np.bool_)
    edges = np.flatnonzero(np.diff(np.concatenate(([False], off, [False]))))
    stopped = np.zeros_like(off)
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        at_an_end = start == 0 or end == off.size
        stopped[start:end] = at_an_end or track.t_s[end - 1] - track.t_s[start] >= OFF_AT_LEAST_S
    return stopped
