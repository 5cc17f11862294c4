"""Readings of ten parts by three people, against the published study."""

import numpy as np
import pytest

from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.measurement.gauge_study import by_ranges, gauge_study

# AIAG, Measurement Systems Analysis, 4th ed. (2010), III B: each line a part, three times each by three people.
STUDY = np.array(
    [
        [0.29, 0.41, 0.64, 0.08, 0.25, 0.07, 0.04, -0.11, -0.15],
        [-0.56, -0.68, -0.58, -0.47, -1.22, -0.68, -1.38, -1.13, -0.96],
        [1.34, 1.17, 1.27, 1.19, 0.94, 1.34, 0.88, 1.09, 0.67],
        [0.47, 0.5, 0.64, 0.01, 1.03, 0.2, 0.14, 0.2, 0.11],
        [-0.8, -0.92, -0.84, -0.56, -1.2, -1.28, -1.46, -1.07, -1.45],
        [0.02, -0.11, -0.21, -0.2, 0.22, 0.06, -0.29, -0.67, -0.49],
        [0.59, 0.75, 0.66, 0.47, 0.55, 0.83, 0.02, 0.01, 0.21],
        [-0.31, -0.2, -0.17, -0.63, 0.08, -0.34, -0.46, -0.56, -0.49],
        [2.26, 1.99, 2.01, 1.8, 2.12, 2.19, 1.77, 1.45, 1.87],
        [-1.36, -1.25, -1.31, -1.68, -1.62, -1.5, -1.49, -1.77, -2.16],
    ]
).reshape(10, 3, 3)


# The tables of analysis of variance there: sums of squares, then standard deviations with the interplay pooled, 27.9 %
# of the spread, 4 classes. F(18, 60) of the interplay is 0.434, p = 0.974.
def test_the_published_study() -> None:
    found = gauge_study(STUDY)
    squares = found.squares
    assert (squares.part, squares.person, squares.interplay, squares.repeat, squares.total) == pytest.approx(
        (88.362, 3.167, 0.359, 2.759, 94.647), abs=1e-3
    )
    assert (found.interplay_f, found.interplay_p) == pytest.approx((0.43372, 0.97411), abs=1e-5)
    assert (found.repeat_sd, found.person_sd, found.gauge_sd, found.part_sd) == pytest.approx(
        (0.199933, 0.226838, 0.302373, 1.042327), abs=2e-6
    )
    assert found.interplay_sd == 0.0
    assert found.gauge_percent == pytest.approx(27.9, abs=0.05)
    assert found.classes == 4
    assert found.working("mm").result.value == pytest.approx(27.86, abs=0.01)


# The same by ranges there: 17.61 % of the whole by repeating, 20.04 % by people, 96.37 % by parts.
def test_the_published_study_by_ranges() -> None:
    sds = np.array([*by_ranges(STUDY)])
    assert 100.0 * sds / np.sqrt((sds**2).sum()) == pytest.approx([17.61, 20.04, 96.37], abs=0.02)
    for bad in (STUDY[:1], np.repeat(STUDY, 2, axis=0), np.repeat(STUDY, 2, axis=2), STUDY * np.nan):
        with pytest.raises(OutOfRangeError):
            by_ranges(bad)


# Made with known standard deviations: 1 by the part, 0.2 by person and part together, 0.1 by repeating.
def test_an_interplay_that_is_there_is_told_apart() -> None:
    random = np.random.default_rng(5)
    parts, both = random.normal(0, 1, (400, 1, 1)), random.normal(0, 0.2, (400, 6, 1))
    found = gauge_study(parts + both + random.normal(0, 0.1, (400, 6, 3)))
    assert found.interplay_p < 1e-6
    assert (found.part_sd, found.interplay_sd, found.repeat_sd) == pytest.approx((1.0, 0.2, 0.1), rel=0.1)


def test_readings_that_tell_nothing_are_refused() -> None:
    for bad in (STUDY[:1], STUDY[:, :, :1], STUDY[..., 0], np.full((3, 3, 3), np.nan), []):
        with pytest.raises(OutOfRangeError):
            gauge_study(bad)
    with pytest.raises(OutOfRangeError, match="all readings are the same"):
        gauge_study(np.ones((3, 2, 2)))
    alike = gauge_study(np.arange(3.0)[:, None, None] * np.ones((3, 2, 2)))
    with pytest.raises(OutOfRangeError, match="take a finer instrument"):
        _ = alike.classes
