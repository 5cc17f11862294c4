"""Many numbers at once: how are they brought to one shape, and which one of them does a working show?"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.core.shapes import one_or_many
from tickover.science.core.working import Quantity

__all__ = ["Array", "broadcast", "given_only", "quantity_at"]

Array = NDArray[np.float64]


def broadcast(*arrays: Array) -> tuple[Array, ...]:
    """The arrays in their common shape, by the rules of numpy; single numbers stay single numbers.

    Raises
    ------
    OutOfRangeError
        For shapes that do not fit each other.
    """
    try:
        return tuple(one_or_many(array) for array in np.broadcast_arrays(*arrays))
    except ValueError:
        shapes = ", ".join(str(array.shape) for array in arrays)
        raise OutOfRangeError(
            f"inputs must have one shape or be single numbers; got shapes {shapes}"
        ) from None


def quantity_at(name: str, field: Any, at: int, unit: str, source: str = "") -> Quantity:
    """One of many numbers, counted from 0, as a quantity of a working; a single number stands for all."""
    values = np.ravel(field)
    return Quantity(name, float(values[at if values.size > 1 else 0]), unit, source)


def given_only(*quantities: Quantity) -> tuple[Quantity, ...]:
    """The quantities that have a value; what was not given is NaN and says nothing in a working."""
    return tuple(quantity for quantity in quantities if quantity.value == quantity.value)
