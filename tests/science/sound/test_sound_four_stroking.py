"""The depth of four-stroking, from firings of known strength."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from tickover.demo.enginesound import Sounding, engine_sound
from tickover.science.sound.four_stroking import four_stroking

RATE_HZ = 8000
HOP_S = 0.05


def depth(rpm: float, seed: int = 1, **sounding: float) -> NDArray[np.float64]:
    rng = np.random.default_rng(seed)
    samples, truth = engine_sound(rng, np.full(10 * RATE_HZ, rpm), RATE_HZ, Sounding(**sounding))  # type: ignore[arg-type]
    return four_stroking(samples, RATE_HZ, HOP_S, truth[:: round(HOP_S * RATE_HZ)] / 60.0)


@pytest.mark.parametrize("rpm", [2100.0, 3600.0, 5400.0])
@pytest.mark.parametrize("weaker", [0.0, 0.3, 0.6, 0.9])
def test_the_depth_is_that_of_the_firings_within_ten_points(rpm: float, weaker: float) -> None:
    """At idle there are too few firings in two seconds to be quite so sure."""
    points = 0.10 if rpm > 3000.0 else 0.13
    assert float(np.nanmedian(depth(rpm, weaker=weaker))) == pytest.approx(weaker, abs=points)


def test_firings_that_fail_by_chance_are_no_four_stroking() -> None:
    assert float(np.nanmedian(depth(5000.0, failing=0.2, strength=0.3))) < 0.10


def test_a_depth_beneath_the_wind_is_not_told() -> None:
    assert np.isnan(depth(2100.0, weaker=0.3, wind=3.0)).mean() > 0.5


def test_too_few_turns_tell_nothing() -> None:
    samples = np.random.default_rng(1).standard_normal(RATE_HZ).astype(np.float32)
    assert np.isnan(four_stroking(samples, RATE_HZ, HOP_S, np.full(20, 20.0))).all()
    assert np.isnan(four_stroking(samples, RATE_HZ, HOP_S, np.full(20, np.nan))).all()
