"""One number in, one number out: an array without dimensions becomes the number in it."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["one_or_many"]


def one_or_many(values: Any) -> NDArray[Any]:
    """An array as it is; a single number as a number of numpy, whose float is a float of Python too.

    Examples
    --------
    >>> isinstance(one_or_many(np.array(2.5)), float)
    True
    """
    array = np.asarray(values)
    one: NDArray[Any] = array if array.ndim else array[()]
    return one
