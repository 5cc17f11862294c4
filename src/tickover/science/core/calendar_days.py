"""Which day is it, counted in days? Month arithmetic on day ordinals.

A day ordinal counts days of the proleptic Gregorian calendar, day 1 being 0001-01-01. The calendar restarts
every 400 years, and a year that begins in March has its odd day last: that is all the arithmetic there is.

References
----------
H. Hinnant, "chrono-Compatible Low-Level Date Algorithms" (days_from_civil, civil_from_days),
https://howardhinnant.github.io/date_algorithms.html
"""

from __future__ import annotations

from typing import NamedTuple

from tickover.science.core.input_checks import OutOfRangeError
from tickover.science.core.kinds import kinds_checked

DAYS_IN_400_YEARS = 146_097
_ORDINAL_OF_YEAR_0_MARCH_1 = -305


class CalendarDate(NamedTuple):
    """A day of the Gregorian calendar; compares and comes apart as year, month, day of the month."""

    year: int
    month: int
    day_of_month: int


@kinds_checked
def day_of(year: int, month: int, day_of_month: int) -> int:
    """Ordinal of a date.

    Raises OutOfRangeError for a month or a day of the month that does not exist.

    Parameters
    ----------
    year, month, day_of_month : int
        Of the Gregorian calendar.

    Returns
    -------
    int

    Raises
    ------
    OutOfRangeError
        For what is no whole number, and for a month or a day that does not exist.

    Examples
    --------
    >>> day_of(2026, 5, 4)
    739740
    """
    if not 1 <= month <= 12:
        raise OutOfRangeError(f"month {month} does not exist: give 1 to 12")
    if not 1 <= day_of_month <= days_in_month(year, month):
        raise OutOfRangeError(f"day {day_of_month} does not exist in {year:04d}-{month:02d}")
    march_year = year - (month <= 2)
    era, year_of_era = divmod(march_year, 400)
    day_of_year = (153 * ((month - 3) % 12) + 2) // 5 + day_of_month - 1
    day_of_era = year_of_era * 365 + year_of_era // 4 - year_of_era // 100 + day_of_year
    return era * DAYS_IN_400_YEARS + day_of_era + _ORDINAL_OF_YEAR_0_MARCH_1


@kinds_checked
def date_of(day: int) -> CalendarDate:
    """Year, month and day of the month of an ordinal."""
    era, day_of_era = divmod(day - _ORDINAL_OF_YEAR_0_MARCH_1, DAYS_IN_400_YEARS)
    leap_days_passed = day_of_era // 1460 - day_of_era // 36_524 + day_of_era // 146_096
    year_of_era = (day_of_era - leap_days_passed) // 365
    day_of_year = day_of_era - (365 * year_of_era + year_of_era // 4 - year_of_era // 100)
    months_since_march = (5 * day_of_year + 2) // 153
    day_of_month = day_of_year - (153 * months_since_march + 2) // 5 + 1
    month = (months_since_march + 2) % 12 + 1
    return CalendarDate(era * 400 + year_of_era + (month <= 2), month, day_of_month)


@kinds_checked
def days_in_month(year: int, month: int) -> int:
    """Length of a month. [days]

    Parameters
    ----------
    year : int
    month : int
        1 to 12.

    Returns
    -------
    int
        [days]

    Raises
    ------
    OutOfRangeError
        For what is no whole number, and for a month or a day that does not exist.

    Examples
    --------
    >>> days_in_month(2028, 2)
    29
    """
    if month == 2:
        return 29 if year % 4 == 0 and (year % 100 != 0 or year % 400 == 0) else 28
    return 30 if month in (4, 6, 9, 11) else 31


@kinds_checked
def add_months(day: int, months: int) -> int:
    """The same day of the month, `months` later; the month's last day where that day does not exist.

    31 January and one month is 28 or 29 February. The day lost that way does not come back: one month later
    again is 28 or 29 March.

    Parameters
    ----------
    day : int
        [day ordinal]
    months : int
        May be below 0. [months]

    Returns
    -------
    int

    Raises
    ------
    OutOfRangeError
        For what is no whole number, and for a month or a day that does not exist.

    Examples
    --------
    >>> written(add_months(day_of(2026, 1, 31), 1))
    '2026-02-28'
    """
    year, month, day_of_month = date_of(day)
    years_on, month_index = divmod(month - 1 + months, 12)
    new_year, new_month = year + years_on, month_index + 1
    return day_of(new_year, new_month, min(day_of_month, days_in_month(new_year, new_month)))


@kinds_checked
def written(day: int) -> str:
    """A day as ISO 8601 writes it, for example 2026-05-01."""
    year, month, day_of_month = date_of(day)
    return f"{year:04d}-{month:02d}-{day_of_month:02d}"
