"""Short rows in order, against the library numpy."""

from __future__ import annotations

import numpy as np
import pytest

from tickover.science.sound.spectrum.sorting import put_in_order


@pytest.mark.parametrize("count", range(1, 20))
def test_every_column_is_in_the_order_numpy_gives_it(count: int) -> None:
    rng = np.random.default_rng(count)
    values = rng.integers(0, 12, (count, 40, 25)).astype(np.float32)
    values[rng.random(values.shape) < 0.2] = np.inf
    wanted = np.sort(values, axis=0)
    put_in_order(values)
    np.testing.assert_array_equal(values, wanted)
