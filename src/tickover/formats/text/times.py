"""Days, times of day and moments as people and recorders write them; and their place on a log's axis.

A moment is written as ISO 8601 has it (also in RFC 3339); without a zone it is UTC. A day may also be
written 4.5.2025, day first: with points no other order is in use (common practice, no source). With
slashes both orders are, so 04/05/2025 is refused.
"""

from __future__ import annotations

import calendar
import datetime as dt
import re
from dataclasses import dataclass

import numpy as np

from tickover.formats.errors import FormatError
from tickover.formats.igc_fixes import DAY_S, Bools, Floats, in_order

LONGEST_LOG_S = 2 * DAY_S
STRAYS_AT_MOST = 0.1
FIRST_DAY = dt.date(1970, 1, 1).toordinal()
ISO_DAY = re.compile(r"(\d{4})-(\d\d)-(\d\d)", re.ASCII)
POINT_DAY = re.compile(r"(\d{1,2})\. ?(\d{1,2})\. ?(\d{4})", re.ASCII)
SLASH_DAY = re.compile(r"\d{1,4}[/-]\d{1,2}[/-]\d{1,4}", re.ASCII)
CLOCK = re.compile(
    r"([01]?\d|2[0-3]):([0-5]\d):([0-5]\d(?:[.,]\d+|:\d{3})?)(?: ?([ap])\.?m\.?)?", re.ASCII | re.IGNORECASE
)
STOP_WATCH = re.compile(r"(\d{1,3}):([0-5]\d[.,]\d{1,3})", re.ASCII)
MOMENT = re.compile(
    r"(\d{4})([-/])(\d\d)\2(\d\d)[T ](\d\d:\d\d(?::\d\d(?:[.,]\d+)?)?) ?(Z|[+-]\d\d(?::?\d\d)?)?",
    re.ASCII | re.IGNORECASE,
)
BASIC_MOMENT = re.compile(r"\d{8}T\d{4}(\d\d([.,]\d+)?)?(Z|[+-]\d\d(:?\d\d)?)?", re.ASCII | re.IGNORECASE)
POINT_MOMENT = re.compile(r"(\d{1,2})\.(\d{1,2})\.(\d{4})[ ,]+(\d\d:\d\d(?::\d\d(?:[.,]\d+)?)?)", re.ASCII)


def read_day(text: str) -> dt.date:
    """Read a day such as 2025-05-04 or 4.5.2025. Raises FormatError with a sentence that says what is off."""
    typed = text.strip()
    shown = f'"{typed[:40]}"'
    if iso := ISO_DAY.fullmatch(typed):
        year, month, day = (int(part) for part in iso.groups())
    elif pointed := POINT_DAY.fullmatch(typed):
        day, month, year = (int(part) for part in pointed.groups())
    elif SLASH_DAY.fullmatch(typed):
        raise FormatError(f"{shown} can be read in more than one way. Write year-month-day: 2025-05-04.")
    else:
        raise FormatError(f"{shown} is not a day. Write year-month-day, such as 2025-05-04, or 4.5.2025.")
    try:
        return dt.date(year, month, day)
    except ValueError:
        raise FormatError(f"{shown} is not in the calendar{_days_of(year, month)}.") from None


def _days_of(year: int, month: int) -> str:
    if not (1 <= month <= 12 and 1 <= year <= 9999):
        return ""
    return f": {calendar.month_name[month]} {year} has {calendar.monthrange(year, month)[1]} days"


def read_clock(text: str) -> float | None:
    """Time of day written hh:mm:ss, with or without decimals, am or pm; None where it is not one. [s]

    Minutes and seconds alone are a time only with one to three decimals (03:05.2), as spreadsheets write a stop watch:
    without them they may be hours and minutes.
    """
    watch = STOP_WATCH.fullmatch(text)
    if watch is not None:
        return int(watch[1]) * 60.0 + float(watch[2].replace(",", "."))
    found = CLOCK.fullmatch(text)
    if found is None:
        return None
    hours, minute, second, half = int(found[1]), found[2], found[3], (found[4] or "").lower()
    if half and not 1 <= hours <= 12:
        return None
    hours = hours % 12 + 12 * (half == "p") if half else hours
    return hours * 3600.0 + int(minute) * 60.0 + float(second.replace(",", ".").replace(":", "."))


def read_moment(text: str) -> float | None:
    """Seconds since 1970-01-01 00:00 UTC of an ISO 8601 moment; None where it is not one. [s]

    Read too: 2025/05/04 14:03:00, and 4.5.2025 14:03:00 with the day first.
    """
    iso = _as_iso(text)
    if iso is None:
        return None
    try:
        moment = dt.datetime.fromisoformat(iso)
        return (moment if moment.tzinfo else moment.replace(tzinfo=dt.UTC)).timestamp()
    except (ValueError, OverflowError):
        return None


def _as_iso(text: str) -> str | None:
    if found := MOMENT.fullmatch(text):
        year, _, month, day, clock, zone = found.groups()
        return f"{year}-{month}-{day}T{clock}{(zone or '').upper()}"
    if BASIC_MOMENT.fullmatch(text):
        return text.upper()
    if found := POINT_MOMENT.fullmatch(text):
        day, month, year, clock = found.groups()
        return f"{year}-{int(month):02d}-{int(day):02d}T{clock}"
    return None


def midnight_s(day: dt.date) -> float:
    """Seconds since 1970-01-01 00:00 UTC at the beginning of a day. [s]"""
    return (day.toordinal() - FIRST_DAY) * DAY_S


@dataclass(frozen=True, eq=False)
class Placed:
    """Moments on a log's own axis.

    `t_s` are seconds from 00:00 UTC of `date` for those in `kept`, increasing [s]; `stray` marks those
    that lie days off all the others, `late` those that repeat or go back. `kept`, `stray` and `late` have
    the length of what was handed in.
    """

    date: dt.date
    t_s: Floats
    kept: Bools
    stray: Bools
    late: Bools


def place(moments_s: Floats) -> Placed:
    """Put moments on one axis.

    Parameters
    ----------
    moments_s : array [n]
        Seconds since 1970-01-01 00:00 UTC, in the order of the file; n > 0. [s]

    Raises
    ------
    FormatError
        The moments are spread over more than one flight can last, or lie outside the calendar.
    """
    stray = np.abs(moments_s - np.median(moments_s)) > LONGEST_LOG_S
    if stray.mean() > STRAYS_AT_MOST:
        days = float(np.ptp(moments_s)) / DAY_S
        raise FormatError(
            f"The times are spread over {days:.0f} days. Add one flight at a time; or, where the times "
            "are numbers, give their unit in the header, such as time [ms]."
        )
    near = np.flatnonzero(~stray)
    day = int(moments_s[near].min() // DAY_S)
    if not 1 <= day + FIRST_DAY <= dt.date.max.toordinal() - 3:
        raise FormatError("The times lie outside the calendar.")
    t_s = np.round(moments_s - day * DAY_S, 6)
    ordered = in_order(t_s[near])
    kept, late = np.zeros_like(stray), np.zeros_like(stray)
    kept[near[ordered]] = True
    late[near[~ordered]] = True
    return Placed(dt.date.fromordinal(day + FIRST_DAY), t_s[kept], kept, stray, late)
