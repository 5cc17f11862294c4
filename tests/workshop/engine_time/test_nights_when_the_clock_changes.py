"""Clocks are put forward and back in the workshop's zone; engines do not notice.

European summer time began on 29 March 2026 and ends on 25 October 2026, at 01:00 UTC (Directive 2000/84/EC).
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

import numpy as np
import pytest
from django.utils import timezone

from tickover.demo.tracklogs import make_igc
from tickover.workshop.engine_time import actions as time_actions
from tickover.workshop.programme import queries

NIGHTS = {
    "no change": datetime(2026, 3, 20, 23, 30, tzinfo=UTC),
    "an hour less": datetime(2026, 3, 28, 23, 30, tzinfo=UTC),
    "an hour more": datetime(2026, 10, 24, 23, 30, tzinfo=UTC),
}
LATER = datetime(2026, 11, 2, 9, tzinfo=UTC)


@pytest.mark.parametrize("night", NIGHTS)
def test_a_flight_through_the_night_counts_its_minutes(
    outer: Any, crew: Any, settings: Any, night: str
) -> None:
    settings.TIME_ZONE = "Europe/Berlin"
    with timezone.override("Europe/Berlin"):
        data = make_igc(np.random.default_rng(3), NIGHTS[night], [(5.0, 170.0)])
        entry = time_actions.add_track_log(outer, data, "night.igc", who=crew.technician, at=LATER)
    assert entry.duration_h == pytest.approx(165 / 60, abs=0.02)
    assert entry.on_day == NIGHTS[night].date() + timedelta(days=1), (
        "half past midnight, or past one, in Berlin"
    )


@pytest.mark.parametrize(
    ("zone", "day"),
    [
        ("UTC", date(2026, 3, 20)),
        ("Pacific/Auckland", date(2026, 3, 21)),
        ("Pacific/Honolulu", date(2026, 3, 20)),
    ],
)
def test_a_log_is_of_the_day_that_it_was_where_the_workshop_is(
    outer: Any, crew: Any, settings: Any, zone: str, day: date
) -> None:
    """20 March 2026, 18:00 UTC: 07:00 of the next day in Auckland (UTC+13), 08:00 in Honolulu (UTC-10)."""
    settings.TIME_ZONE = zone
    with timezone.override(zone):
        data = make_igc(np.random.default_rng(3), datetime(2026, 3, 20, 18, tzinfo=UTC), [(5.0, 60.0)])
        entry = time_actions.add_track_log(outer, data, "day.igc", who=crew.technician, at=LATER)
    assert entry.on_day == day


def test_a_calendar_limit_across_the_change_keeps_its_date(outer: Any, settings: Any) -> None:
    settings.TIME_ZONE = "Europe/Berlin"
    with timezone.override("Europe/Berlin"):
        line = queries.due_of(outer, "diaphragm-service", date(2026, 3, 29))
    start = outer.in_service_on
    assert line.due_on == start.replace(year=start.year + 1)
