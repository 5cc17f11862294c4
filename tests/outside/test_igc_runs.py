"""Finding runs by two thresholds, held against connected components as SciPy labels them."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from scipy import ndimage

from tickover.science.engine_time.on_off_detection import Thresholds, find_running_periods

HYSTERESIS_ALONE = Thresholds(500.0, 350.0, 500.0, min_run_s=0.0, max_gap_s=1.0, min_spread=0.0)


@given(st.lists(st.integers(0, 999), min_size=1, max_size=200))
def test_runs_are_the_components_above_the_lower_threshold_that_reach_the_upper(values: list[int]) -> None:
    """Hysteresis thresholding (Canny 1986) by scipy.ndimage.label, as image libraries do it."""
    level = np.array(values, dtype=np.float64)
    labels, count = ndimage.label(level > 350)
    strong = np.unique(labels[(level >= 500) & (labels > 0)])
    expected = [float(level[labels == label].mean()) for label in range(1, count + 1) if label in strong]
    sure, _ = find_running_periods(np.arange(level.size, dtype=np.float64), level, HYSTERESIS_ALONE)
    assert [run.mean_level for run in sure] == expected
