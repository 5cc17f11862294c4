"""Holding a reading against the limit of the sheet."""

from __future__ import annotations

from tickover.formats.number import read_number
from tickover.science.readings import Rule, Verdict, decide
from tickover.sheets import LimitRow


def judge(value: float, limit: LimitRow) -> Verdict:
    """Inside, outside, or cannot tell with this instrument."""
    return decide(
        value,
        limit.lower,
        limit.upper,
        resolution=limit.resolution,
        expanded_uncertainty=limit.expanded_uncertainty,
        rule=Rule(limit.rule),
    )


def take(typed: str, limit: LimitRow, *, confirmed: bool) -> float:
    """The value of what was typed. Raises NumberError; ImplausibleNumber unless it was confirmed."""
    plausible = None
    if not confirmed and limit.plausible_lower is not None and limit.plausible_upper is not None:
        plausible = (limit.plausible_lower, limit.plausible_upper)
    return read_number(typed, unit=limit.unit, plausible=plausible, name=limit.title)
