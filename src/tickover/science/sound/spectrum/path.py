"""The likeliest path through scores that change from frame to frame: dynamic programming (Viterbi)."""

from __future__ import annotations

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from tickover.science.sound.spectrum.spectra import Levels

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
    count = scores.shape[1]
    cost = -step_cost * np.abs(np.arange(-reach, reach + 1))
    near = np.full((len(scores), count + 2 * reach), IMPOSSIBLE)
    within_reach = sliding_window_view(near, count, axis=1)
    choices = np.empty((cost.size, count))
    best = np.zeros(len(scores), dtype=np.intp)
    jump, silent = np.zeros(len(scores)), np.full(len(scores), float(nothing))
    total = scores[0].astype(np.float64)
    for frame in range(1, len(scores)):
        best[frame] = total.argmax()
        jump[frame] = total[best[frame]] - jump_cost
        near[frame, reach : reach + count] = _shifted(total, int(moved[frame]))
        np.add(within_reach[frame], cost[:, None], out=choices)
        total = np.maximum(choices.max(axis=0), max(jump[frame], silent[frame - 1] - jump_cost))
        total += scores[frame]
        silent[frame] += max(silent[frame - 1], jump[frame])
    path = np.empty(len(scores), dtype=np.intp)
    state = int(total.argmax()) if total.max() > silent[-1] else NOTHING
    for frame in range(len(path) - 1, -1, -1):
        path[frame] = state
        before = silent[frame - 1] if frame else -IMPOSSIBLE
        if state == NOTHING:
            state = NOTHING if before >= jump[frame] else int(best[frame])
            continue
        choice = near[frame, state : state + cost.size] + cost
        pick = int(choice.argmax())
        if choice[pick] >= max(jump[frame], before - jump_cost):
            state += pick - reach + int(moved[frame])
        else:
            state = int(best[frame]) if jump[frame] >= before - jump_cost else NOTHING
    return path


def _shifted(total: NDArray[np.float64], by: int) -> NDArray[np.float64]:
    """`total` with state n in the place of state n - by."""
    if not by:
        return total
    place = np.arange(total.size) + by
    inside = (place >= 0) & (place < total.size)
    return np.where(inside, total[np.clip(place, 0, total.size - 1)], IMPOSSIBLE)
