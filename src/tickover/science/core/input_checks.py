"""Is an input one that can be true? If not: which one, what is true, and what was probably meant.

Every public function of this room takes its numbers through `checked` or one of its like, so that a temperature in
degrees Celsius or a pressure in hectopascals never comes out again as a plausible wrong answer. What is refused is
always a `Refused`::

    Refused
    ├── OutOfRangeError                an input that cannot be true
    └── InsufficientDataError          a question that the given facts cannot answer
        └── ContradictionError (faults.posterior)
"""

from __future__ import annotations

from dataclasses import dataclass
from operator import index

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tickover.science.core.shapes import one_or_many

__all__ = [
    "InsufficientDataError",
    "OutOfRangeError",
    "Refused",
    "checked",
    "checked_choice",
    "checked_one",
    "checked_pair",
    "checked_whole",
]

Array = NDArray[np.float64]
SHOWN_MOST = 40
ROUNDING_TOLERANCE = 1e-12
"""Share of a limit by which rounding may carry a value across it: -20 + 273.15 is a hair below 253.15."""


class Refused(ValueError):  # noqa: N818
    """Nothing is answered; the message says why and what to do."""


class OutOfRangeError(Refused):
    """An input outside of what a formula is valid for; the message says which, where and what to do."""


class InsufficientDataError(Refused):
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
    _Slip("mm", 1e-5, 0.5, "this looks like metres: multiply by 1000"),
    _Slip("mV", 1e-5, 0.1, "this looks like volts: multiply by 1000"),
    _Slip("m", 1e4, 2e5, "this looks like feet: multiply by 0.3048"),
    _Slip("kg/m3", 0.5, 1.1, "this looks like kilograms a litre: multiply by 1000"),
)


def checked(
    name: str,
    value: ArrayLike,
    lower: float,
    upper: float,
    unit: str = "",
    hint: str = "",
    *,
    missing: bool = False,
    endless: bool = False,
) -> Array:
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
    missing : bool
        Whether NaN is taken for a value that is missing.
    endless : bool
        Whether a value may be infinite where the range is.

    Returns
    -------
    numpy.ndarray
        Shape of `value`; a number gives a number (a float of numpy), so that what is computed from it is one too.

    Raises
    ------
    OutOfRangeError
        For text, True and False, complex numbers, nothing at all, NaN, infinite values, and values outside.
    """
    array = _numbers(name, value)
    from_, to = lower - ROUNDING_TOLERANCE * abs(lower), upper + ROUNDING_TOLERANCE * abs(upper)
    # false for NaN too: two passes over the array in the ordinary case, and no array in between
    least, most = array.min(), array.max()
    if least >= from_ and most <= to and abs(least) != np.inf and abs(most) != np.inf:
        return one_or_many(array)
    inside = (array >= from_) & (array <= to) & (np.isfinite(array) | endless) | (np.isnan(array) & missing)
    if inside.all():
        return one_or_many(array)
    raise OutOfRangeError(_said(name, array, ~inside, (lower, upper), unit, hint))


def checked_one(
    name: str, value: ArrayLike, lower: float, upper: float, unit: str = "", hint: str = ""
) -> float:
    """An input that must be one number; otherwise as `checked`."""
    array = checked(name, value, lower, upper, unit, hint)
    if array.size != 1:
        raise OutOfRangeError(f"{name} must be one number, not {array.size} of them")
    return float(array.reshape(-1)[0])


def checked_choice(name: str, value: object, choices: tuple[str, ...]) -> str:
    """An input that must be one of a few words."""
    if isinstance(value, str) and value in choices:
        return value
    raise OutOfRangeError(f"{name} must be one of {', '.join(choices)}; got {short(value)}")


def checked_pair(name: str, value: object) -> tuple[ArrayLike, ArrayLike]:
    """An input of two, as a diameter and its coefficient; each of them is checked by itself."""
    if isinstance(value, tuple | list) and len(value) == 2:
        return value[0], value[1]
    raise OutOfRangeError(f"{name} must be two together; got {short(value)}")


def checked_whole(
    name: str, value: object, lower: float, upper: float, unit: str = "", hint: str = ""
) -> int:
    """An input that is counted: one whole number, not 1.5 and not 2.0; otherwise as `checked_one`."""
    try:
        whole = index(value)  # type: ignore[arg-type]
    except TypeError:
        whole = None
    if whole is None or isinstance(value, bool):
        raise OutOfRangeError(f"{name} must be a whole number; got {short(value)}")
    if not lower <= whole <= upper:
        refusal = f"{name} must be {_range(lower, upper, unit)}; got {short(whole)} {unit}".rstrip()
        raise OutOfRangeError(f"{refusal}: {hint}" if hint else refusal)
    return whole


def called(kind: type) -> str:
    """A kind in words, for example "a needle"."""
    words = "".join(f" {letter.lower()}" if letter.isupper() else letter for letter in kind.__name__).strip()
    return f"{'an' if words[0] in 'aeiou' else 'a'} {words}"


def _numbers(name: str, value: ArrayLike) -> Array:
    """The input as float64, if it is made of numbers."""
    try:
        raw = np.asarray(value)
    except ValueError as ragged:
        raise OutOfRangeError(
            f"{name} must be a number or an array of numbers; got {short(value)}"
        ) from ragged
    if raw.size == 0:
        raise OutOfRangeError(f"{name} is empty: give at least one number")
    if raw.dtype.kind not in "iuf":
        raise OutOfRangeError(f"{name} must be a number or an array of numbers; got {short(value)}")
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
    refusal = f"{name} must be {_range(*span, written)}; got {shown}{place}{more}"
    advice = (hint if np.isfinite(value) else "") or _guess(value, unit or "1")
    return f"{refusal}: {advice}" if advice else refusal


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


def short(value: object) -> str:
    """A value as it is shown in a sentence."""
    shown = repr(value)
    return shown if len(shown) <= SHOWN_MOST else shown[: SHOWN_MOST - 3] + "..."
