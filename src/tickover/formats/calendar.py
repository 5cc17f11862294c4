"""Write a calendar that any calendar program can subscribe to (iCalendar): events in, bytes out.

Source: RFC 5545, sections 3.1 (content lines, folded at 75 octets), 3.3.11 (text and its escapes), 3.6.1
(events), 3.6.6 (alarms), 3.8.7.2 to 3.8.7.4 (stamps and sequence); RFC 7986, section 5.1, for NAME.
"""

from __future__ import annotations

import datetime as dt
import re
import uuid
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from tickover.formats.errors import FormatError

LINE_OCTETS = 75
PRODUCT = "-//tickover//tickover//EN"
OURS = uuid.uuid5(uuid.NAMESPACE_URL, "urn:tickover:calendar")
CONTROLS = re.compile(r"[\x00-\x08\x0b-\x1f\x7f]")
LONE_SURROGATES = re.compile(r"[\ud800-\udfff]")
ESCAPES = str.maketrans({"\\": "\\\\", ";": "\\;", ",": "\\,", "\n": "\\n"})


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
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        f"PRODID:{PRODUCT}",
        "CALSCALE:GREGORIAN",
        f"NAME:{_text(name)}",
    ]
    for event in listed:
        lines += _event(event, _utc(stamp))
    lines.append("END:VCALENDAR")
    return b"".join(fold(line) for line in lines)


def fold(line: str) -> bytes:
    """One content line in UTF-8, folded so that no line has more than 75 octets and no character is cut."""
    rest = line.encode("utf-8")
    folded: list[bytes] = []
    while len(rest) > (room := LINE_OCTETS - bool(folded)):
        while rest[room] & 0xC0 == 0x80:  # the first byte of the next line must begin a character
            room -= 1
        folded.append(rest[:room])
        rest = rest[room:]
    return b"\r\n ".join([*folded, rest]) + b"\r\n"


def _event(event: Event, stamp: str) -> Iterator[str]:
    if event.sequence < 0 or (event.alarm_days or 0) < 0:
        raise FormatError(f"The event {event.uid} has a sequence or an alarm below zero.")
    yield "BEGIN:VEVENT"
    yield f"UID:{_text(event.uid)}"
    yield f"DTSTAMP:{stamp}"
    yield f"DTSTART;VALUE=DATE:{event.day.strftime('%Y%m%d').zfill(8)}"
    yield f"SUMMARY:{_text(event.summary)}"
    if event.description:
        yield f"DESCRIPTION:{_text(event.description)}"
    yield f"SEQUENCE:{event.sequence}"
    if event.last_modified is not None:
        yield f"LAST-MODIFIED:{_utc(event.last_modified)}"
    yield "TRANSP:TRANSPARENT"
    if event.alarm_days is not None:
        yield from _alarm(event, event.alarm_days)
    yield "END:VEVENT"


def _alarm(event: Event, days: int) -> Iterator[str]:
    yield "BEGIN:VALARM"
    yield "ACTION:DISPLAY"
    yield f"DESCRIPTION:{_text(event.summary)}"
    yield f"TRIGGER:{'-' if days else ''}P{days}D"
    yield "END:VALARM"


def _refuse_twins(events: list[Event]) -> None:
    seen: set[str] = set()
    for event in events:
        if not event.uid.strip() or event.uid in seen:
            raise FormatError(f'The UID "{event.uid}" of "{event.summary[:60]}" is empty or there twice.')
        seen.add(event.uid)


def _text(text: str) -> str:
    one_ending = text.replace("\r\n", "\n").replace("\r", "\n")
    return LONE_SURROGATES.sub("\N{REPLACEMENT CHARACTER}", CONTROLS.sub("", one_ending)).translate(ESCAPES)


def _utc(moment: dt.datetime) -> str:
    if moment.tzinfo is None:
        raise FormatError(f"The time {moment} has no zone.")
    return moment.astimezone(dt.UTC).strftime("%Y%m%dT%H%M%SZ")
