"""How much the demo's engines fly: weekly hours with a season, from a seed."""

from __future__ import annotations

from datetime import date

import numpy as np
from numpy.typing import NDArray


def weekly_hours(
    rng: np.random.Generator, hours_a_year: float, begin: date, weeks: int
) -> NDArray[np.float64]:
    """Hours of each week from `begin` on, float[weeks]: busy summers, many weeks of nothing. [h]"""
    day_of_year = begin.timetuple().tm_yday + 7 * np.arange(weeks)
    season = 1.0 - 0.75 * np.cos(2 * np.pi * (day_of_year - 15) / 365.25)
    mean_h = hours_a_year / 52.18 * season
    flown = rng.random(weeks) < np.clip(0.35 + 0.25 * season, 0.0, 0.9)
    share = np.clip(0.35 + 0.25 * season, 0.0, 0.9)
    return np.where(flown, rng.gamma(2.5, mean_h / share / 2.5), 0.0)
