"""The likeliest path through scores, against every path there is."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from tickover.science.sound.spectrum.path import NOTHING, likeliest

REACH, STEP_COST, JUMP_COST, NO = 1, 0.3, 2.0, 0.4


def worth(path: tuple[int, ...], scores: np.ndarray, moved: np.ndarray) -> float:
    """The same sum, written out for one path."""
    total = 0.0
    for frame, state in enumerate(path):
        total += NO if state == NOTHING else float(scores[frame, state])
        if frame:
            before = path[frame - 1]
            if NOTHING in (before, state):
                total -= JUMP_COST if before != state else 0.0
            else:
                carried = before - moved[frame]
                apart = abs(state - carried) if 0 <= carried < scores.shape[1] else REACH + 1
                total -= min(STEP_COST * apart if apart <= REACH else JUMP_COST, JUMP_COST)
    return total


@pytest.mark.parametrize("seed", range(12))
def test_no_path_is_better(seed: int) -> None:
    rng = np.random.default_rng(seed)
    scores = rng.normal(0.0, 1.5, (5, 4)).astype(np.float32)
    moved = np.array([0, 0, rng.integers(-1, 2), 0, 0])
    costs = {"reach": REACH, "step_cost": STEP_COST, "jump_cost": JUMP_COST}
    found = likeliest(scores, NO, moved=moved, **costs)  # type: ignore[arg-type]
    best = max(worth(path, scores, moved) for path in product(range(NOTHING, 4), repeat=5))
    assert worth(tuple(found.tolist()), scores, moved) == pytest.approx(best, abs=1e-5)


def test_a_short_outlier_is_passed_over() -> None:
    scores = np.zeros((9, 30), dtype=np.float32)
    scores[:, 10] = 5.0
    scores[4, 10], scores[4, 25] = 0.0, 6.0
    path = likeliest(scores, 1.0, reach=2, step_cost=0.5, jump_cost=12.0, moved=np.zeros(9, dtype=np.intp))
    assert set(path.tolist()) == {10}
