"""Month arithmetic on day ordinals, against the standard library's own calendar."""

import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.science.core.calendar_days import add_months, date_of, day_of, days_in_month, written

DAYS = st.integers(datetime.date(1900, 1, 1).toordinal(), datetime.date(2300, 12, 31).toordinal())


def test_every_day_of_four_hundred_years_agrees_with_the_standard_library() -> None:
    day = datetime.date(1900, 1, 1)
    while day.year < 2300:
        assert date_of(day.toordinal()) == (day.year, day.month, day.day)
        assert day_of(day.year, day.month, day.day) == day.toordinal()
        day += datetime.timedelta(days=1)


def test_the_first_and_the_last_day_that_the_standard_library_knows() -> None:
    assert date_of(1) == (1, 1, 1)
    assert date_of(datetime.date.max.toordinal()) == (9999, 12, 31)
    assert day_of(9999, 12, 31) == datetime.date.max.toordinal()


@pytest.mark.parametrize(
    ("start", "months", "end"),
    [
        ("2025-01-31", 1, "2025-02-28"),
        ("2024-01-31", 1, "2024-02-29"),
        ("2024-02-29", 12, "2025-02-28"),
        ("2025-05-01", 12, "2026-05-01"),
        ("2025-08-31", 6, "2026-02-28"),
        ("2025-11-15", 3, "2026-02-15"),
        ("2025-12-31", 24, "2027-12-31"),
        ("2025-03-31", -1, "2025-02-28"),
    ],
)
def test_months_on_keep_the_day_or_take_the_last_of_the_month(start: str, months: int, end: str) -> None:
    day = datetime.date.fromisoformat(start).toordinal()
    assert written(add_months(day, months)) == end


@given(DAYS, st.integers(0, 240))
def test_months_on_land_in_the_right_month(day: int, months: int) -> None:
    year, month, day_of_month = date_of(day)
    later = date_of(add_months(day, months))
    assert later[0] * 12 + later[1] == year * 12 + month + months
    assert later[2] == min(day_of_month, days_in_month(later[0], later[1]))


@given(DAYS, st.integers(1, 240))
def test_more_months_are_later(day: int, months: int) -> None:
    assert add_months(day, months) > add_months(day, months - 1) >= day


@pytest.mark.parametrize(
    ("year", "month", "day"), [(2025, 2, 29), (2025, 13, 1), (2025, 4, 31), (2025, 1, 0)]
)
def test_a_day_that_does_not_exist_is_refused(year: int, month: int, day: int) -> None:
    with pytest.raises(ValueError, match="does not exist"):
        day_of(year, month, day)
