"""Slips that once came out as a plausible wrong answer."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from tests.science.good_calls import NETWORK, NOW, USAGE
from tickover.science.core.calendar_days import add_months
from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.engine.pressure_decay import leak_from_decay
from tickover.science.engine.propeller import figure_of_merit
from tickover.science.faults.posterior import posterior as weighed
from tickover.science.fuel_system.fuels import stoichiometric_air
from tickover.science.measurement.guard_bands import Normal, posterior
from tickover.science.planning.usage import chance_reached_by, day_reached_quantiles
from tickover.science.reliability.wear_trend import wear_trend

WEARS = wear_trend([10.0, 30.0, 50.0, 70.0], [0.10, 0.21, 0.29, 0.41])
SLIPS: list[tuple[Callable[[], Any], str]] = [
    (lambda: weighed(NETWORK, {"idle-races": "no"}), "True or False"),  # type: ignore[dict-item]
    (lambda: day_reached_quantiles(USAGE, np.nan, u_h=0.0), "hours left must be"),
    (lambda: chance_reached_by(USAGE, 10.0, 60.0, u_h=-0.5), "standard deviation of the hours must be"),
    (lambda: posterior(Normal(1.4, 0.1), 1.45, -0.02), "standard uncertainty must be 0 or more"),
    (lambda: Normal(1.4, -0.1), "standard deviation must be"),
    (lambda: WEARS.reaches(-0.5), "move away from it"),
    (lambda: add_months(739_000, 1.5), "months must be a whole number; got 1.5"),  # type: ignore[arg-type]
    (lambda: stoichiometric_air(0.6, 0.8), "shares of one whole"),
    (lambda: figure_of_merit(600.0, 15.0, 1.25), "power must be between 100 and .* watts are wanted"),
    (lambda: figure_of_merit(600.0, 500.0, 1.25), "figure of merit must be between 0 and 1.2"),
    (
        lambda: leak_from_decay(
            0.35,
            0.31,
            10.0,
            6e-4,
            293.0,
            293.0,
            u_pressure_pa=0.0,
            u_temperature_k=0.0,
            u_volume_m3=0.0,
            u_time_min=0.0,
        ),
        "1 bar is 100000",
    ),
    (
        lambda: leak_from_decay(
            35.0,
            31.0,
            10.0,
            6e-4,
            293.0,
            293.0,
            u_pressure_pa=0.0,
            u_temperature_k=0.0,
            u_volume_m3=0.0,
            u_time_min=0.0,
        ),
        "1 bar is 100000",
    ),
    (
        lambda: leak_from_decay(
            35e3,
            0.31,
            10.0,
            6e-4,
            293.0,
            293.0,
            u_pressure_pa=0.0,
            u_temperature_k=0.0,
            u_volume_m3=0.0,
            u_time_min=0.0,
        ),
        "1 bar is 100000",
    ),
    (
        lambda: leak_from_decay(
            35e3,
            31e3,
            10.0,
            0.5,
            293.0,
            293.0,
            u_pressure_pa=0.0,
            u_temperature_k=0.0,
            u_volume_m3=0.0,
            u_time_min=0.0,
        ),
        "600 cm3 are 0.0006",
    ),
    (lambda: NOW.share("no such cause"), "no cause called"),
]


@pytest.mark.parametrize(("slip", "said"), SLIPS)
def test_a_slip_is_refused_and_named(slip: Callable[[], Any], said: str) -> None:
    with pytest.raises(OutOfRangeError, match=said):
        slip()


@pytest.mark.parametrize("bar", [0.01, -0.01])
def test_a_test_may_begin_a_hundredth_of_a_bar_from_the_air_outside(bar: float) -> None:
    start = 1e5 * bar
    assert np.isfinite(
        leak_from_decay(
            start,
            0.9 * start,
            1.0,
            6e-4,
            293.0,
            293.0,
            u_pressure_pa=0.0,
            u_temperature_k=0.0,
            u_volume_m3=0.0,
            u_time_min=0.0,
        ).leak_l_min
    )
    with pytest.raises(OutOfRangeError):
        leak_from_decay(
            0.99 * start,
            0.9 * start,
            1.0,
            6e-4,
            293.0,
            293.0,
            u_pressure_pa=0.0,
            u_temperature_k=0.0,
            u_volume_m3=0.0,
            u_time_min=0.0,
        )


def test_a_limit_that_was_passed_already_is_still_told() -> None:
    assert 10.0 < WEARS.reaches(0.2).at_h < 50.0
