"""East of UTC a working day begins while UTC has the day before: what was done today is not "still to come"."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime
from typing import Any

import pytest
from django.utils import timezone

from tickover.workshop.components import actions as components
from tickover.workshop.engine_time import actions as time_actions
from tickover.workshop.instruments import actions as instruments
from tickover.workshop.instruments import queries
from tickover.workshop.programme.models import TaskDone

pytestmark = pytest.mark.usefixtures("verified")

MORNING = datetime(2025, 5, 5, 20, 0, tzinfo=UTC)
TODAY, TOMORROW = date(2025, 5, 6), date(2025, 5, 7)


@pytest.fixture(autouse=True)
def auckland(settings: Any) -> Iterator[None]:
    settings.TIME_ZONE = "Pacific/Auckland"
    with timezone.override("Pacific/Auckland"):
        yield


def hours(engine: Any, day: date, by: dict[str, Any]) -> Any:
    return time_actions.enter_hours(engine, time_actions.TypedHours(1.0, 0.1, day, "log entry", "log"), **by)


def overhaul(engine: Any, day: date, by: dict[str, Any]) -> Any:
    return components.record_overhaul(engine, day, "", **by)


def calibration(_: Any, day: date, by: dict[str, Any]) -> Any:
    new = instruments.NewInstrument("DG-1", "depth-gauge", "Depth gauge", "mm", 0.01, 0.02)
    row = queries.instrument_by_number("DG-1") or instruments.add_instrument(new, **by)
    return instruments.calibrate(row, instruments.NewCalibration(day, "C-1"), **by)


@pytest.mark.parametrize("act", [hours, overhaul, calibration])
def test_what_was_done_today_is_entered_and_what_is_of_tomorrow_is_not(
    outer: Any, crew: Any, act: Callable[..., Any]
) -> None:
    by = {"who": crew.technician, "at": MORNING}
    with pytest.raises(Exception, match=r"still to come|in the future"):
        act(outer, TOMORROW, by)
    assert act(outer, TODAY, by).on_day == TODAY


def test_work_released_this_morning_was_done_today(outer: Any, hands: Any) -> None:
    hands.at = MORNING
    job = hands.open(outer)
    hands.do_all(job)
    hands.release(job)
    assert {row.done_on for row in TaskDone.objects.all()} == {TODAY}
