"""Which instrument a demo technician takes: of the kind asked for, in range and in calibration."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest

from tickover.demo.cupboard import CUPBOARD, Cupboard
from tickover.sheets import shipped_sheets
from tickover.workshop.instruments.models import KINDS
from tickover.workshop.readings.computed import MeasurementContext
from tickover.workshop.readings.measuring import typed_reading_giving

NOW = datetime(2025, 5, 5, 9, 0, tzinfo=UTC)
TODAY = NOW.date()
SHEET = shipped_sheets()["velisk-185"]
CUPBOARD_NOW = Cupboard(NOW, TODAY - timedelta(days=60))


def taken(limit_id: str, value: float, on_day: date = TODAY) -> str:
    site = MeasurementContext(SHEET.limit(limit_id), SHEET.geometry)
    return CUPBOARD_NOW.named(typed_reading_giving(site, value), site, value, on_day).instrument


def test_there_are_about_ten_of_known_kinds_each_under_a_number_of_its_own() -> None:
    assert 10 <= len(CUPBOARD) <= 15
    assert len({held.new.number for held in CUPBOARD}) == len(CUPBOARD)
    assert {held.new.kind for held in CUPBOARD} <= set(KINDS)


@pytest.mark.parametrize(
    ("limit_id", "value", "number"),
    [
        ("flange-torque", 10.0, "TW-1"),
        ("reed-screw-torque", 1.2, "TW-2"),
        ("pop-off", 1.0, "PG-2"),
        ("pump-delivery", 0.3, "PG-1"),
        ("gearbox-chip", 0.1, ""),
    ],
)
def test_it_is_the_one_of_least_span_that_holds_the_value(limit_id: str, value: float, number: str) -> None:
    assert taken(limit_id, value) == number


def test_a_degree_wheel_is_not_read_with_a_gauge_in_millimetres() -> None:
    assert SHEET.limit("timing").instrument_kind == "dial-gauge"
    assert taken("timing", 18.0) == ""


def test_what_ran_out_of_calibration_is_left_in_the_drawer() -> None:
    assert taken("pick-up-gap", 0.35, TODAY - timedelta(days=20)) == "FG-1"
    assert taken("pick-up-gap", 0.35) == "FG-2"


def test_before_there_was_a_register_no_instrument_is_named() -> None:
    assert taken("flange-torque", 10.0, TODAY - timedelta(days=61)) == ""
