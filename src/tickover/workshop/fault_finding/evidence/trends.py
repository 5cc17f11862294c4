"""Readings that are on their way to a limit: the same limit read in three jobs or more, and a line through them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tickover.science.core.input_checks import Refused
from tickover.science.reliability.wear_trend import Reach, wear_trend
from tickover.sheets import LimitRow
from tickover.workshop.visits.models import Reading

SOON_H = 50.0
SURE = 0.9


@dataclass(frozen=True)
class ReadingTrend:
    """The side whose limit is reached, and when by engine hours."""

    side: str
    reach: Reach


def reading_trend(readings: Sequence[Reading], limit: LimitRow, now_h: float) -> ReadingTrend | None:
    """Where one limit's readings of an engine are going, newest first; None where they show nothing or not soon.

    Of each job the newest counts: what was read before a part was renewed in it is gone with the part.
    """
    of_job = {row.job_id: row for row in reversed(readings)}
    points = [(row.job.engine_h, row.value) for row in of_job.values()]
    try:
        trend = wear_trend([h for h, _ in points], [value for _, value in points])
        side = "above" if trend.slope > 0 else "below"
        edge = limit.upper if side == "above" else limit.lower
        reach = trend.reaches(edge, SURE) if edge is not None else None
    except Refused:
        return None
    return ReadingTrend(side, reach) if reach and now_h <= reach.at_h <= now_h + SOON_H else None
