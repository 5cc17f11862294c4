"""What to do with the needle now that the air or the fuel has changed: always on the rich side.

A mixture that is too lean seizes the engine; one that is a little too rich costs some power. So a change that
leaned the engine is made good in full and rounded up; one that made it rich is made good only as far as it is
sure, rounded down, and never without a run-up.

References
----------
Common practice, no source: err on the rich side, then prove it by a run-up.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.core.kinds import kinds_checked
from tickover.science.core.working import Quantity, Working
from tickover.science.fuel_system.mixture import MixtureChange
from tickover.science.fuel_system.needle import Needle

__all__ = ["NeedleAdvice", "advise"]

STEP_TURNS = 0.125
LEAVE_PERCENT = 0.5
"""A leaning smaller than this is far inside the margin of any setting: the needle is left. A judgement."""
NEEDLE_UNSURE = 0.2
"""Share by which the effect of a turn may be wrong when needle and seat are known by drawing only."""


@dataclass(frozen=True)
class NeedleAdvice:
    """What to do with one needle. Turns are above 0 to open (richer), below 0 to close (leaner).

    `exact_turns` would make the change good, `lower_turns` to `upper_turns` is what its uncertainty leaves open,
    `step_turns` is what to do, in eighths. `run_up_required` is always True for a needle that is to be turned.
    """

    change: MixtureChange
    needle: Needle
    exact_turns: float
    lower_turns: float
    upper_turns: float
    step_turns: float
    run_up_required: bool
    words: str

    @property
    def turns(self) -> float:
        """Turns out after the step. [turns]"""
        return self.change.then.turns + self.step_turns

    def working(self) -> Working:
        """How the step came about."""
        return Working(
            title="turns that make the change good",
            formula="A(turns) = A(turns then) / (φ/φ0), rounded to the rich side in eighths",
            inputs=(
                Quantity("turns out then", self.change.then.turns, "turns"),
                Quantity("richer or leaner", self.change.percent, "%"),
                Quantity("area then", float(self.needle.area_mm2(self.change.then.turns)), "mm2"),
                Quantity("exact", self.exact_turns, "turns"),
                Quantity("at least", self.lower_turns, "turns"),
                Quantity("at most", self.upper_turns, "turns"),
            ),
            result=Quantity("open (above 0) or close (below 0)", self.step_turns, "turns"),
            validity=f"{self.needle.turns_known[0]:g} to {self.needle.turns_known[1]:g} turns out, clean needle and "
            "seat; the run-up decides, not this sum",
            source="geometry of a cone in a seat; rounding is common practice, no source",
            authority="a starting point for the run-up",
        )


@kinds_checked
def advise(change: MixtureChange, needle: Needle) -> NeedleAdvice:
    """Direction and size of the step for one needle.

    Parameters
    ----------
    change : MixtureChange
        By `mixture.mixture_change`.
    needle : Needle
        The needle that was set, with the turns for which it is known.

    Returns
    -------
    NeedleAdvice

    Raises
    ------
    OutOfRangeError
        When the setting, or the step, lies outside of the turns for which the needle is known.

    Examples
    --------
    >>> from tickover.science.fuel_system.fuels import E5, Premix
    >>> from tickover.science.fuel_system.mixture import mixture_change
    >>> from tickover.science.fuel_system.mixture_setting import AirOfTheDay, Setting
    >>> then = Setting(1.25, AirOfTheDay(303.15, 98e3, 0.6), Premix(E5, 50.0))
    >>> cold = mixture_change(then, AirOfTheDay(283.15, 102e3, 0.5), then.premix)
    >>> advise(cold, Needle(1.6, 10.0, 0.5)).step_turns
    0.125
    """
    out = change.then.turns
    area = float(needle.area_mm2(out))
    exact = needle.turns_for_area(area / change.ratio) - out
    lower = _stretched(_towards(needle, out, area / (1.0 + change.upper_percent / 100.0)), -1)
    upper = _stretched(_towards(needle, out, area / (1.0 + change.lower_percent / 100.0)), +1)
    lower, upper = min(lower, exact), max(upper, exact)
    step = _step(exact, upper, change.percent)
    fewest, most = needle.turns_known
    if not fewest <= out + step <= most:
        raise OutOfRangeError(
            f"the step leads to {out + step:g} turns out, and this needle is known from {fewest:g} to {most:g} "
            "turns only: look for another cause, or ask for another jet"
        )
    return NeedleAdvice(change, needle, exact, lower, upper, step, step != 0.0, _words(change, step))


def _towards(needle: Needle, out: float, area: float) -> float:
    """Turns to an area, or to the end of what is known of the needle. [turns]"""
    fewest, most = needle.turns_known[0], min(needle.turns_known[1], needle.full_at_turns)
    least, greatest = float(needle.area_mm2(fewest)), float(needle.area_mm2(most))
    return needle.turns_for_area(min(max(area, least), greatest)) - out


def _stretched(end: float, side: int) -> float:
    """An end of the interval moved outwards, `side` being the way it lies, by the unsure effect of a turn."""
    return end * (1.0 + NEEDLE_UNSURE if end * side > 0.0 else 1.0 - NEEDLE_UNSURE)


def _step(exact: float, upper: float, percent: float) -> float:
    """Eighths of a turn, to the rich side."""
    if percent < 0.0:
        return 0.0 if -percent < LEAVE_PERCENT else math.ceil(exact / STEP_TURNS - 1e-9) * STEP_TURNS
    # closing goes no farther than the end of the interval that closes least
    return math.ceil(min(upper, 0.0) / STEP_TURNS - 1e-9) * STEP_TURNS + 0.0


def _words(change: MixtureChange, step: float) -> str:
    """What happened and what to do, as it is said at the bench."""
    sure = f"{change.lower_percent:+.1f} to {change.upper_percent:+.1f} %"
    way = "richer" if change.percent >= 0.0 else "leaner"
    happened = (
        f"With the needle left alone the engine runs {abs(change.percent):.1f} % {way} than when it was set"
    )
    if step > 0.0:
        do = (
            f"Open the needle {_eighths(step)} turn before the run-up, then check at full throttle by the maker's "
            "instructions: a lean mixture seizes the engine"
        )
    elif step < 0.0:
        do = (
            f"Do not close the needle on this sum. If a run-up at full throttle shows it rich (four-stroking), up "
            f"to {_eighths(-step)} turn may be closed, an eighth at a time with a run-up after each; in colder or "
            "denser air it has to be opened again"
        )
    elif change.percent >= LEAVE_PERCENT:
        do = "Leave the needle: that is the safe side, and in colder or denser air it is needed again"
    else:
        do = "Leave the needle; the run-up decides"
    return f"{happened} ({sure}). {do}."


def _eighths(turns: float) -> str:
    whole, eighths = divmod(round(turns / STEP_TURNS), 8)
    if not eighths:
        return str(whole)
    shared = math.gcd(eighths, 8)
    return f"{whole} {eighths // shared}/{8 // shared}" if whole else f"{eighths // shared}/{8 // shared}"
