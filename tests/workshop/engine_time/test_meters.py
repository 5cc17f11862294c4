"""The engine meter: what it adds, what it is asked about, and how it goes on when it is replaced."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest

from tickover.workshop.engine_time import actions as time_actions
from tickover.workshop.engine_time import at_a_time
from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.engine_time.meter_actions import (
    LowerReadingError,
    TypedMeterReading,
    last_reading,
    read_meter,
    replace_meter,
)
from tickover.workshop.kernel.models import Entry
from tickover.workshop.register import actions
from tickover.workshop.register.models import MeterReading

pytestmark = pytest.mark.usefixtures("verified")


@pytest.fixture
def read(crew: Any, outer: Any, now: datetime) -> Callable[..., MeterReading]:
    """Read the meter so many days before now."""

    def read(value_h: float, days_ago: float, meter: str = "M1", *, confirmed: bool = False) -> MeterReading:
        reading = TypedMeterReading(value_h, now - timedelta(days=days_ago), meter)
        return read_meter(outer, reading, who=crew.technician, at=now, confirmed=confirmed)

    return read


def total_h(engine: Any) -> float:
    return round(engine_time.total_time(engine).hours_h, 6)


def test_the_first_reading_adds_nothing(read: Any, outer: Any) -> None:
    first = read(312.4, 10)
    assert (first.entry.duration_h, first.entry.method) == (0.0, "first meter reading")
    assert total_h(outer) == 0.0


def test_a_later_reading_adds_the_difference(read: Any, outer: Any) -> None:
    read(312.4, 10)
    entry = read(315.9, 3).entry
    assert entry.duration_h == pytest.approx(3.5)
    assert entry.grade == "engine meter"
    # Two readings to a tenth of an hour: two rectangles of 0.1 h width.
    assert entry.sd_h == pytest.approx((2 * 0.1**2 / 12) ** 0.5)


def test_hours_of_the_period_are_not_counted_twice(
    read: Any, outer: Any, hours: Callable[..., Any], now: datetime
) -> None:
    read(100.0, 10)
    hours(outer, 2.0, (now - timedelta(days=5)).date())
    entry = read(105.0, 1).entry
    assert entry.duration_h == pytest.approx(3.0)
    assert total_h(outer) == 5.0
    assert "Other records of that time count 2.00 h" in entry.remarks[1]


def test_a_track_log_that_comes_later_takes_its_time_out_of_the_meters(
    read: Any, outer: Any, crew: Any, igc: Callable[..., bytes], now: datetime
) -> None:
    read(100.0, 10)
    read(101.0, 0)
    log = time_actions.add_track_log(outer, igc(), "late.igc", who=crew.technician, at=now)
    assert log.duration_h > 0.4
    assert total_h(outer) == 1.0
    time_actions.withdraw(log, "another engine's", who=crew.technician, at=now)
    assert total_h(outer) == 1.0


def test_a_disagreement_is_told_and_adds_nothing(
    read: Any, outer: Any, hours: Callable[..., Any], now: datetime
) -> None:
    read(100.0, 10)
    hours(outer, 4.0, (now - timedelta(days=5)).date())
    entry = read(101.5, 1).entry
    assert entry.duration_h == 0.0
    assert "disagree by 2.50 h" in entry.remarks[1]
    assert entry.sd_h > 2.5 / 3**0.5
    assert total_h(outer) == 4.0


def test_hours_before_the_first_reading_are_not_the_meters(
    read: Any, outer: Any, hours: Callable[..., Any], now: datetime
) -> None:
    hours(outer, 300.0, (now - timedelta(days=10)).date())
    read(312.4, 10)
    read(313.4, 1)
    assert total_h(outer) == 301.0


def test_a_lower_reading_is_asked_about(read: Any, outer: Any) -> None:
    read(312.4, 10)
    before = Entry.objects.count()
    with pytest.raises(LowerReadingError, match=r"showed 312.4 h .* 31.3 h is lower"):
        read(31.3, 5)
    assert Entry.objects.count() == before


def test_a_lower_reading_that_is_confirmed_is_marked_and_adds_nothing(read: Any, outer: Any) -> None:
    read(312.4, 10)
    lower = read(31.3, 5, confirmed=True)
    assert lower.lower and lower.entry.duration_h == 0.0
    assert "lower than before" in lower.entry.remarks[1]
    assert read(32.3, 1).entry.duration_h == pytest.approx(1.0)


def test_more_than_24_hours_a_day_is_refused_though_confirmed(read: Any, outer: Any) -> None:
    read(100.0, 2)
    assert read(124.0, 1).entry.duration_h == pytest.approx(24.0)
    with pytest.raises(actions.RegisterError, match="more than 24 h a day"):
        read(149.0, 0, confirmed=True)


@pytest.mark.parametrize(
    ("value_h", "days_ago", "says"),
    [
        (float("nan"), 1, "cannot be on an engine meter"),
        (float("inf"), 1, "cannot be on an engine meter"),
        (-1.0, 1, "cannot be on an engine meter"),
        (101.0, -1, "still to come"),
        (101.0, 20, "this one is older"),
    ],
)
def test_a_reading_that_cannot_be_leaves_nothing(
    read: Any, value_h: float, days_ago: float, says: str
) -> None:
    read(100.0, 10)
    before = Entry.objects.count()
    with pytest.raises(actions.RegisterError, match=says):
        read(value_h, days_ago)
    assert Entry.objects.count() == before


def test_another_meter_is_entered_as_a_replacement(read: Any) -> None:
    read(100.0, 10)
    with pytest.raises(actions.RegisterError, match=r"has the meter “M1”[.] Enter “M2” as its replacement"):
        read(0.0, 5, "M2")


def test_a_replaced_meter_goes_on_from_the_old_one(read: Any, outer: Any, crew: Any, now: datetime) -> None:
    read(100.0, 10)
    new = TypedMeterReading(3.0, now - timedelta(days=5), "M2")
    first = replace_meter(outer, 102.5, new, who=crew.technician, at=now)
    assert (first.offset_h, first.metered_h) == (99.5, 102.5)
    later = read(4.0, 1, "M2")
    assert later.metered_h == 103.5
    assert total_h(outer) == 3.5
    assert last_reading(outer) == later


def test_a_meter_replaced_by_itself_or_before_any_reading_is_refused(
    read: Any, outer: Any, crew: Any, now: datetime
) -> None:
    with pytest.raises(actions.RegisterError, match="has no meter yet"):
        replace_meter(outer, 1.0, TypedMeterReading(0.0, now, "M2"), who=crew.technician, at=now)
    read(100.0, 10)
    with pytest.raises(actions.RegisterError, match="a name or number of its own"):
        replace_meter(outer, 101.0, TypedMeterReading(0.0, now, "M1"), who=crew.technician, at=now)


def test_a_withdrawn_reading_counts_no_more_and_the_next_one_spans_both_periods(
    read: Any, outer: Any, crew: Any, now: datetime
) -> None:
    read(100.0, 10)
    slip = read(109.0, 6)
    last = read(109.5, 5)
    time_actions.withdraw(slip.entry, "misread", who=crew.technician, at=now)
    assert total_h(outer) == 9.5
    assert at_a_time.newest(last.entry).duration_h == pytest.approx(9.5)
    time_actions.withdraw(at_a_time.newest(last.entry), "misread too", who=crew.technician, at=now)
    assert total_h(outer) == 0.0
    assert read(101.5, 1).entry.duration_h == pytest.approx(1.5)


def test_without_its_first_reading_the_second_is_the_first(
    read: Any, outer: Any, crew: Any, now: datetime
) -> None:
    first = read(10.0, 10)
    read(15.0, 5)
    time_actions.withdraw(first.entry, "of another engine", who=crew.technician, at=now)
    assert total_h(outer) == 0.0


def test_the_meter_is_read_on_the_engines_page(signed_in: Any, crew: Any, outer: Any) -> None:
    page = signed_in(crew.technician)
    sent = {"meter": "M1", "value_h": "312,4", "read_at": "2025-05-01T09:00", "remark": ""}
    assert page.post("/engines/1200/meter/", sent)["Location"] == "/engines/1200/"
    asked = page.post("/engines/1200/meter/", {**sent, "value_h": "31.2", "read_at": "2025-05-03T09:00"})
    assert asked.status_code == 422 and "Confirm lower reading" in asked.content.decode()
    assert 'value="31.2"' in asked.content.decode()
    insisted = {**sent, "value_h": "31.2", "read_at": "2025-05-03T09:00", "confirmed": "on"}
    assert page.post("/engines/1200/meter/", insisted).status_code == 302
    assert MeterReading.objects.filter(lower=True).count() == 1
    swapped = {**sent, "old_last_h": "32", "meter": "M2", "value_h": "0", "read_at": "2025-05-04T09:00"}
    assert page.post("/engines/1200/meter/replace/", swapped).status_code == 302
    assert "“M2” showed 0.0 h" in page.get("/engines/1200/").content.decode()


@pytest.mark.parametrize("typed", ["", "abc", "1.2.3", "<b>"])
def test_what_is_no_number_is_asked_for_again(signed_in: Any, crew: Any, outer: Any, typed: str) -> None:
    sent = {"meter": "M1", "value_h": typed, "read_at": "2025-05-01T09:00"}
    answer = signed_in(crew.technician).post("/engines/1200/meter/", sent)
    assert answer.status_code == 422 and not MeterReading.objects.exists()
    assert "<b>" not in answer.content.decode()


def test_hours_are_typed_on_the_engines_page(signed_in: Any, crew: Any, outer: Any) -> None:
    page = signed_in(crew.technician)
    sent = {"hours_h": "12.5", "on_day": "2025-05-01", "grade": "owner's word", "method": "by telephone"}
    assert page.post("/engines/1200/hours/", sent).status_code == 302
    word = engine_time.counting_entries(outer).get()
    assert (word.duration_h, word.grade) == (12.5, "owner's word")
    assert word.sd_h == pytest.approx(0.05 + 0.15 * 12.5)
    assert page.post("/engines/1200/hours/", {**sent, "hours_h": "11", "sd_h": "0.3"}).status_code == 302
    assert engine_time.counting_entries(outer).order_by("-id")[0].sd_h == 0.3
    wrong = page.post("/engines/1200/hours/", {**sent, "grade": "engine meter"})
    assert wrong.status_code == 422


def test_hours_are_worked_out_from_fuel(signed_in: Any, crew: Any, outer: Any) -> None:
    page = signed_in(crew.technician)
    sent = {"litres": "42", "litres_per_hour": "3.5", "on_day": "2025-05-01"}
    assert page.post("/engines/1200/fuel/", sent).status_code == 302
    entry = engine_time.counting_entries(outer).get()
    # 42 l at 3.5 l/h by hand; within a quarter, two standard deviations.
    assert (entry.duration_h, entry.sd_h, entry.grade) == (12.0, 1.5, "estimate")
    refused = page.post("/engines/1200/fuel/", {**sent, "litres_per_hour": "0"})
    assert refused.status_code == 422 and "gives no engine time" in refused.content.decode()


def test_a_grade_that_only_a_recorder_gives_is_not_typed(crew: Any, outer: Any, now: datetime) -> None:
    typed = time_actions.TypedHours(1.0, 0.1, now.date(), "logger", "said so")
    with pytest.raises(actions.RegisterError, match="Hours are entered by log entry"):
        time_actions.enter_hours(outer, typed, who=crew.technician, at=now)
