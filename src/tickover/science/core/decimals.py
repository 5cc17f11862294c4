"""How many digits of a number are shown, so that it is neither padded nor moved across its limit?

References
----------
Own convention, no source: decimals as the instrument shows them, and never a rounding across a limit.
"""

from __future__ import annotations

import math

from tickover.science.core.input_checks import checked_one
from tickover.science.core.kinds import kinds_checked

SPARE = 2
"""Digits shown beyond the step of the instrument, where what was read has them."""
MOST = 15


@kinds_checked
def format_reading(value: float, step: float, lower: float | None = None, upper: float | None = None) -> str:
    """A value as it is written beside its limits.

    Parameters
    ----------
    value, lower, upper : float
        In one unit; a limit may be None.
    step : float
        Smallest step that was read, 0 if none is known. It says how many decimals there are at least.

    Returns
    -------
    str
        As few decimals as hold the value, at most two beyond the step; more only where the rounded number
        would lie on the other side of a limit than the value does.

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> format_reading(1.4, 0.02), format_reading(1.405, 0.02), format_reading(0.9997398852, 0.02)
    ('1.40', '1.405', '0.9997')
    >>> format_reading(1.19999, 0.02, lower=1.2)
    '1.19999'
    """
    checked_one("value", value, -math.inf, math.inf)
    checked_one("step", step, -math.inf, 1e12)
    for limit in (lower, upper):
        if limit is not None:
            checked_one("limit", limit, -math.inf, math.inf)
    if step <= 0.0:
        return f"{value:.10g}"
    fewest = max(0, -math.floor(math.log10(step) + 1e-9))
    enough = next((d for d in range(fewest, fewest + SPARE) if _same(value, d)), fewest + SPARE)
    for decimals in range(enough, MOST):
        text = f"{value:.{decimals}f}"
        if _side(float(text), lower, upper) == _side(value, lower, upper):
            return text if float(text) else text.lstrip("-")
    return repr(value)


def _same(value: float, decimals: int) -> bool:
    return float(f"{value:.{decimals}f}") == float(f"{value:.10g}")


def _side(value: float, lower: float | None, upper: float | None) -> int:
    """-1 below, 1 above, 0 inside or on a limit."""
    if lower is not None and value < lower:
        return -1
    return int(upper is not None and value > upper)
