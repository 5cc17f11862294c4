"""Write a calendar that any calendar program can subscribe to (iCalendar): events in, bytes out.

The library icalendar writes lines and escapes (RFC 5545, 3.1 and 3.3.11); what an event must have, and which of
them a subscriber is asked to believe, is decided here (3.6.1, 3.6.6, 3.8.7; RFC 7986, section 5.1, for NAME).
"""

from __future__ import annotations

import datetime as dt
import re
import uuid
from collections.abc import Iterable
from dataclasses import dataclass

import icalendar

from tickover.formats.errors import FormatError

PRODUCT = "-//tickover//tickover//EN"
OURS = uuid.uuid5(uuid.NAMESPACE_URL, "urn:tickover:calendar")
CONTROLS = re.compile(r"[\x00-\x08\x0b-\x1f\x7f]")
LONE_SURROGATES = re.compile(r"[\ud800-\udfff]")


@dataclass(frozen=True)
class Event:
    """Something that falls on a whole day.

    `uid` stays the same for as long as it is the same event (`stable_uid`); `sequence` goes up with each
    change of it, made at `last_modified` (aware). `alarm_days` before the day a reminder is shown.
    """

    uid: str
    day: dt.date
    summary: str
    description: str = ""
    sequence: int = 0
    last_modified: dt.datetime | None = None
    alarm_days: int | None = None


def stable_uid(*names: str) -> str:
    """A UID by the names of what the event is about, such as the engine's serial and the task.

    The same names give the same UID at any time, on any machine. A UUID, as RFC 7986, section 5.3, asks.
    """
    return str(uuid.uuid5(OURS, "\n".join(f"{len(name)}:{name}" for name in names)))


def write_calendar(events: Iterable[Event], *, name: str, stamp: dt.datetime) -> bytes:
    """Write a calendar.

    Parameters
    ----------
    events : iterable of Event
        Each with a UID of its own.
    name : str
        What the calendar is called.
    stamp : datetime.datetime
        When the calendar is written, with a zone.

    Returns
    -------
    bytes
        UTF-8, lines ended by CRLF, to be served as text/calendar.

    Raises
    ------
    FormatError
        A UID that is empty or there twice, a negative sequence or alarm, or a time without a zone.

    Examples
    --------
    >>> event = Event("1", dt.date(2025, 5, 4), "Plugs; gaps")
    >>> b"SUMMARY:Plugs\\\\; gaps\\r\\n" in write_calendar(
    ...     [event], name="Due", stamp=dt.datetime(2025, 5, 1, tzinfo=dt.UTC)
    ... )
    True
    """
    listed = list(events)
    _refuse_twins(listed)
    calendar = icalendar.Calendar()
    calendar.add("VERSION", "2.0")
    calendar.add("PRODID", PRODUCT)
    calendar.add("CALSCALE", "GREGORIAN")
    calendar.add("NAME", icalendar.vText(_text(name)))  # newer than RFC 5545: its kind is not known by itself
    for event in listed:
        calendar.add_component(_event(event, _utc(stamp)))
    written: bytes = calendar.to_ical(sorted=False)
    return written


def _event(event: Event, stamp: dt.datetime) -> icalendar.Event:
    if event.sequence < 0 or (event.alarm_days or 0) < 0:
        raise FormatError(f"The event {event.uid} has a sequence or an alarm below zero.")
    written = icalendar.Event()
    written.add("UID", _text(event.uid))
    written.add("DTSTAMP", stamp)
    written.add("DTSTART", event.day)
    written.add("SUMMARY", _text(event.summary))
    if event.description:
        written.add("DESCRIPTION", _text(event.description))
    written.add("SEQUENCE", event.sequence)
    if event.last_modified is not None:
        written.add("LAST-MODIFIED", _utc(event.last_modified))
    written.add("TRANSP", "TRANSPARENT")
    if event.alarm_days is not None:
        written.add_component(_alarm(event, event.alarm_days))
    return written


def _alarm(event: Event, days: int) -> icalendar.Alarm:
    alarm = icalendar.Alarm()
    alarm.add("ACTION", "DISPLAY")
    alarm.add("DESCRIPTION", _text(event.summary))
    alarm.add("TRIGGER", dt.timedelta(days=-days))
    return alarm


def _refuse_twins(events: list[Event]) -> None:
    seen: set[str] = set()
    for event in events:
        if not event.uid.strip() or event.uid in seen:
            raise FormatError(f'The UID "{event.uid}" of "{event.summary[:60]}" is empty or there twice.')
        seen.add(event.uid)


def _text(text: str) -> str:
    """The text without what RFC 5545 allows in none, with one kind of line end."""
    one_ending = text.replace("\r\n", "\n").replace("\r", "\n")
    return LONE_SURROGATES.sub("\N{REPLACEMENT CHARACTER}", CONTROLS.sub("", one_ending))


def _utc(moment: dt.datetime) -> dt.datetime:
    if moment.tzinfo is None:
        raise FormatError(f"The time {moment} has no zone.")
    return moment.astimezone(dt.UTC)
