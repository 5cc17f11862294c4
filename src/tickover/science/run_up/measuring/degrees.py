"""Which temperatures of a run-up are the engine's, and which are the probe's fault?

A probe that comes off its wire reads nothing, or its instrument's end of scale; a head of aluminium does neither. What
cannot be is left out and told; it neither stops a run nor hides that one has to be stopped. Spans are judgements, no
source.

References
----------
Judgements, no source.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import median_filter

from tickover.science.core.input_checks import OutOfRangeError, checked_choice
from tickover.science.core.kinds import kinds_checked

__all__ = ["Floats", "possible_degrees"]

Floats = NDArray[np.float64]

POSSIBLE_C = {"CHT": (-40.0, 450.0), "EGT": (-40.0, 1_100.0)}
NEVER_BELOW_C = {"CHT": (220.0, 220.0), "EGT": (250.0, 680.0)}
"""In kelvin no head and no exhaust is ever below the first; in °C it would have to reach the second without cooling."""
JUMP_C = {"CHT": 40.0, "EGT": 200.0}
"""A single sample this far off the five around it."""
FEWEST = 5


@kinds_checked
def possible_degrees(
    name: str, degrees: Floats | None, probe: str = ""
) -> tuple[Floats | None, tuple[str, ...]]:
    """A temperature without what cannot be, and what was left out.

    Parameters
    ----------
    name : str
        CHT or EGT.
    degrees : array [n] or None
        NaN where missing. [°C]
    probe : str
        What remarks call it, where there are several of that name.

    Returns
    -------
    tuple of array [n] or None, and remarks
        None where nothing is left; NaN where one was missing or is left out.

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> left, remarks = possible_degrees("CHT", np.array([180.0, 2_000.0, 181.0]))
    >>> left
    array([180.,  nan, 181.])
    >>> len(remarks)
    1
    """
    checked_choice("probe", name, tuple(POSSIBLE_C))
    if degrees is None:
        return None, ()
    if degrees.ndim != 1:
        raise OutOfRangeError(f"degrees of the {probe or name} must be one row; got shape {degrees.shape}")
    lower, upper = POSSIBLE_C[name]
    off = ~np.isnan(degrees) & ((degrees < lower) | (degrees > upper))
    within = np.where(off, np.nan, degrees)
    wild = _wild(within, JUMP_C[name])
    left = np.where(wild, np.nan, within)
    notes, title = [], probe or name
    known = degrees[~np.isnan(degrees)]
    coolest, hottest = NEVER_BELOW_C[name]
    if known.size and known.min() > coolest and known.max() > hottest:
        notes.append(
            f"The {title} is never below {coolest:.0f} °C: is the logger set to kelvin? It is taken as °C, as read."
        )
    if off.any():
        notes.append(
            f"{int(off.sum())} samples of the {title} lie outside {lower:.0f} to {upper:.0f} °C: the probe or its "
            "wire. They are left out."
        )
    if wild.any():
        notes.append(f"{int(wild.sum())} single wild samples of the {title} are taken as the probe’s fault.")
    return (left if np.isfinite(left).any() else None), tuple(notes)


def _wild(degrees: Floats, jump_c: float) -> NDArray[np.bool_]:
    known = np.flatnonzero(np.isfinite(degrees))
    found = np.zeros(degrees.size, dtype=np.bool_)
    if known.size >= FEWEST:
        held = degrees[known]
        found[known] = np.abs(held - median_filter(held, size=FEWEST, mode="nearest")) > jump_c
    return found
