"""Does a temperature that is still inside its limit stay there, or had it not settled when the throttle was shut?

The rate at the end of full throttle is carried on for a minute, in a straight line. A head that warms towards its
level rises ever more slowly, so this errs to the hot side.
"""

from __future__ import annotations

from collections.abc import Iterator

from tickover.science.run_up.findings import Against, RunUpFinding, Severity, spread, written
from tickover.science.run_up.measuring.measures import Measure

__all__ = ["rising"]

AHEAD_MIN = 1.0


def rising(level: Measure, rate: Measure, limit: Against) -> Iterator[RunUpFinding]:
    """Whether a minute more at full throttle might lead over the limit; nothing where it is over it already.

    Parameters
    ----------
    level, rate : Measure
        Temperature at the end of full throttle [°C] and its rate there [°C/min].
    limit : Against
        The type's limit of that temperature.
    """
    if level.value is None or rate.value is None or limit.upper is None or level.value >= limit.upper:
        return
    ahead = level.value + AHEAD_MIN * (rate.value + 1.645 * rate.standard_uncertainty)
    where = (rate.start_s, rate.end_s)
    against = (
        f"A minute more at this rate stays under {limit.upper:g} °C, the type’s limit ({limit.authority})."
    )
    sure = (
        f"± {spread(2.0 * rate.standard_uncertainty)} °C/min by the scatter of its last 15 s; a straight line errs to "
        "the hot side."
    )
    if rate.value <= 0.0 or ahead <= limit.upper:
        yield RunUpFinding(
            rate.id, Severity.GOOD, f"{rate.title} {written(rate)} at the end.", against, sure, "", *where
        )
        return
    left_s = 60.0 * (limit.upper - level.value) / rate.value
    seen = f"{rate.title} {written(rate)} at the end, and would be over its limit in {left_s:.0f} s if it went on so."
    do = (
        "Not settled. Let it cool, check cooling and mixture, and run it up again while watching it; "
        f"shut the throttle at {limit.upper:g} °C."
    )
    yield RunUpFinding(rate.id, Severity.CANNOT_TELL, seen, against, sure, do, *where, "high")
