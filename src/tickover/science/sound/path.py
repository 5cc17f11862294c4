"""The likeliest path through scores that change from frame to frame: dynamic programming (Viterbi)."""

from __future__ import annotations

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from tickover.science.sound.spectra import Levels

Indices = NDArray[np.intp]

NOTHING = -1
IMPOSSIBLE = -1e9


def likeliest(
    scores: Levels, nothing: float, *, reach: int, step_cost: float, jump_cost: float, moved: Indices
) -> Indices:
    """Index of the state in each frame, -1 where nothing is likelier than any.

    Parameters
    ----------
    scores : array [frames, states]
        How well each state explains each frame. [dB]
    nothing : float
        Score of "none of them", the same in every frame. [dB]
    reach : int
        States apart that one frame may move at the cost of `step_cost` for each. [1, dB]
    jump_cost : float
        Cost of any further move, and of a change to or from nothing. [dB]
    moved : array [frames] of int
        By how many states the meaning of the states moves before each frame.
    """
    states = np.arange(scores.shape[1])
    cost = -step_cost * np.abs(np.arange(-reach, reach + 1))
    padded = np.full(states.size + 2 * reach, IMPOSSIBLE)
    near = sliding_window_view(padded, 2 * reach + 1)
    came_from = np.empty(scores.shape, dtype=np.int16)
    silence_from = np.empty(len(scores), dtype=np.int16)
    total, silent = scores[0].astype(np.float64), nothing
    for frame in range(1, len(scores)):
        best = int(total.argmax())
        from_any, any_ = max((total[best] - jump_cost, best), (silent - jump_cost, NOTHING))
        padded[reach : reach + states.size] = _shifted(total, int(moved[frame]))
        choices = near + cost
        pick = choices.argmax(axis=1)
        steady = choices[states, pick]
        jumps = steady < from_any
        came_from[frame] = np.where(jumps, any_, states + pick - reach + moved[frame])
        silence_from[frame] = NOTHING if silent >= total[best] - jump_cost else best
        silent = max(silent, total[best] - jump_cost) + nothing
        total = np.where(jumps, from_any, steady) + scores[frame]
    return _back(total, silent, came_from, silence_from)


def _shifted(total: NDArray[np.float64], by: int) -> NDArray[np.float64]:
    """`total` with state n in the place of state n - by."""
    if not by:
        return total
    place = np.arange(total.size) + by
    inside = (place >= 0) & (place < total.size)
    return np.where(inside, total[np.clip(place, 0, total.size - 1)], IMPOSSIBLE)


def _back(
    total: NDArray[np.float64], silent: float, came_from: NDArray[np.int16], silence_from: NDArray[np.int16]
) -> Indices:
    path = np.empty(len(came_from), dtype=np.intp)
    state = int(total.argmax()) if total.max() > silent else NOTHING
    for frame in range(len(path) - 1, -1, -1):
        path[frame] = state
        state = int(silence_from[frame] if state == NOTHING else came_from[frame, state])
    return path
