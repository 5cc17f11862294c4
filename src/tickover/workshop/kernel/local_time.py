"""A time of the journal as people where the workshop is say it: their day, and their clock."""

from __future__ import annotations

from datetime import datetime

from django.utils.timezone import localdate, localtime

from tickover.language.amounts import day


def local_day(at: datetime) -> str:
    """The day in the workshop's time zone: 14 Mar 2026."""
    return day(localdate(at))


def local_clock(at: datetime) -> str:
    """The time of day there, with the name of its zone: 23:30 CET."""
    return f"{localtime(at):%H:%M %Z}"


def local_moment(at: datetime) -> str:
    """Day and time of day there: 14 Mar 2026, 23:30 CET."""
    return f"{local_day(at)}, {local_clock(at)}"
