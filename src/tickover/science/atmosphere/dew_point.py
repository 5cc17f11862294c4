"""What do humidity and dew point say of each other?

Both are over liquid water, below freezing too, as weather stations report them: a frost point is another number.

References
----------
CIPM-2007 (see moist_air): saturation pressure and enhancement factor.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tickover.science.atmosphere.moist_air import (
    DEW_POINTS_K,
    SATURATION,
    checked_air,
    enhancement,
    log_saturation,
)
from tickover.science.core.input_checks import OutOfRangeError, checked

__all__ = ["dew_point_k", "humidity_from_dew_point"]

Array = NDArray[np.float64]

DRIEST = 1e-3
"""Relative humidity below which a dew point means nothing any more."""
NEWTON_STEPS = 5


def humidity_from_dew_point(
    temperature_k: ArrayLike, dew_point_k: ArrayLike, pressure_pa: ArrayLike = 101_325.0
) -> Array:
    """Relative humidity over water, from temperature and dew point. [-]

    Parameters
    ----------
    temperature_k : array_like
        Air temperature, 233.15 to 333.15. [K]
    dew_point_k : array_like
        Dew point over water, 193.15 K to the air temperature. [K]
    pressure_pa : array_like
        Air pressure, 45,000 to 110,000; matters in the fourth digit. [Pa]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [-]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for a dew point above the air temperature.

    Examples
    --------
    >>> found = humidity_from_dew_point(temperature_k=293.15, dew_point_k=283.15, pressure_pa=101000.0)
    >>> print(f"{found:.4g}")
    0.5249
    """
    kelvin, pascal, _ = checked_air(temperature_k, pressure_pa, 0.0)
    dew = checked("dew point", dew_point_k, *DEW_POINTS_K, "K")
    if np.any(dew > kelvin):
        raise OutOfRangeError("dew point is above the air temperature: it never is; were the two swapped?")
    ratio = np.exp(log_saturation(dew) - log_saturation(kelvin))
    return ratio * enhancement(dew, pascal) / enhancement(kelvin, pascal)


def dew_point_k(temperature_k: ArrayLike, humidity: ArrayLike, pressure_pa: ArrayLike = 101_325.0) -> Array:
    """Dew point over water, the inverse of `humidity_from_dew_point`. [K]

    Parameters
    ----------
    temperature_k, pressure_pa : array_like
        As for `humidity_from_dew_point`. [K], [Pa]
    humidity : array_like
        Relative humidity over water, 0.001 to 1. [-]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [K]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges: air without moisture has no dew point.

    Examples
    --------
    >>> print(f"{dew_point_k(temperature_k=293.15, humidity=0.5, pressure_pa=101000.0):.4g}")
    282.4
    """
    kelvin, pascal, _ = checked_air(temperature_k, pressure_pa, 0.0)
    wet = checked("relative humidity", humidity, DRIEST, 1.0, "1")
    wanted = np.asarray(np.log(wet * enhancement(kelvin, pascal)) + log_saturation(kelvin))
    dew = kelvin / (1.0 - np.log(wet) * kelvin / 5_400.0)
    for _ in range(NEWTON_STEPS):
        a, b, _, d = SATURATION
        slope = 2.0 * a * dew + b - d / (dew * dew)
        dew = dew - (log_saturation(dew) + np.log(enhancement(dew, pascal)) - wanted) / slope
    hint = "air as cold and dry as this has no dew point that could be measured"
    return checked("dew point", dew, *DEW_POINTS_K, "K", hint)
