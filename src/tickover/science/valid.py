"""Is an input a number that can be true? If not: which one, what is true, and what was probably meant.

Every function of this room takes its numbers through `checked` or `checked_one`, so that a temperature in
degrees Celsius or a pressure in hectopascals never comes out again as a plausible wrong answer.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["NotKnownHere", "OutOfRange", "checked", "checked_choice", "checked_one"]

Array = NDArray[np.float64]
SHOWN_MOST = 40
PLAY = 1e-12
"""Share of a limit by which rounding may carry a value across it: -20 + 273.15 is a hair below 253.15."""


class OutOfRange(ValueError):  # noqa: N818
    """An input outside of what a formula is valid for; the message says which, where and what to do."""


class NotKnownHere(ValueError):  # noqa: N818
    """A question that the given facts cannot answer; the message says which fact is missing."""


@dataclass(frozen=True)
class _Slip:
    """A mistake of unit: readings between `lower` and `upper` [unit asked for] look like another unit."""

    unit: str
    lower: float
    upper: float
    hint: str


_SLIPS = (
    _Slip("K", -60.0, 60.0, "this looks like degrees Celsius: add 273.15"),
    _Slip("K", 400.0, 1e9, "too hot for kelvin here: check the unit"),
    _Slip("Pa", 500.0, 1100.0, "this looks like hectopascals (millibar): multiply by 100"),
    _Slip("Pa", 20.0, 32.0, "this looks like inches of mercury: multiply by 3386.39"),
    _Slip("Pa", 50.0, 110.0, "this looks like kilopascals: multiply by 1000"),
    _Slip("Pa", 0.3, 10.0, "this looks like bar: multiply by 100000"),
    _Slip("1", 1.0, 100.0, "this looks like percent: divide by 100"),
    _Slip("m", 1e-3, 1e3, "this looks like millimetres: divide by 1000"),
    _Slip("m", 1e4, 2e5, "this looks like feet: multiply by 0.3048"),
    _Slip("kg/m3", 0.5, 1.1, "this looks like kilograms a litre: multiply by 1000"),
)


def checked(name: str, value: ArrayLike, lower: float, upper: float, unit: str = "", hint: str = "") -> Array:
    """An input as an array of float64, every value of it between `lower` and `upper`, both included.

    Parameters
    ----------
    name : str
        Name of the quantity as a person reads it, for example "air temperature".
    value : array_like
        A number or an array of any shape; not empty.
    lower, upper : float
        Range of validity, infinite where there is no limit. [unit]
    unit : str
        Unit of value and range; "" or "1" for a ratio.
    hint : str
        What to do about it, where the caller knows better than a guess at the unit.

    Returns
    -------
    numpy.ndarray
        Shape of `value`; a number gives an array without dimensions.

    Raises
    ------
    OutOfRange
        For text, True and False, complex numbers, nothing at all, NaN, infinite values, and values outside.
    """
    array = _numbers(name, value)
    from_, to = lower - PLAY * abs(lower), upper + PLAY * abs(upper)
    # false for NaN too: two passes over the array in the ordinary case, and no array in between
    least, most = array.min(), array.max()
    if least >= from_ and most <= to and abs(least) != np.inf and abs(most) != np.inf:
        return array
    inside = (array >= from_) & (array <= to) & np.isfinite(array)
    raise OutOfRange(_said(name, array, ~inside, (lower, upper), unit, hint))


def checked_one(
    name: str, value: ArrayLike, lower: float, upper: float, unit: str = "", hint: str = ""
) -> float:
    """An input that must be one number; otherwise as `checked`."""
    array = checked(name, value, lower, upper, unit, hint)
    if array.size != 1:
        raise OutOfRange(f"{name} must be one number, not {array.size} of them")
    return float(array.reshape(-1)[0])


def checked_choice(name: str, value: object, choices: tuple[str, ...]) -> str:
    """An input that must be one of a few words."""
    if isinstance(value, str) and value in choices:
        return value
    raise OutOfRange(f"{name} must be one of {', '.join(choices)}; got {_short(value)}")


def _numbers(name: str, value: ArrayLike) -> Array:
    """The input as float64, if it is made of numbers."""
    try:
        raw = np.asarray(value)
    except ValueError as ragged:
        raise OutOfRange(f"{name} must be a number or an array of numbers; got {_short(value)}") from ragged
    if raw.size == 0:
        raise OutOfRange(f"{name} is empty: give at least one number")
    if raw.dtype.kind not in "iuf":
        raise OutOfRange(f"{name} must be a number or an array of numbers; got {_short(value)}")
    return raw.astype(np.float64, copy=False)


def _said(
    name: str, array: Array, wrong: NDArray[np.bool_], span: tuple[float, float], unit: str, hint: str
) -> str:
    """The sentence of an error: the first wrong value, its place, the range, and what to do."""
    first = int(np.argmax(wrong.reshape(-1)))
    value = float(array.reshape(-1)[first])
    place = "" if array.ndim == 0 else f" at index {_place(first, array.shape)}"
    others = int(wrong.sum()) - 1
    more = f" (and {others} more)" if others else ""
    written = "" if unit == "1" else unit
    shown = f"{value:.10g} {written}".rstrip()
    told = f"{name} must be {_range(*span, written)}; got {shown}{place}{more}"
    advice = (hint if np.isfinite(value) else "") or _guess(value, unit or "1")
    return f"{told}: {advice}" if advice else told


def _place(first: int, shape: tuple[int, ...]) -> str:
    """Where the wrong value stands, counted from 0 as arrays are."""
    where = [int(at) for at in np.unravel_index(first, shape)]
    return str(where[0]) if len(where) == 1 else str(where)


def _range(lower: float, upper: float, unit: str) -> str:
    """The valid range in words."""
    if np.isinf(lower) and np.isinf(upper):
        return "a finite number"
    if np.isinf(upper):
        return f"{lower:.10g} {unit}".rstrip() + " or more"
    if np.isinf(lower):
        return f"{upper:.10g} {unit}".rstrip() + " or less"
    return f"between {lower:.10g} and {upper:.10g} {unit}".rstrip()


def _guess(value: float, unit: str) -> str:
    """What the number was probably meant as; "" when nothing comes to mind."""
    if not np.isfinite(value):
        return "a value is missing or was divided by zero"
    found = (slip for slip in _SLIPS if slip.unit == unit and slip.lower <= value <= slip.upper)
    slip = next(found, None)
    return slip.hint if slip else ""


def _short(value: object) -> str:
    shown = repr(value)
    return shown if len(shown) <= SHOWN_MOST else shown[: SHOWN_MOST - 3] + "..."
