"""How fast was it going? Speed over ground from the positions of a flight log."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["EARTH_RADIUS_M"]

Floats = NDArray[np.float64]

EARTH_RADIUS_M = 6_371_008.8  # mean radius of the GRS 80 ellipsoid (from memory)
HALF_WINDOW_S = 5.0
FASTEST_M_S = 150.0


def great_circle_m(lat1_deg: Floats, lon1_deg: Floats, lat2_deg: Floats, lon2_deg: Floats) -> Floats:
    """Distance on a sphere of the Earth's mean radius, by the haversine. [m]

    Up to 0.6 % off the ellipsoid's. Positions [degree], shapes alike.
    """
    lat1, lon1, lat2, lon2 = (np.radians(angle) for angle in (lat1_deg, lon1_deg, lat2_deg, lon2_deg))
    half = np.sin((lat2 - lat1) / 2.0) ** 2 + np.cos(lat1) * np.cos(lat2) * np.sin((lon2 - lon1) / 2.0) ** 2
    return np.asarray(2.0 * EARTH_RADIUS_M * np.arcsin(np.sqrt(np.minimum(half, 1.0))))


def ground_speed_m_s(t_s: Floats, lat_deg: Floats, lon_deg: Floats) -> Floats:
    """Speed at each fix, from the fixes up to 5 s before and after it, or its neighbours if none are. [m/s]

    Parameters
    ----------
    t_s : array [n]
        Time, increasing. [s]
    lat_deg, lon_deg : array [n]
        Position, WGS 84. [degree]

    Returns
    -------
    array [n]
        NaN where there is no position, or one so far off that the speed would pass 150 m/s.
    """
    here = np.arange(t_s.size)
    back = np.minimum(np.searchsorted(t_s, t_s - HALF_WINDOW_S), np.maximum(here - 1, 0))
    ahead = np.searchsorted(t_s, t_s + HALF_WINDOW_S, side="right") - 1
    ahead = np.maximum(ahead, np.minimum(here + 1, t_s.size - 1))
    distance_m = great_circle_m(lat_deg[back], lon_deg[back], lat_deg[ahead], lon_deg[ahead])
    elapsed_s = t_s[ahead] - t_s[back]
    speed = np.divide(distance_m, elapsed_s, out=np.full(t_s.size, np.nan), where=elapsed_s > 0)
    return np.where(speed <= FASTEST_M_S, speed, np.nan)
