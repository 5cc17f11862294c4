"""Which instrument a step accepts: its kind, its quantity, and from which day it has to be acknowledged."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.utils import timezone

from tickover.workshop.instruments import actions
from tickover.workshop.instruments.actions import NewCalibration, NewInstrument
from tickover.workshop.visits import actions as visit_actions
from tickover.workshop.visits.actions import DoubtfulInstrumentError, TypedReading, VisitError
from tickover.workshop.visits.models import Reading

pytestmark = pytest.mark.usefixtures("verified")

NEW = NewInstrument("DG-1", "depth-gauge", "Depth gauge", "mm", 0.01, 0.02, 0.0, 0.0, 25.0, "77", "drawer 2")
SERVICE, LEVER = "diaphragm-service", "lever-height"
DAY = timedelta(days=1)


@pytest.fixture
def by(crew: Any, now: Any) -> dict[str, Any]:
    return {"who": crew.technician, "at": now}


@pytest.fixture
def gauge(by: dict[str, Any]) -> Any:
    return actions.add_instrument(NEW, **by)


@pytest.fixture
def service(outer: Any, hands: Any, sheet_with: Any) -> Any:
    """A job whose lever is read with a depth gauge."""
    sheet_with("limits", LEVER, instrument_kind="depth-gauge", repeats=1, computed="")
    return hands.open(outer, SERVICE)


def read(service: Any, by: dict[str, Any], number: str = "DG-1", **more: Any) -> Reading:
    return visit_actions.take_reading(
        service, LEVER, TypedReading({"typed": "1.4"}, instrument=number, **more), **by
    )


@pytest.mark.parametrize(
    ("change", "fits"),
    [
        ({}, True),
        ({"unit": "in"}, True),
        ({"unit": "bar"}, False),
        ({"unit": "deg C"}, False),
        ({"kind": "micrometer"}, False),
        ({"kind": "pressure-gauge", "unit": "bar"}, False),
    ],
)
def test_only_an_instrument_of_the_kind_and_the_quantity_is_accepted(
    service: Any, by: dict[str, Any], now: Any, change: dict[str, Any], fits: bool
) -> None:
    row = actions.add_instrument(replace(NEW, **change), **by)
    actions.calibrate(row, NewCalibration(now.date(), "C-1"), **by)
    if fits:
        assert read(service, by).instrument == row
        return
    with pytest.raises(VisitError, match="Nothing was saved") as caught:
        read(service, by)
    assert row.kind_in_words in str(caught.value) and row.unit in str(caught.value)
    assert not Reading.objects.exists()


@pytest.mark.parametrize(("days", "out"), [(-1, False), (0, False), (1, True), (400, True)])
def test_a_critical_step_asks_to_acknowledge_from_the_day_after_it_was_due(
    service: Any, gauge: Any, by: dict[str, Any], now: Any, days: int, out: bool
) -> None:
    actions.calibrate(gauge, NewCalibration(now.date() - 500 * DAY, "C-1", now.date() - days * DAY), **by)
    if not out:
        assert not read(service, by).acknowledged
        return
    with pytest.raises(DoubtfulInstrumentError, match="out of calibration, which ran out on"):
        read(service, by)
    assert not Reading.objects.exists()
    assert read(service, by, acknowledged=True).acknowledged


def test_one_that_was_never_calibrated_is_acknowledged_too(
    service: Any, gauge: Any, by: dict[str, Any]
) -> None:
    with pytest.raises(DoubtfulInstrumentError, match="no calibration recorded"):
        read(service, by)
    assert read(service, by, acknowledged=True).acknowledged


def test_acknowledging_one_that_is_in_calibration_leaves_no_mark(
    service: Any, gauge: Any, by: dict[str, Any], now: Any
) -> None:
    actions.calibrate(gauge, NewCalibration(now.date(), "C-1", now.date() + DAY), **by)
    assert not read(service, by, acknowledged=True).acknowledged


def test_the_day_it_is_due_is_the_day_where_the_workshop_is(
    service: Any, gauge: Any, crew: Any, by: dict[str, Any], settings: Any
) -> None:
    """The same moment is the last day in Honolulu, and the day after in Auckland."""
    actions.calibrate(gauge, NewCalibration(date(2025, 5, 1), "C-1", date(2025, 5, 9)), **by)
    moment = {"who": crew.technician, "at": datetime(2025, 5, 9, 20, 0, tzinfo=UTC)}
    settings.TIME_ZONE = "Pacific/Honolulu"
    with timezone.override("Pacific/Honolulu"):
        assert not read(service, moment).acknowledged
    settings.TIME_ZONE = "Pacific/Auckland"
    with timezone.override("Pacific/Auckland"), pytest.raises(DoubtfulInstrumentError):
        read(service, moment)
